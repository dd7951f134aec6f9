"""What size a casting comes out."""

from materials.properties import Chemistry, MaterialKind
from materials.science.checks import nought_or_more
from materials.science.errors import ScienceError
from studio.figures import Given, Source, SourceKind


def linear_from_volume(volume_share: float) -> float:
    """Compute linear shrinkage from volume shrinkage, both as shares: 1 − (1 − s)^(1/3)."""
    if not 0 <= volume_share < 1:
        raise ScienceError("A volume shrinkage must lie between 0 and 100 %.")
    return float(1 - (1 - volume_share) ** (1 / 3))


def _usual(value: float, low: float, high: float, source: Source) -> Given:
    return Given(label="Usual linear shrinkage", value=value, unit="%", low=low, high=high, source=source)


_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
_USUAL: dict[tuple[MaterialKind, Chemistry], Given] = {
    (MaterialKind.RUBBER, Chemistry.PLATINUM_SILICONE): _usual(
        0.05, 0.0, 0.1, Source(kind=SourceKind.PUBLISHED, text="a summary of silicone chemistry: less than 0.1 %")
    ),
    (MaterialKind.RUBBER, Chemistry.TIN_SILICONE): _usual(
        0.35, 0.2, 1.0, Source(kind=SourceKind.FROM_MEMORY, text="0.2 to 0.5 % in the first days, 1 % over months")
    ),
    (MaterialKind.RESIN, Chemistry.POLYURETHANE): _usual(
        0.5, 0.2, 0.8, Source(kind=SourceKind.COMMON_PRACTICE, text="rises with mass, wall and heat of cure")
    ),
    (MaterialKind.RESIN, Chemistry.POLYESTER): _usual(
        100 * linear_from_volume(0.07),
        100 * linear_from_volume(0.05),
        100 * linear_from_volume(0.13),
        Source(kind=SourceKind.PUBLISHED, text="5 to 13 % by volume, 7 % often told, cast free and unfilled"),
    ),
    (MaterialKind.RESIN, Chemistry.EPOXY): _usual(0.3, 0.1, 0.5, _PRACTICE),
}


def cast_length_mm(*, piece_length_mm: float, mold_percent: float, resin_percent: float) -> float:
    """Compute a length of the casting: L (1 − s_mold)(1 − s_resin) [mm].

    A blanket in a rigid shell is partly held at size, so this is the small end.
    """
    if not (0 <= mold_percent < 100 and 0 <= resin_percent < 100):
        raise ScienceError("A linear shrinkage must lie between 0 and 100 %.")
    if not nought_or_more(piece_length_mm):
        raise ScienceError("The length of a piece cannot be less than nought.")
    return piece_length_mm * (1 - mold_percent / 100) * (1 - resin_percent / 100)


def oversize_factor(*, mold_percent: float, resin_percent: float) -> float:
    """Compute by what the piece must be larger for the casting to come out at size."""
    return 1 / cast_length_mm(piece_length_mm=1.0, mold_percent=mold_percent, resin_percent=resin_percent)


def usual_shrinkage(kind: MaterialKind, chemistry: Chemistry) -> Given | None:
    """Return the usual linear shrinkage of a rubber or resin with its range, or None where none is told [%].

    Free castings; a thin or held skin shrinks less. A material's own value goes before it.
    """
    return _USUAL.get((kind, chemistry))
