"""Splitting long edges of a coarse mesh, the same from both sides, so that it stays as closed as it was."""

import numpy as np

from jobs.geometry.raw_mesh import Doubles, Ints

_ROUNDS = 10


def split_long(points: Doubles, faces: Ints, *, longest_mm: float, most_faces: int) -> tuple[Doubles, Ints]:
    """Halve edges that are longer than `longest_mm`, round after round; the longest first, within `most_faces`.

    A round takes the edges longer than half of the longest. Each has two faces at most, and each of those becomes one more.
    """
    for _ in range(_ROUNDS):
        start, end = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
        keys = np.minimum(start, end) * np.int64(len(points)) + np.maximum(start, end)
        edges, edge = np.unique(keys, return_inverse=True)
        low, high = edges // len(points), edges % len(points)
        length = np.linalg.norm(points[high] - points[low], axis=1)
        halved = length > max(longest_mm, 0.5 * float(length.max()))
        room = (most_faces - len(faces)) // 2
        if np.count_nonzero(halved) > room:
            halved &= length > np.partition(length, -room - 1)[-room - 1] if room > 0 else False
        if not halved.any():
            return points, faces
        middle = np.where(halved, len(points) + np.cumsum(halved) - 1, -1)[edge].reshape(-1, 3)
        if len(faces) + int(np.count_nonzero(middle >= 0)) > most_faces:  # edges of more than two faces
            return points, faces
        points = np.concatenate([points, 0.5 * (points[low[halved]] + points[high[halved]])])
        faces = _split(faces, middle)
    return points, faces


def _split(faces: Ints, middle: Ints) -> Ints:
    """Split faces by the middles of their edges 01, 12, 20; −1 where an edge stays whole."""
    count = np.count_nonzero(middle >= 0, axis=1)
    parts = [faces[count == 0]]
    for wanted in (1, 2):
        rows = np.flatnonzero(count == wanted)
        # Turn each so that the edge that is split alone, or whole alone, is the first.
        alone = np.argmax((middle[rows] >= 0) == (wanted == 1), axis=1)
        turn = (alone[:, None] + np.arange(3)) % 3
        (a, b, c), (ab, bc, ca) = (np.take_along_axis(held[rows], turn, axis=1).T for held in (faces, middle))
        if wanted == 1:
            parts += [np.stack(corners, axis=1) for corners in ((a, ab, c), (ab, b, c))]
        else:
            parts += [np.stack(corners, axis=1) for corners in ((c, ca, bc), (a, b, bc), (a, bc, ca))]
    (a, b, c), (ab, bc, ca) = faces[count == 3].T, middle[count == 3].T
    parts += [np.stack(corners, axis=1) for corners in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
    return np.concatenate(parts)
