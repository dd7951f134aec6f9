"""How much of a fill chunks of old rubber can take."""

import math

from materials.science.checks import above_nought
from materials.science.errors import BadPacking
from studio.figures import Given, Source, SourceKind

_MEASURED = Source(
    kind=SourceKind.PUBLISHED, text="Baker & Kudrolli, Phys. Rev. E 82:061304, 2010: cubes 0.54 loose, 0.67 shaken"
)
_BY_HAND = Source(kind=SourceKind.FROM_MEMORY, text="broken stone leaves 40 to 50 % voids; hand-placed pieces 30 to 40 %")

LOOSE_CUBES = Given(label="Cubes tipped in", value=0.54, unit="1", low=0.53, high=0.55, source=_MEASURED)
SHAKEN_CUBES = Given(label="Cubes shaken down", value=0.67, unit="1", low=0.66, high=0.68, source=_MEASURED)
TIPPED_CHUNKS = Given(label="Hand-cut chunks tipped in", value=0.50, unit="1", low=0.45, high=0.55, source=_BY_HAND)
PLACED_CHUNKS = Given(label="Hand-cut chunks placed", value=0.65, unit="1", low=0.60, high=0.70, source=_BY_HAND)
PACKINGS: tuple[Given, ...] = (TIPPED_CHUNKS, LOOSE_CUBES, PLACED_CHUNKS, SHAKEN_CUBES)

DENSEST = 0.90
NARROWEST_IN_CHUNKS, WIDEST_IN_CHUNKS = 1.5, 50.0


def fresh_volume(*, cavity_volume: float, scrap_share: float, packing_fraction: float) -> float:
    """Compute the fresh rubber that a fill still takes, in the unit of `cavity_volume`.

    Parameters
    ----------
    cavity_volume : float
        Volume of the fill.
    scrap_share : float
        Share of the fill that is packed with chunks, 0 to 1. [1]
    packing_fraction : float
        Share of that space the chunks themselves take, 0 to 0.9. [1]

    Notes
    -----
    fresh = V (1 − share φ).
    """
    return cavity_volume - scrap_volume(cavity_volume=cavity_volume, scrap_share=scrap_share, packing_fraction=packing_fraction)


def scrap_volume(*, cavity_volume: float, scrap_share: float, packing_fraction: float) -> float:
    """Compute the volume of the chunks themselves: V × share × φ, in the unit of `cavity_volume`."""
    if not cavity_volume >= 0:
        raise BadPacking("The volume of the fill cannot be less than nought.")
    if not 0 <= scrap_share <= 1:
        raise BadPacking("The share of scrap in the fill must lie between 0 and 100 %.")
    if not 0 <= packing_fraction <= DENSEST:
        raise BadPacking(f"Chunks fill at most {DENSEST:g} of their space, and about 0.5 when tipped in; correct the packing.")
    return cavity_volume * scrap_share * packing_fraction


def chunk_too_large(*, chunk_edge_mm: float, layer_mm: float) -> bool:
    """Tell whether a chunk is larger than a third of the layer it is buried in (common practice)."""
    return chunk_edge_mm > layer_mm / 3


def packing_between_walls(*, packing_fraction: float, chunk_edge_mm: float, gap_mm: float) -> float:
    """Lower a packing fraction for a narrow space, whose walls keep chunks from lying close [1].

    Parameters
    ----------
    packing_fraction : float
        Share of a wide space that the chunks take, 0 to 0.9. [1]
    chunk_edge_mm : float
        Edge of a chunk, taken as a cube. [mm]
    gap_mm : float
        Width of the space, taken as a round tube. [mm]

    Raises
    ------
    BadPacking
        When the space is narrower than one and a half chunks (balls of the same volume).

    Notes
    -----
    φ − 1.0814 / (N + 0.1226)², N the width in balls of a chunk's volume; beyond 50 nothing is taken off. It costs less
    than 0.05 from five chunks on.

    References
    ----------
    .. [1] F. Benyahia and K. E. O'Neill, Particulate Science and Technology 23, 2005 (published).
    """
    if not 0 <= packing_fraction <= DENSEST or not above_nought(chunk_edge_mm, gap_mm):
        raise BadPacking("Chunks need an edge, a space above nought and a packing of 0 to 0.9.")
    across = gap_mm / (chunk_edge_mm * (6 / math.pi) ** (1 / 3))
    if across < NARROWEST_IN_CHUNKS:
        raise BadPacking("The space is hardly wider than one chunk; cut the chunks smaller or fill it with fresh rubber.")
    if across > WIDEST_IN_CHUNKS:
        return packing_fraction
    lost: float = 1.0814 / (across + 0.1226) ** 2
    return max(0.0, packing_fraction - lost)
