"""Numbered arrows around a picture of a piece: where each shell piece is pulled to."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats
from jobs.geometry.study.colours import INK, piece_colour
from jobs.geometry.study.directions import Direction

if TYPE_CHECKING:
    from jobs.geometry.study.stills import Sight

Image = NDArray[np.uint8]
# Digits on a grid of 5 rows and 3 columns, row by row.
_FONT = (
    (7, 5, 5, 5, 7), (2, 6, 2, 2, 7), (7, 1, 7, 4, 7), (7, 1, 7, 1, 7), (5, 5, 7, 1, 1),
    (7, 4, 7, 1, 7), (7, 4, 7, 5, 7), (7, 1, 1, 1, 1), (7, 5, 7, 5, 7), (7, 5, 7, 1, 7),
)  # fmt: skip


def draw_arrows(image: Image, sight: "Sight", points: Doubles, pulls: Sequence[Direction]) -> None:
    """Draw an arrow for each pull, beginning outside the piece, with the number of its shell piece at its head.

    An arrow that points at the eye, or away from it, becomes a ring with a dot, or with a cross, as on drawings.
    """
    rows, columns = image.shape[:2]
    unit = rows / 400.0
    outline = sight.pixels(points)[:, :2]
    middle = np.array(sight.middle)
    for number, pull in enumerate(pulls, start=1):
        way = sight.across @ np.array([pull.x, pull.y, pull.z])
        flat = np.array([way[0], -way[1]])
        length = float(np.linalg.norm(flat))
        ahead = flat / length if length > 1e-6 else np.array([0.0, 1.0])
        start = middle + ahead * (float(((outline - middle) @ ahead).max()) + 7 * unit)
        if length < 0.25:
            tip = start + ahead * 14 * unit
            _ring(image, tip, 9 * unit, unit, towards_eye=way[2] > 0)
        else:
            # A pull that leans away from the picture is foreshortened, as all else is.
            tip = start + ahead * (16 + 20 * length) * unit
            _arrow(image, start, tip, ahead, unit)
        _number(image, np.clip(tip + ahead * 16 * unit, 14 * unit, (columns - 14 * unit, rows - 14 * unit)), number, unit)


def _blend(part: Image, inside: NDArray[np.bool_], colour: tuple[int, int, int]) -> None:
    part[inside, :3] = colour
    part[inside, 3] = 255


def _window(image: Image, middle: Doubles, reach: float) -> tuple[Image, Floats, Floats]:
    """Return the part of a picture around a place, and its pixels' columns and rows."""
    rows, columns = image.shape[:2]
    left, right = (int(np.clip(middle[0] + side, 0, columns)) for side in (-reach, reach))
    top, bottom = (int(np.clip(middle[1] + side, 0, rows)) for side in (-reach, reach))
    return image[top:bottom, left:right], np.arange(left, right)[None, :] + 0.5, np.arange(top, bottom)[:, None] + 0.5


def _arrow(image: Image, start: Doubles, tip: Doubles, ahead: Doubles, unit: float) -> None:
    part, x, y = _window(image, (start + tip) / 2, float(np.linalg.norm(tip - start)) / 2 + 10 * unit)
    along = (x - start[0]) * ahead[0] + (y - start[1]) * ahead[1]
    aside = np.abs((x - start[0]) * -ahead[1] + (y - start[1]) * ahead[0])
    whole = float(np.linalg.norm(tip - start))
    head = 15 * unit
    shaft = (along >= 0) & (along <= whole - head) & (aside <= 1.6 * unit)
    point = (along > whole - head) & (along <= whole) & (aside <= (whole - along) * 0.36)
    # A pale rim keeps the arrow readable on dark grounds too.
    rim = (along >= -1.5 * unit) & (along <= whole - head) & (aside <= 3.1 * unit)
    rim |= (along > whole - head - 2 * unit) & (along <= whole + 3 * unit) & (aside <= (whole + 3 * unit - along) * 0.42)
    _blend(part, rim, (251, 250, 246))
    _blend(part, shaft | point, INK)


def _ring(image: Image, middle: Doubles, radius: float, unit: float, *, towards_eye: bool) -> None:
    part, x, y = _window(image, middle, 20 * unit)
    away = np.hypot(x - middle[0], y - middle[1])
    _blend(part, away <= radius + 1.5 * unit, (251, 250, 246))
    _blend(part, np.abs(away - radius) <= 1.3 * unit, INK)
    if towards_eye:
        _blend(part, away <= 3 * unit, INK)
    else:
        one, other = (x - middle[0]) + (y - middle[1]), (x - middle[0]) - (y - middle[1])
        _blend(part, (away < radius) & (np.minimum(np.abs(one), np.abs(other)) <= 1.6 * unit), INK)


def _number(image: Image, middle: Doubles, number: int, unit: float) -> None:
    """Draw a number in a disc of its shell piece's colour."""
    part, x, y = _window(image, middle, 20 * unit)
    away = np.hypot(x - middle[0], y - middle[1])
    ground = piece_colour(number)
    _blend(part, away <= 13.5 * unit, (251, 250, 246))
    _blend(part, away <= 12.5 * unit, INK)
    _blend(part, away <= 11.2 * unit, ground)
    light = 0.2126 * ground[0] + 0.7152 * ground[1] + 0.0722 * ground[2] > 130
    text = str(number)
    dot = 2.4 * unit
    left, top = middle[0] - dot * (4 * len(text) - 1) / 2, middle[1] - dot * 2.5
    for place, digit in enumerate(text):
        for row, bits in enumerate(_FONT[int(digit)]):
            for column in range(3):
                if bits & (4 >> column):
                    at_x, at_y = left + dot * (4 * place + column), top + dot * row
                    inside = (x >= at_x) & (x < at_x + dot) & (y >= at_y) & (y < at_y + dot)
                    _blend(part, inside, INK if light else (251, 250, 246))
