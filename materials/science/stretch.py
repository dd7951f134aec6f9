"""How far rubber must stretch to come off an undercut, and how far it may."""

from materials.science.checks import above_nought
from materials.science.errors import BadThickness, OutsideRange

REPEATED_SHARE, FEW_SHARE = 1 / 3, 1 / 2


def stretch_over(*, widest_mm: float, opening_mm: float) -> float:
    """Compute how much the rubber stretches where a wide part passes a narrower opening: P_widest / P_opening − 1 [1].

    Both are girths on the way that the rubber must take. Nought when the opening is wide enough.
    """
    if not above_nought(widest_mm, opening_mm):
        raise BadThickness("The girth of the widest part and of the opening must be more than nought.")
    return max(0.0, widest_mm / opening_mm - 1)


def bending_strain(*, wall_mm: float, radius_mm: float) -> float:
    """Compute the stretch on the outside of a bent wall: t / (2 R), R of the middle of the wall [1].

    Raises
    ------
    BadThickness
        When the radius is smaller than half the wall: it cannot be bent that sharply.
    """
    if not above_nought(wall_mm, radius_mm) or radius_mm < wall_mm / 2:
        raise BadThickness("A wall cannot be bent to a radius smaller than half of it; bend it wider or make it thinner.")
    return wall_mm / (2 * radius_mm)


def allowed_stretch(*, elongation_percent: float, repeated: bool = True) -> float:
    """Return the stretch that rubber bears at each pull: a third of that at break, for few pulls a half [1].

    Raises
    ------
    OutsideRange
        When the elongation at break is not 20 to 1500 %.

    Notes
    -----
    Common practice, no source.
    """
    if not 20 <= elongation_percent <= 1500:
        raise OutsideRange("Elongation at break lies between 20 and 1500 %; correct it on the material's page.")
    return elongation_percent / 100 * (REPEATED_SHARE if repeated else FEW_SHARE)


def tear_force_n(*, tear_strength_kn_m: float, wall_mm: float) -> float:
    """Compute the force that runs a tear on through a wall: T t [N]; kN/m times mm is N."""
    if not above_nought(tear_strength_kn_m, wall_mm):
        raise BadThickness("A tear needs a tear strength and a wall above nought.")
    return tear_strength_kn_m * wall_mm
