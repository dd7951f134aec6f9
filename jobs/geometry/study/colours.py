"""Colours of the layers, the same in stills and in the turning view: lightness alone tells more from less."""

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats

Rgb = tuple[int, int, int]

# From little to much, each ramp falling steadily in lightness, so that a grey print reads the same.
RAMPS: dict[str, tuple[Rgb, ...]] = {
    "depth": ((240, 233, 214), (218, 190, 139), (180, 132, 76), (122, 80, 46), (60, 36, 28)),
    "slope": ((238, 238, 230), (190, 203, 205), (130, 155, 167), (78, 104, 124), (33, 49, 68)),
    "fill": ((238, 235, 224), (178, 207, 192), (107, 165, 148), (42, 112, 99), (10, 56, 52)),
}
PLAIN: Rgb = (226, 220, 205)
# Shell pieces, told apart by lightness alone; further ones begin again.
PIECES: tuple[Rgb, ...] = ((233, 221, 189), (64, 117, 109), (196, 151, 78), (38, 55, 66), (158, 178, 172), (117, 74, 48))
NO_PIECE: Rgb = (205, 203, 197)
INK: Rgb = (31, 40, 46)


def ramp_colours(name: str, shares: Floats) -> Doubles:
    """Return the colours (n, 3), 0 to 255, for shares of a layer's range, 0 to 1."""
    stops = np.array(RAMPS[name], dtype=np.float64)
    places = np.linspace(0.0, 1.0, len(stops))
    return np.stack([np.interp(shares, places, stops[:, channel]) for channel in range(3)], axis=-1)


def piece_colours(numbers: NDArray[np.integer]) -> Doubles:
    """Return the colours (n, 3) of shell pieces by their number; 0 is none."""
    table = np.array([NO_PIECE, *PIECES], dtype=np.float64)
    found: Doubles = table[np.where(numbers > 0, (numbers - 1) % len(PIECES) + 1, 0)]
    return found


def piece_colour(number: int) -> Rgb:
    """Return the colour of one shell piece."""
    return PIECES[(number - 1) % len(PIECES)] if number > 0 else NO_PIECE


def layer_range(name: str, values: Floats) -> tuple[float, float]:
    """Return the values at which a layer's ramp begins and ends: the slope always from 0 to 180, the others from 0."""
    if name == "slope":
        return 0.0, 180.0
    top = float(np.max(values, initial=0.0))
    return 0.0, top if top > 0 else 1.0
