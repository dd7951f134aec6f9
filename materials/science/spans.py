"""What rubber carries between supports: the least wall over a gap, the widest gap, and ribs that make a wall stand.

Small-deflection laws throughout: a sag of at most half the wall, over a gap of at least four walls.
"""

import math
from dataclasses import dataclass

from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import BadThickness, OutsideRange
from materials.science.mixing import GRAVITY_M_S2
from materials.science.plates import Edge, check_thin_plate, deflection_coefficient
from materials.science.stiffness import GREENHILL

HIGHEST_RIB_IN_WALLS = 10.0
# More than this shows on a casting (common practice, no source).
ALLOWED_SAG_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TSection:
    """A strip of wall with one rib on it: area (mm²), centroid above the face (mm), second moment about it (mm⁴)."""

    area_mm2: float
    centroid_mm: float
    second_moment_mm4: float


def head_pa(*, height_mm: float, density_kg_m3: float) -> float:
    """Compute the pressure of resin at a depth: ρ g H [Pa]."""
    if not (nought_or_more(height_mm) and above_nought(density_kg_m3)):
        raise BadThickness("A head of resin needs a height of nought or more and a density above nought.")
    return density_kg_m3 * GRAVITY_M_S2 * height_mm / 1000


def least_wall_for_weight_mm(
    edge: Edge, *, short_mm: float, long_mm: float, modulus_mpa: float, density_kg_m3: float, sag_mm: float
) -> float:
    """Compute the thinnest wall that spans a bare gap under its own weight [mm].

    Raises
    ------
    BadThickness
        When a size, modulus, density or sag is not above nought.
    LargeDeflection
        When the wall would be more than a quarter of the gap, or the sag more than half the wall.

    Notes
    -----
    t = a² √(9 α ρ g / (E w)).
    """
    _check(short_mm, modulus_mpa, density_kg_m3, sag_mm)
    alpha = deflection_coefficient(edge, long_per_short=long_mm / short_mm)
    inside = 9 * alpha * density_kg_m3 * GRAVITY_M_S2 / (modulus_mpa * 1e6 * sag_mm / 1000)
    wall_mm = 1000 * (short_mm / 1000) ** 2 * math.sqrt(inside)
    check_thin_plate(short_mm=short_mm, thickness_mm=wall_mm, sag_mm=sag_mm)
    return wall_mm


def least_wall_for_head_mm(
    edge: Edge, *, short_mm: float, long_mm: float, modulus_mpa: float, pressure_pa: float, sag_mm: float
) -> float:
    """Compute the thinnest wall that spans a bare gap under a pressure, as of resin standing on it [mm].

    Raises
    ------
    BadThickness, LargeDeflection

    Notes
    -----
    t = (9 α q a⁴ / (E w))^(1/3).
    """
    _check(short_mm, modulus_mpa, pressure_pa, sag_mm)
    alpha = deflection_coefficient(edge, long_per_short=long_mm / short_mm)
    cubed = 9 * alpha * pressure_pa * (short_mm / 1000) ** 4 / (modulus_mpa * 1e6 * sag_mm / 1000)
    wall_mm = 1000 * cubed ** (1 / 3)
    check_thin_plate(short_mm=short_mm, thickness_mm=wall_mm, sag_mm=sag_mm)
    return float(wall_mm)


def widest_gap_mm(
    edge: Edge, *, wall_mm: float, modulus_mpa: float, pressure_pa: float, sag_mm: float, long_per_short: float = 1.0
) -> float:
    """Compute the widest gap (its short side) that a wall spans bare under a pressure [mm].

    For its own weight the pressure is `head_pa(height_mm=wall_mm, density_kg_m3=...)` of the rubber itself.

    Raises
    ------
    BadThickness
        When a size, modulus, pressure or sag is not above nought.
    LargeDeflection
        When the gap would be under four walls (then even that is too wide: let the shell touch everywhere), or the sag
        more than half the wall.

    Notes
    -----
    a = (E w t³ / (9 α q))^(1/4), the inverse of `least_wall_for_head_mm`.
    """
    _check(wall_mm, modulus_mpa, pressure_pa, sag_mm)
    alpha = deflection_coefficient(edge, long_per_short=long_per_short)
    fourth = modulus_mpa * 1e6 * sag_mm / 1000 * (wall_mm / 1000) ** 3 / (9 * alpha * pressure_pa)
    gap_mm = 1000 * fourth**0.25
    check_thin_plate(short_mm=gap_mm, thickness_mm=wall_mm, sag_mm=sag_mm)
    return float(gap_mm)


def t_section(*, wall_mm: float, pitch_mm: float, rib_width_mm: float, rib_height_mm: float) -> TSection:
    """Compute the section of a wall with ribs, per rib, by the parallel-axis theorem.

    Raises
    ------
    BadThickness
        When a size is not above nought (a rib's height may be nought), or a rib is wider than the distance between ribs.
    """
    if not (above_nought(wall_mm, pitch_mm, rib_width_mm) and nought_or_more(rib_height_mm)):
        raise BadThickness("A ribbed wall needs a wall, a rib and a distance between ribs above nought.")
    if rib_width_mm > pitch_mm:
        raise BadThickness("A rib cannot be wider than the distance between ribs; make it narrower or set ribs wider apart.")
    parts = (
        (pitch_mm * wall_mm, wall_mm / 2, pitch_mm * wall_mm**3 / 12),
        (rib_width_mm * rib_height_mm, wall_mm + rib_height_mm / 2, rib_width_mm * rib_height_mm**3 / 12),
    )
    area = sum(size for size, _, _ in parts)
    centroid = sum(size * at for size, at, _ in parts) / area
    moment = sum(own + size * (at - centroid) ** 2 for size, at, own in parts)
    return TSection(area_mm2=area, centroid_mm=centroid, second_moment_mm4=moment)


def standing_height_m(
    *,
    modulus_mpa: float,
    density_kg_m3: float,
    wall_mm: float,
    pitch_mm: float,
    rib_width_mm: float,
    rib_height_mm: float,
) -> float:
    """Compute how high a wall with upright ribs stands before it folds under its own weight [m].

    Notes
    -----
    H = (7.8373 E I / (ρ g A))^(1/3) of the T-section, ribs and their weight included.

    References
    ----------
    .. [1] A. G. Greenhill, 1881 (published).
    """
    if not above_nought(modulus_mpa, density_kg_m3):
        raise BadThickness("A flap needs a modulus and a density above nought.")
    section = t_section(wall_mm=wall_mm, pitch_mm=pitch_mm, rib_width_mm=rib_width_mm, rib_height_mm=rib_height_mm)
    radius_m2 = section.second_moment_mm4 / section.area_mm2 / 1e6
    return float((GREENHILL * modulus_mpa * 1e6 * radius_m2 / (density_kg_m3 * GRAVITY_M_S2)) ** (1 / 3))


def rib_height_mm(
    *, height_m: float, modulus_mpa: float, density_kg_m3: float, wall_mm: float, pitch_mm: float, rib_width_mm: float
) -> float:
    """Compute the least height of upright ribs, above the wall, with which it stands by itself; 0 when it does so bare [mm].

    Raises
    ------
    OutsideRange
        When ribs of ten walls' height are not enough.
    BadThickness
        When a size is impossible.
    """

    def stands(rib_mm: float) -> float:
        return standing_height_m(
            modulus_mpa=modulus_mpa, density_kg_m3=density_kg_m3, wall_mm=wall_mm, pitch_mm=pitch_mm,
            rib_width_mm=rib_width_mm, rib_height_mm=rib_mm,
        )  # fmt: skip

    if not above_nought(height_m):
        raise BadThickness("A wall that is to stand by itself needs a height above nought.")
    low, high = 0.0, HIGHEST_RIB_IN_WALLS * wall_mm
    if stands(low) >= height_m:
        return 0.0
    if stands(high) < height_m:
        raise OutsideRange(
            "Ribs alone do not make this wall stand by itself: set them closer, make the wall thicker, take a harder rubber, "
            "or divide the shell so that it holds the blanket."
        )
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if stands(middle) < height_m else (low, middle)
    return high


def outward_share(*, turning_rpm: float, radius_m: float) -> float:
    """Compute the outward pull of turning beside weight: ω² R / g [1]."""
    if not nought_or_more(turning_rpm, radius_m):
        raise BadThickness("Turns a minute and a radius cannot be less than nought.")
    return float((turning_rpm * 2 * math.pi / 60) ** 2 * radius_m / GRAVITY_M_S2)


def _check(*sizes: float) -> None:
    if not above_nought(*sizes):
        raise BadThickness("A span needs a size, a stiffness, a load and an allowed sag above nought.")
