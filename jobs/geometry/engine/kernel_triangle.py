"""The point of a triangle that lies closest, and the solid angle under which a triangle is seen."""

import math

import numpy as np

from jobs.geometry.engine.jit import inner

# Where the height of a triangle is less than about 3e-5 of its length, rounding alone would say which region a point is in.
_FLAT = 1e-9


@inner
def _closest_on_edges(abx, aby, abz, acx, acy, acz, qx, qy, qz):
    """Return the shares (v, w) of the second and third corner at the place of the three edges that is closest to q."""
    best, v, w = 1e300, 0.0, 0.0
    for edge in range(3):
        # Edges a b, a c and b c.
        ox, oy, oz = (abx, aby, abz) if edge == 2 else (0.0, 0.0, 0.0)
        ex, ey, ez = (abx, aby, abz) if edge == 0 else (acx - ox, acy - oy, acz - oz)
        square = ex * ex + ey * ey + ez * ez
        along = ((qx - ox) * ex + (qy - oy) * ey + (qz - oz) * ez) / square if square > 0.0 else 0.0
        share = min(max(along, 0.0), 1.0)
        fx, fy, fz = qx - ox - share * ex, qy - oy - share * ey, qz - oz - share * ez
        d2 = fx * fx + fy * fy + fz * fz
        if d2 < best:
            best = d2
            if edge == 0:
                v, w = share, 0.0
            elif edge == 1:
                v, w = 0.0, share
            else:
                v, w = 1.0 - share, share
    return v, w


@inner
def closest_on_triangle(triangles, i, px, py, pz):
    """Return (squared distance, x, y, z) of the closest point of triangle i; triangles (m, 9), corners one after another.

    Walks the regions of the plane that belong to corners, edges and face. Published: C. Ericson, Real-Time Collision
    Detection, 2005, 5.1.5 (the regions; from memory). Triangles with hardly any area are only their edges.
    """
    ax, ay, az = np.float64(triangles[i, 0]), np.float64(triangles[i, 1]), np.float64(triangles[i, 2])
    abx, aby, abz = triangles[i, 3] - ax, triangles[i, 4] - ay, triangles[i, 5] - az
    acx, acy, acz = triangles[i, 6] - ax, triangles[i, 7] - ay, triangles[i, 8] - az
    qx, qy, qz = px - ax, py - ay, pz - az
    d1 = abx * qx + aby * qy + abz * qz
    d2 = acx * qx + acy * qy + acz * qz
    bb = abx * abx + aby * aby + abz * abz
    bc = abx * acx + aby * acy + abz * acz
    cc = acx * acx + acy * acy + acz * acz
    d3, d4 = d1 - bb, d2 - bc
    d5, d6 = d1 - bc, d2 - cc
    va, vb, vc = d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2
    if d1 <= 0.0 and d2 <= 0.0:
        v, w = 0.0, 0.0
    elif d3 >= 0.0 and d4 <= d3:
        v, w = 1.0, 0.0
    elif d6 >= 0.0 and d5 <= d6:
        v, w = 0.0, 1.0
    elif vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0 and bb > 0.0:
        v, w = d1 / bb, 0.0
    elif vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0 and cc > 0.0:
        v, w = 0.0, d2 / cc
    elif va <= 0.0 and d4 >= d3 and d5 >= d6 and (d4 - d3) + (d5 - d6) > 0.0:
        w = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        v = 1.0 - w
    else:
        whole = va + vb + vc
        if whole > _FLAT * (abs(d3 * d6) + abs(d5 * d4) + abs(d5 * d2) + abs(d1 * d6) + abs(d1 * d4) + abs(d3 * d2)):
            v, w = vb / whole, vc / whole
        else:
            v, w = _closest_on_edges(abx, aby, abz, acx, acy, acz, qx, qy, qz)
    ex, ey, ez = abx * v + acx * w, aby * v + acy * w, abz * v + acz * w
    fx, fy, fz = qx - ex, qy - ey, qz - ez
    return fx * fx + fy * fy + fz * fz, ax + ex, ay + ey, az + ez


@inner
def solid_angle(triangles, i, px, py, pz):
    """Return the signed solid angle of triangle i from a point, 4π for a whole surround.

    Published: A. Van Oosterom, J. Strackee, IEEE Trans. Biomed. Eng. 30, 1983 (from memory).
    """
    ax, ay, az = triangles[i, 0] - px, triangles[i, 1] - py, triangles[i, 2] - pz
    bx, by, bz = triangles[i, 3] - px, triangles[i, 4] - py, triangles[i, 5] - pz
    cx, cy, cz = triangles[i, 6] - px, triangles[i, 7] - py, triangles[i, 8] - pz
    a = math.sqrt(ax * ax + ay * ay + az * az)
    b = math.sqrt(bx * bx + by * by + bz * bz)
    c = math.sqrt(cx * cx + cy * cy + cz * cz)
    top = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
    ab, bc, ca = ax * bx + ay * by + az * bz, bx * cx + by * cy + bz * cz, cx * ax + cy * ay + cz * az
    bottom = a * b * c + ab * c + bc * a + ca * b
    if top == 0.0 and bottom == 0.0:
        return 0.0
    return 2.0 * math.atan2(top, bottom)
