"""Values as the ledger writes them: money to four places, so that a line's rounding never reaches a cent."""

from decimal import ROUND_HALF_UP, Decimal

STEP = Decimal("0.0001")
G_PER_KG = Decimal(1000)
DEAREST_PER_KG = Decimal("99999999.9999")
NOTHING = Decimal(0)


def money(value: Decimal) -> Decimal:
    """Round to the ten-thousandth."""
    return value.quantize(STEP, rounding=ROUND_HALF_UP)


def worth(mass_g: Decimal, per_kg: Decimal) -> Decimal:
    """Compute what a mass is worth at a price per kilogram."""
    return money(mass_g * per_kg / G_PER_KG)


def per_kg(value: Decimal, mass_g: Decimal) -> Decimal:
    """Compute what a kilogram costs where a mass is worth a value; nought of nothing.

    A thousandth of a gram that carries the rounding of many lines would cost more than can be written down, so it is capped.
    """
    if mass_g <= 0:
        return NOTHING
    return min(money(value * G_PER_KG / mass_g), DEAREST_PER_KG)


def part_of(value: Decimal, *, mass_g: Decimal, of_g: Decimal) -> Decimal:
    """Compute the share of a value that a part of its mass takes along; the whole mass takes the whole value."""
    if mass_g >= of_g:
        return value
    return min(money(value * mass_g / of_g), value)
