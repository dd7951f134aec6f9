"""How near points come to a piece on their way along pulls: which grid nodes lie in the filled solid, and who sees what."""

import numpy as np

from jobs.geometry.engine.jit import inner, loop, prange

# Columns of a row of `frames`: start in the pictures, rows, columns, corner u and v, 1 / pixel, then u, v and pull as vectors.
FRAME = 15
# Shortest stride along a ray, and how far a node beyond the field's band may overstate its distance, in nodes.
_STRIDE, _OVERSTATED = 0.6, 12.2


@inner
def _pixel(frame, x, y, z):
    """Return where a point's pixel lies in the pictures, −1 beside them."""
    column = int(np.floor((x * frame[6] + y * frame[7] + z * frame[8] - frame[3]) * frame[5] + 0.5))
    row = int(np.floor((x * frame[9] + y * frame[10] + z * frame[11] - frame[4]) * frame[5] + 0.5))
    if row < 0 or column < 0 or row >= int(frame[1]) or column >= int(frame[2]):
        return -1
    return int(frame[0]) + row * int(frame[2]) + column


@inner
def _read(values, x, y, z):
    """Read a field between its nodes; x, y, z counted in nodes."""
    nx, ny, nz = values.shape
    i, j, k = min(max(int(x), 0), nx - 2), min(max(int(y), 0), ny - 2), min(max(int(z), 0), nz - 2)
    u, v, w = x - i, y - j, z - k
    low = (values[i, j, k] * (1 - w) + values[i, j, k + 1] * w) * (1 - v)
    low += (values[i, j + 1, k] * (1 - w) + values[i, j + 1, k + 1] * w) * v
    high = (values[i + 1, j, k] * (1 - w) + values[i + 1, j, k + 1] * w) * (1 - v)
    high += (values[i + 1, j + 1, k] * (1 - w) + values[i + 1, j + 1, k + 1] * w) * v
    return low * (1 - u) + high * u


@inner
def _nearest(values, step, band, px, py, pz, ways, enough, farthest):
    """Return the least distance on a ray from a point, counted in nodes, along the pull.

    Stops when it is below `enough`, or after `farthest` nodes: nothing lies beyond.
    """
    nx, ny, nz = values.shape
    least, s = 1e30, 0.0
    while True:
        x, y, z = px + s * ways[0], py + s * ways[1], pz + s * ways[2]
        if not (0 <= x <= nx - 1 and 0 <= y <= ny - 1 and 0 <= z <= nz - 1):
            return least
        distance = _read(values, x, y, z)
        if distance < least:
            least = distance
            if least < enough:
                return least
        # The distance changes by no more than the way gone.
        known = distance if distance <= band else max(band, distance - _OVERSTATED * step)
        s += max((known - least) / step, _STRIDE)
        if s > farthest:
            return least


@inner
def _hidden(values, level, step, band, pictures, frame, origin, x, y, z):
    """Say whether the coat lies on a point's way along a pull; pixels are asked first."""
    at = _pixel(frame, x, y, z)
    if at < 0:
        return False
    along = x * frame[12] + y * frame[13] + z * frame[14]
    if along >= pictures[1, at]:
        return False
    if along < pictures[0, at]:
        return True
    px, py, pz = (x - origin[0]) / step, (y - origin[1]) / step, (z - origin[2]) / step
    return _nearest(values, step, band, px, py, pz, frame[12:15], level, (pictures[1, at] - along) / step) < level


@inner
def _filled(values, level, step, band, pictures, frames, plane, origin, x, y, z):
    """Say whether a point cannot leave along any pull; with a plane, only the pull of the point's own side counts."""
    only = -1
    if plane[4] > 0:
        only = 0 if x * plane[0] + y * plane[1] + z * plane[2] >= plane[3] else 1
    for k in range(len(frames)):
        if (only < 0 or k == only) and not _hidden(values, level, step, band, pictures, frames[k], origin, x, y, z):
            return False
    return True


@loop
def fill_nodes(values, level, band, origin, step, pictures, frames, plane, found):
    """Set found (nx, ny, nz) to −1 at nodes in the filled solid, to 1 outside; values below `level` are the coated piece.

    `pictures` (3, n) hold, for each pixel, the least height about it, the greatest, and the greatest further about.
    """
    nx, ny, nz = values.shape
    for i in prange(nx):
        x = origin[0] + step * i
        for j in range(ny):
            y = origin[1] + step * j
            for k in range(nz):
                inside = values[i, j, k] < level
                if not inside:
                    inside = _filled(values, level, step, band, pictures, frames, plane, origin, x, y, origin[2] + step * k)
                found[i, j, k] = -1 if inside else 1


@inner
def _at_border(sides, i, j, k):
    nx, ny, nz = sides.shape
    here = sides[i, j, k]
    return (
        (i > 0 and sides[i - 1, j, k] != here) or (i < nx - 1 and sides[i + 1, j, k] != here)
        or (j > 0 and sides[i, j - 1, k] != here) or (j < ny - 1 and sides[i, j + 1, k] != here)
        or (k > 0 and sides[i, j, k - 1] != here) or (k < nz - 1 and sides[i, j, k + 1] != here)
    )  # fmt: skip


@loop
def reach_nodes(values, sides, level, band, origin, step, pictures, frames, plane, found):
    """Set found (nx, ny, nz) to the greatest, over the pulls, of the least distance on the way out, at nodes next to the border.

    Elsewhere it is one step beyond `level` on the node's own side.
    """
    nx, ny, nz = values.shape
    for i in prange(nx):
        for j in range(ny):
            for k in range(nz):
                inside = sides[i, j, k] < 0
                if not _at_border(sides, i, j, k):
                    found[i, j, k] = level - step if inside else level + step
                    continue
                x, y, z = origin[0] + step * i, origin[1] + step * j, origin[2] + step * k
                only = -1
                if plane[4] > 0:
                    only = 0 if x * plane[0] + y * plane[1] + z * plane[2] >= plane[3] else 1
                most = level - 2 * step
                for pull in range(len(frames)):
                    if only >= 0 and pull != only:
                        continue
                    frame = frames[pull]
                    at = _pixel(frame, x, y, z)
                    farthest = 0.0
                    if at >= 0:
                        farthest = 1 + (pictures[2, at] - x * frame[12] - y * frame[13] - z * frame[14]) / step
                    most = max(most, _nearest(values, step, band, i, j, k, frame[12:15], most, farthest))
                # What was sorted by pixels stays on its side.
                found[i, j, k] = min(most, level - 1e-4 * step) if inside else max(most, level + 1e-4 * step)


@loop
def cut_at_plane(points, values, sides, level, band, origin, step, pictures, frames, plane):
    """Move those of points (n, 3) on grid edges that the plane cuts to where the edge leaves the filled solid."""
    for n in prange(len(points)):
        low, high = np.empty(3, np.int64), np.empty(3, np.int64)
        for c in range(3):
            place = (points[n, c] - origin[c]) / step
            nearest = np.floor(place + 0.5)
            on_node = abs(place - nearest) < 1e-5
            low[c] = int(nearest) if on_node else int(np.floor(place))
            high[c] = int(nearest) if on_node else int(np.floor(place)) + 1
        if sides[low[0], low[1], low[2]] > 0:
            low, high = high, low
        ax, ay, az = origin[0] + step * low[0], origin[1] + step * low[1], origin[2] + step * low[2]
        wx, wy, wz = step * (high[0] - low[0]), step * (high[1] - low[1]), step * (high[2] - low[2])
        start = ax * plane[0] + ay * plane[1] + az * plane[2] - plane[3]
        end = start + wx * plane[0] + wy * plane[1] + wz * plane[2]
        if (start < 0) == (end < 0):
            continue
        near, far = 0.0, 1.0
        for _ in range(10):
            t = 0.5 * (near + far)
            x, y, z = ax + t * wx, ay + t * wy, az + t * wz
            px, py, pz = (x - origin[0]) / step, (y - origin[1]) / step, (z - origin[2]) / step
            if _read(values, px, py, pz) < level or _filled(values, level, step, band, pictures, frames, plane, origin, x, y, z):
                near = t
            else:
                far = t
        t = 0.5 * (near + far)
        points[n, 0], points[n, 1], points[n, 2] = ax + t * wx, ay + t * wy, az + t * wz


@loop
def seen_points(points, normals, away, values, level, band, origin, step, pictures, frames, seen):
    """Set seen (n, k) where a point `away` from each of points (n, 3) along its normal can leave along pull k."""
    for n in prange(len(points)):
        x, y = points[n, 0] + away * normals[n, 0], points[n, 1] + away * normals[n, 1]
        z = max(points[n, 2] + away * normals[n, 2], origin[2])
        for k in range(len(frames)):
            seen[n, k] = not _hidden(values, level, step, band, pictures, frames[k], origin, x, y, z)
