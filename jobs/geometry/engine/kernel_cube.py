"""How much of a cube lies behind a plane, and how large the cut is: both exact."""

from jobs.geometry.engine.jit import inner

# Below this share a plane counts as parallel to an edge: the volume is then off by less than 1e-7 of the cube.
_FLATTEST = 1e-7


@inner
def cube_cut(height, gx, gy, gz):
    """Cut the unit cube about the origin by a plane.

    `height` + g·x ≤ 0 is kept, g of length 1. Returns (volume kept, area of the cut), the area being the derivative of the
    volume with respect to −height. Published: R. Scardovelli, S. Zaleski, J. Comput. Phys. 164, 2000 (from memory).
    """
    a, b, c = abs(gx), abs(gy), abs(gz)
    total = a + b + c
    low, high = min(a, min(b, c)), max(a, max(b, c))
    m1, m3 = max(low / total, _FLATTEST), high / total
    m2 = max(1.0 - m1 - m3, _FLATTEST)
    m3 = 1.0 - m1 - m2
    at = 0.5 - height / total
    if at <= 0.0:
        return 0.0, 0.0
    if at >= 1.0:
        return 1.0, 0.0
    x = min(at, 1.0 - at)
    pair = m1 + m2
    six = 6.0 * m1 * m2 * m3
    if x < m1:
        kept, slope = x * x * x / six, 3.0 * x * x / six
    elif x < m2:
        kept = x * (x - m1) / (2.0 * m2 * m3) + m1 * m1 / (6.0 * m2 * m3)
        slope = (2.0 * x - m1) / (2.0 * m2 * m3)
    elif x < min(pair, m3):
        kept = (x * x * (3.0 * pair - x) + m1 * m1 * (m1 - 3.0 * x) + m2 * m2 * (m2 - 3.0 * x)) / six
        slope = 3.0 * (2.0 * x * pair - x * x - m1 * m1 - m2 * m2) / six
    elif m3 < pair:
        squares = m1 * m1 * (m1 - 3.0 * x) + m2 * m2 * (m2 - 3.0 * x) + m3 * m3 * (m3 - 3.0 * x)
        kept = (x * x * (3.0 - 2.0 * x) + squares) / six
        slope = 3.0 * (2.0 * x - 2.0 * x * x - m1 * m1 - m2 * m2 - m3 * m3) / six
    else:
        kept, slope = (2.0 * x - pair) / (2.0 * m3), 1.0 / m3
    return (kept if at <= 0.5 else 1.0 - kept), slope / total
