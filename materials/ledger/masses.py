"""Masses as the ledger writes them: grams to three places, rounded half up."""

from decimal import ROUND_HALF_UP, Decimal

from materials.errors import BadMass

Mass = Decimal | int | str

STEP = Decimal("0.001")
MOST_G = Decimal("999999999.999")


def whole_mass(value: Mass) -> Decimal:
    """Return a mass that may be nought, or refuse it."""
    mass = Decimal(value)
    if not mass.is_finite() or mass < 0:
        raise BadMass("A mass must be a number of grams, nought or more.")
    if mass > MOST_G:
        raise BadMass("That is more than can be written down; check the mass and its unit.")
    return rounded(mass)


def positive(value: Mass) -> Decimal:
    """Return a mass above nought, or refuse it."""
    mass = whole_mass(value)
    if mass == 0:
        raise BadMass("A mass of at least a thousandth of a gram is needed.")
    return mass


def rounded(value: Decimal) -> Decimal:
    """Round to the thousandth of a gram."""
    return value.quantize(STEP, rounding=ROUND_HALF_UP)
