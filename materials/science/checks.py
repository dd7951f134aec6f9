"""What the numbers given to a law must be; a number that is none is never let through."""

import math


def above_nought(*numbers: float) -> bool:
    """Tell whether all are finite and more than nought."""
    return all(math.isfinite(number) and number > 0 for number in numbers)


def nought_or_more(*numbers: float) -> bool:
    """Tell whether all are finite and nought or more."""
    return all(math.isfinite(number) and number >= 0 for number in numbers)
