"""How many digits of a number are worth printing."""

from decimal import ROUND_HALF_UP, Context, Decimal

USUAL_DIGITS = 3
MOST_DIGITS = 4
FEWEST_DIGITS = 2
# Wide enough for the largest float written out.
_EXACT = Context(prec=400)


def places_for(value: Decimal, spread: Decimal | None) -> int:
    """Say how many decimal places to print; negative ones round to tens or hundreds.

    `spread` is half the width of the range in which the number lies. The last digit printed is of its size, with two
    digits at least and four at most. Without a spread three digits are printed and whole numbers are kept whole.
    """
    if not value:
        return 0
    exponent = value.adjusted()
    usual = USUAL_DIGITS - 1 - exponent
    if spread is None or spread <= 0:
        return max(usual, 0)
    wanted = -spread.adjusted()
    return min(max(wanted, FEWEST_DIGITS - 1 - exponent), MOST_DIGITS - 1 - exponent)


def rounded(value: Decimal, places: int) -> Decimal:
    """Round half up to so many places; the result has no exponent."""
    step = Decimal(1).scaleb(-places)
    return _EXACT.multiply(_EXACT.divide(value, step).quantize(Decimal(1), rounding=ROUND_HALF_UP, context=_EXACT), step)


def known(value: Decimal, spread: Decimal | None = None) -> tuple[Decimal, int]:
    """Round a number to the digits that are known; returns it with its decimal places.

    A number that is round already ("6", "2.5") is given no noughts behind, whatever its spread.
    """
    places = places_for(value, spread)
    number = rounded(value, places)
    if number and number.adjusted() > value.adjusted():  # 9.996 became 10.00
        places = places_for(number, spread)
        number = rounded(number, places)
    if number == value:
        while places > 0 and number == rounded(value, places - 1):
            places -= 1
    return number, max(places, 0)
