"""Numbers and lines of text meshes, read straight from the bytes.

Every reader gives up (status 0) at the first thing that is odd: it reads clean files fast, and leaves it to the plain readers
to say what is wrong with the others.
"""

from fractions import Fraction

import numpy as np

from jobs.geometry.engine.jit import exact

_MOST_TEN = 270
_POWERS = [Fraction(10) ** power for power in range(-_MOST_TEN, _MOST_TEN + 1)]
# Powers of ten as the sum of two floats: together they hold about 32 digits.
_TEN_HIGH = np.array([float(power) for power in _POWERS])
_TEN_LOW = np.array([float(power - Fraction(float(power))) for power in _POWERS])
_EXACT_INTEGER = np.uint64(1 << 53)


@exact
def scaled(mantissa, ten):
    """Return mantissa × 10^ten as the nearest float, or its neighbour in about one of 10^9 cases; |ten| ≤ 270."""
    if -22 <= ten <= 22 and mantissa <= _EXACT_INTEGER:
        # Both numbers are exact, so one rounding is all there is (Clinger 1990).
        if ten < 0:
            return np.float64(mantissa) / _TEN_HIGH[_MOST_TEN - ten]
        return np.float64(mantissa) * _TEN_HIGH[_MOST_TEN + ten]
    high = np.float64(mantissa)
    low = np.float64(np.int64(mantissa - np.uint64(high)))
    ten_high, ten_low = _TEN_HIGH[_MOST_TEN + ten], _TEN_LOW[_MOST_TEN + ten]
    product = high * ten_high
    # What the product lost (Dekker 1971): split both factors into halves whose products are exact.
    spread = 134217729.0 * high
    a = spread - (spread - high)
    b = high - a
    spread = 134217729.0 * ten_high
    c = spread - (spread - ten_high)
    d = ten_high - c
    lost = ((a * c - product) + a * d + b * c) + b * d
    return product + (lost + (high * ten_low + low * ten_high))


@exact
def number_at(data, at, end):
    """Read a decimal number; returns (value, where it ends, whether it is one)."""
    negative = False
    if at < end and (data[at] == 45 or data[at] == 43):
        negative = data[at] == 45
        at += 1
    mantissa, ten, kept, digits, point = np.uint64(0), 0, 0, 0, False
    while at < end:
        digit = np.int64(data[at]) - 48
        if 0 <= digit <= 9:
            digits += 1
            if kept < 19:
                mantissa = mantissa * np.uint64(10) + np.uint64(digit)
                if mantissa > np.uint64(0):
                    kept += 1
                if point:
                    ten -= 1
            elif not point:
                ten += 1
        elif digit == -2 and not point:
            point = True
        else:
            break
        at += 1
    if digits == 0:
        return 0.0, at, False
    if at < end and (data[at] == 101 or data[at] == 69):
        at += 1
        down = False
        if at < end and (data[at] == 45 or data[at] == 43):
            down = data[at] == 45
            at += 1
        power, digits = 0, 0
        while at < end and 48 <= data[at] <= 57:
            power = min(10 * power + np.int64(data[at]) - 48, 100000)
            digits += 1
            at += 1
        if digits == 0:
            return 0.0, at, False
        ten += -power if down else power
    if at < end and data[at] > 32:
        return 0.0, at, False
    if mantissa == np.uint64(0):
        return 0.0, at, True
    if ten < -_MOST_TEN or ten > _MOST_TEN:
        return 0.0, at, False
    value = scaled(mantissa, ten)
    return (-value if negative else value), at, True


@exact
def whole_at(data, at, end):
    """Read a whole number of up to 12 digits; returns (value, where it ends, whether it is one)."""
    negative = False
    if at < end and (data[at] == 45 or data[at] == 43):
        negative = data[at] == 45
        at += 1
    value, digits = np.int64(0), 0
    while at < end and 48 <= data[at] <= 57 and digits < 13:
        value = 10 * value + np.int64(data[at]) - 48
        digits += 1
        at += 1
    return (-value if negative else value), at, 0 < digits < 13


@exact
def past_spaces(data, at, end):
    """Step over spaces and tabs within a line."""
    while at < end and (data[at] == 32 or data[at] == 9 or data[at] == 11 or data[at] == 12):
        at += 1
    return at


@exact
def line_end(data, at, end):
    """Return where the line ends."""
    while at < end and data[at] != 10 and data[at] != 13:
        at += 1
    return at


@exact
def next_line(data, at, end):
    """Step over line ends, blank lines and the spaces before a line's first word."""
    while at < end and (data[at] <= 13 or data[at] == 32) and data[at] >= 9:
        at += 1
    return at


@exact
def word_is(data, at, end, word):
    """Say whether this lower-case word stands here, in any case, followed by a space or the end."""
    n = len(word)
    if at + n > end or (at + n < end and data[at + n] > 32):
        return False
    for i in range(n):
        if (data[at + i] | 32) != word[i]:
            return False
    return True
