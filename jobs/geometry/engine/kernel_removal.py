"""Shells seen along a pull: how low one reaches and how high the others do, pixel by pixel."""

from jobs.geometry.engine.jit import loop, prange


@loop
def draw_shells(vertices, faces, normals, piece, ways, shares, shell, corners, pixel, lowest, highest):
    """Draw each piece's shell along each pull.

    `ways` (k, 3, 3) hold u, v and the pull; `corners` (k, 2) the first pixels; `shares` the layers through the thickness.
    Sets lowest (k, rows, columns) of piece k along its own pull, and highest (k, k, rows, columns) of every piece along pull k.
    """
    count = len(ways)
    for k in prange(count):
        for f in range(len(faces)):
            other = piece[f]
            for s in range(len(shares)):
                away = shares[s] * shell
                for c in range(4):
                    # Each triangle's middle, and half-way to each corner.
                    height, u, v = 0.0, 0.0, 0.0
                    for axis in range(3):
                        place = vertices[faces[f, 0], axis] + vertices[faces[f, 1], axis] + vertices[faces[f, 2], axis]
                        place = place / 3 if c == 3 else place / 6 + vertices[faces[f, c], axis] / 2
                        place += away * normals[f, axis]
                        u += place * ways[k, 0, axis]
                        v += place * ways[k, 1, axis]
                        height += place * ways[k, 2, axis]
                    row, column = int((u - corners[k, 0]) / pixel), int((v - corners[k, 1]) / pixel)
                    if other == k:
                        lowest[k, row, column] = min(lowest[k, row, column], height)
                    else:
                        highest[k, other, row, column] = max(highest[k, other, row, column], height)
