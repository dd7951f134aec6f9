"""How stiff soft rubber is, and how high a free flap of it stands."""

import math

from materials.science.checks import above_nought
from materials.science.errors import BadThickness, OutsideRange
from materials.science.material import MaterialSpec
from materials.science.mixing import GRAVITY_M_S2
from studio.figures import Figure, Given, Source, SourceKind

GREENHILL = 7.8373
# From 100 erf(3.186e-4 √E): per √Pa.
ERF_SCALE = 3.186e-4
SOFTEST_SHORE_A, HARDEST_SHORE_A = 1.0, 80.0
SOFTEST_QI_SHORE_A = 20.0

RELATIONS = Source(
    kind=SourceKind.PUBLISHED,
    text="A. N. Gent 1958; Qi, Joyce & Boyce 2003 (20 to 80 Shore A); error-function curve of the hardness standards",
)
NEO_HOOKEAN = Source(
    kind=SourceKind.COMPUTED, text="neo-Hookean rubber: modulus = 3 ÷ 1.75 × stress at 100 % stretch; best for 10 to 30 Shore A"
)


def modulus_from_100_mpa(*, modulus_100_mpa: float) -> float:
    """Compute Young's modulus from the stress at twice the length: E = (3/1.75) σ100 [MPa].

    Raises
    ------
    OutsideRange
        When the stress is not above nought.

    Notes
    -----
    Neo-Hookean; the best estimate for 10 to 30 Shore A.
    """
    if not above_nought(modulus_100_mpa):
        raise OutsideRange("The modulus at 100 % must be more than nought; correct it on the material's page.")
    return 3 / 1.75 * modulus_100_mpa


def modulus_gent_mpa(*, shore_a: float) -> float:
    """Estimate Young's modulus from Shore A, 1 to 80 [MPa].

    Raises
    ------
    OutsideRange
        Outside 1 to 80 Shore A.

    Notes
    -----
    Good for 40 to 80; overstates softer rubber, so it is near the upper end of a range there.

    References
    ----------
    .. [1] A. N. Gent, 1958 (published).
    """
    _check_shore(shore_a, SOFTEST_SHORE_A)
    return 0.0981 * (56 + 7.62336 * shore_a) / (0.137505 * (254 - 2.54 * shore_a))


def modulus_qi_mpa(*, shore_a: float) -> float:
    """Estimate Young's modulus from Shore A, 20 to 80: log10 E = 0.0235 S − 0.6403 [MPa].

    Raises
    ------
    OutsideRange
        Outside 20 to 80 Shore A.

    References
    ----------
    .. [1] H. J. Qi, K. Joyce and M. C. Boyce, 2003 (published). The base is ten, not e.
    """
    _check_shore(shore_a, SOFTEST_QI_SHORE_A)
    return float(10 ** (0.0235 * shore_a - 0.6403))


def modulus_erf_mpa(*, shore_a: float) -> float:
    """Estimate Young's modulus from Shore A, 1 to 80, by S = 100 erf(3.186e-4 √E[Pa]) [MPa].

    Raises
    ------
    OutsideRange
        Outside 1 to 80 Shore A.

    Notes
    -----
    Right in the limit of very soft rubber; near the lower end of a range elsewhere.

    References
    ----------
    .. [1] The curve behind BS 1674 and its successors (published).
    """
    _check_shore(shore_a, SOFTEST_SHORE_A)
    target, found = shore_a / 100, 0.5
    for _ in range(50):
        step = (math.erf(found) - target) * math.sqrt(math.pi) / 2 * math.exp(found**2)
        found -= step
        if abs(step) < 1e-14:
            break
    return float((found / ERF_SCALE) ** 2 / 1e6)


def modulus_range(material: MaterialSpec) -> Figure | None:
    """Estimate Young's modulus of a rubber with the spread of all relations that its data allow [MPa].

    The value is that of the 100 % modulus where it is stated, otherwise the geometric mean of the lowest and highest.

    Returns
    -------
    Figure or None
        None when neither hardness nor 100 % modulus is stated, or only a hardness outside 1 to 80 Shore A.
    """
    stress, shore = material.get("modulus_100_mpa"), material.get("hardness_shore_a")
    usable = shore is not None and SOFTEST_SHORE_A <= shore.value <= HARDEST_SHORE_A
    spread = spread_of_modulus_mpa(
        modulus_100_mpa=None if stress is None else stress.value, shore_a=shore.value if shore is not None and usable else None
    )
    if spread is None:
        return None
    low, high = spread
    given: tuple[Given, ...] = tuple(item for item in (stress, shore if usable else None) if item is not None)
    return Figure(
        key="modulus",
        label="Stiffness of the rubber (Young's modulus)",
        value=math.sqrt(low * high) if stress is None else modulus_from_100_mpa(modulus_100_mpa=stress.value),
        unit="MPa",
        formula="3 ÷ 1.75 × modulus at 100 %" if stress is not None else "√(lowest × highest relation from hardness)",
        given=given,
        source=RELATIONS if stress is None else NEO_HOOKEAN,
        low=low,
        high=high,
        note="Relations between hardness and stiffness differ two- to fivefold for soft rubber." if usable else "",
    )


def freestanding_height_m(*, modulus_mpa: float, thickness_mm: float, density_kg_m3: float) -> float:
    """Compute the height at which a vertical flap folds under its own weight [m].

    Notes
    -----
    H = (7.8373 E t² / (12 ρ g))^(1/3).

    References
    ----------
    .. [1] A. G. Greenhill, 1881 (published).
    """
    if not above_nought(modulus_mpa, thickness_mm, density_kg_m3):
        raise BadThickness("A flap needs a modulus, a thickness and a density above nought.")
    bending = modulus_mpa * 1e6 * (thickness_mm / 1000) ** 2 / 12
    return float((GREENHILL * bending / (density_kg_m3 * GRAVITY_M_S2)) ** (1 / 3))


def spread_of_modulus_mpa(*, modulus_100_mpa: float | None, shore_a: float | None) -> tuple[float, float] | None:
    """Return the lowest and highest of the estimates that the data allow, or None without data."""
    found = []
    if modulus_100_mpa is not None:
        found.append(modulus_from_100_mpa(modulus_100_mpa=modulus_100_mpa))
    if shore_a is not None:
        found.append(modulus_gent_mpa(shore_a=shore_a))
        found.append(modulus_erf_mpa(shore_a=shore_a))
        if shore_a >= SOFTEST_QI_SHORE_A:
            found.append(modulus_qi_mpa(shore_a=shore_a))
    return (min(found), max(found)) if found else None


def _check_shore(shore_a: float, softest: float) -> None:
    if not softest <= shore_a <= HARDEST_SHORE_A:
        raise OutsideRange(
            f"This relation between hardness and stiffness is known for {softest:g} to {HARDEST_SHORE_A:g} Shore A; "
            "enter the modulus at 100 % from the data sheet."
        )
