"""How far points lie below planes that wrap a piece."""

from jobs.geometry.engine.jit import loop, prange


@loop
def below_planes(points, planes, found):
    """Fill found (n) with the way from points (n, 3) to the nearest of planes (k, 4), outward normal and −offset; no less than 0.

    All planes face outward of one convex body, so a point inside it is as deep as the nearest plane says.
    """
    for i in prange(len(points)):
        x, y, z = points[i, 0], points[i, 1], points[i, 2]
        highest = planes[0, 0] * x + planes[0, 1] * y + planes[0, 2] * z + planes[0, 3]
        for k in range(1, len(planes)):
            highest = max(highest, planes[k, 0] * x + planes[k, 1] * y + planes[k, 2] * z + planes[k, 3])
        found[i] = max(-highest, 0.0)
