"""Laying chunks by hand: cubes in rows, rows in layers, layers one on another, as many as the room takes."""

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Bools, Doubles, Ints
from jobs.geometry.study.results import Point3

# Which axis the rows follow, which way they stand side by side, which way the layers are stacked.
_WAYS = ((0, 1, 2), (1, 0, 2), (0, 2, 1), (2, 0, 1), (1, 2, 0), (2, 1, 0))


def lay_chunks(spare: NDArray[np.float32], axes: tuple[Doubles, Doubles, Doubles], *, half: int, pitch: int) -> list[Point3]:
    """Return the middles of cubes that lie wholly where `spare` is not negative.

    Along each row the cubes are laid as soon as they fit, which is the most a row takes; the rows of a layer and the layers
    are then chosen for the largest sum, each at any whole step. Six ways of laying are tried; the first of the best is taken.

    Parameters
    ----------
    spare : ndarray, shape (nx, ny, nz)
        Clearance that is left on each node. [mm]
    axes : tuple of ndarray
        Where the nodes lie along x, y and z. [mm]
    half : int
        Half a cube's edge in steps of the grid.
    pitch : int
        From one cube's middle to the next, in steps, at least 2 × half.
    """
    from scipy.ndimage import minimum_filter1d

    fits = spare
    for axis in range(3):
        fits = minimum_filter1d(fits, 2 * half + 1, axis=axis, mode="constant", cval=-np.inf)
    room = fits >= -1e-4
    if not room.any():
        return []
    found = [_laid(room.transpose(way), pitch) for way in _WAYS]
    best = max(range(len(_WAYS)), key=lambda number: len(found[number]))
    laid = np.empty_like(found[best])
    laid[:, _WAYS[best]] = found[best]
    x, y, z = (axes[axis][laid[:, axis]].tolist() for axis in range(3))
    return list(zip(x, y, z, strict=True))


def _laid(room: Bools, pitch: int) -> Ints:
    """Lay rows along the first axis, side by side along the second, in layers along the third; node numbers (n, 3)."""
    taken = _rows(room, pitch)
    in_row = taken.sum(axis=0)
    sums, _ = _best_sums(in_row, pitch)
    layers = _chosen(_best_sums(sums[-1][:, None], pitch)[1][:, 0], pitch)
    found = []
    for layer in layers:
        rows = _chosen(_best_sums(in_row[:, layer : layer + 1], pitch)[1][:, 0], pitch)
        for row in rows:
            along = np.nonzero(taken[:, row, layer])[0]
            found.append(np.stack([along, np.full(len(along), row), np.full(len(along), layer)], axis=1))
    return np.concatenate(found) if found else np.empty((0, 3), np.int64)


def _rows(room: Bools, pitch: int) -> Bools:
    taken = np.zeros_like(room)
    free = np.zeros(room.shape[1:], dtype=np.int64)
    for place in range(room.shape[0]):
        laid = room[place] & (free <= place)
        taken[place] = laid
        free[laid] = place + pitch
    return taken


def _best_sums(worth: Ints, pitch: int) -> tuple[Ints, Bools]:
    """Choose along the first axis, at least a pitch apart, for the largest sum: sums up to each place, and whether to take it."""
    best = np.zeros((len(worth) + 1, *worth.shape[1:]), dtype=np.int64)
    take = np.zeros(worth.shape, dtype=bool)
    for place in range(len(worth)):
        with_it = best[max(place + 1 - pitch, 0)] + worth[place]
        take[place] = with_it > best[place]
        best[place + 1] = np.maximum(best[place], with_it)
    return best, take


def _chosen(take: Bools, pitch: int) -> list[int]:
    found, place = [], len(take) - 1
    while place >= 0:
        if take[place]:
            found.append(place)
            place -= pitch
        else:
            place -= 1
    return found[::-1]
