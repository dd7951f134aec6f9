"""Most files carry no unit: guess it from the size, and ask; where the file or its format states one, say so."""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_EXTENT_MM, MIN_EXTENT_MM

# Millimetres in one unit of the file (inch: NIST SP 811, exact).
MM_PER_UNIT: Mapping[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
UNIT_NAMES: Mapping[str, str] = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches"}


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitGuess:
    """The likeliest unit, why, and the largest extent in mm that each unit would give."""

    unit: str
    why: str
    largest_mm: Mapping[str, float]


def guess_unit(extents: tuple[float, float, float], stated: str = "") -> UnitGuess:
    """Guess the unit of a mesh from its extents as read (common practice, no source: pieces are 2 cm to 3 m tall).

    Scanning programs write millimetres unless told otherwise, so they are taken wherever they give a likely size; below
    that metres (up to 1.5) and then centimetres. A unit that the file states is taken unless no piece can be of that size.
    """
    largest = max(extents)
    if not largest > 0:
        raise GeometryError("The mesh has no extent. Export the scan again.")
    sizes = {name: largest * factor for name, factor in MM_PER_UNIT.items()}
    if stated and MIN_EXTENT_MM <= sizes[stated] <= MAX_EXTENT_MM:
        why = f"this is its unit, in which the largest extent is {_shown(sizes[stated])}"
        return UnitGuess(unit=stated, why=why, largest_mm=sizes)
    if largest >= 20:
        unit = "mm"
    elif largest <= 1.5:
        unit = "m"
    else:
        unit = "cm"
    why = f"the largest extent is {largest:.4g}, which in {UNIT_NAMES[unit]} is {_shown(sizes[unit])}"
    return UnitGuess(unit=unit, why=why, largest_mm=sizes)


def scale_of(unit: str) -> float:
    """Return millimetres in one unit of the file."""
    try:
        return MM_PER_UNIT[unit]
    except KeyError:
        raise GeometryError(f"Choose one of {', '.join(MM_PER_UNIT)} as the unit of the file.") from None


def _shown(size_mm: float) -> str:
    return f"{size_mm / 1000:.3g} m" if size_mm >= 1000 else f"{size_mm:.3g} mm"
