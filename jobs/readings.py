"""What a tape tells of one piece, between the form, the rows and the geometry."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from jobs.geometry.extras import Solid
from jobs.geometry.solids import DIMENSIONS, SolidKind
from jobs.geometry.stack import Girth
from jobs.geometry.tape import TapeBrief
from jobs.geometry.texture import SMOOTH, ridged_texture
from studio.figures import Given

# Which of a row's three lengths each named dimension of a solid is typed into.
LENGTH_FIELDS: Mapping[str, str] = {
    "length": "length_mm",
    "diameter": "length_mm",
    "base diameter": "length_mm",
    "diameter through the middle of the tube": "length_mm",
    "width": "width_mm",
    "top diameter": "width_mm",
    "tube diameter": "width_mm",
    "height": "height_mm",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GirthTyped:
    """One girth, how far the next lies along the surface, and its height where that was measured too."""

    girth_mm: float
    along_mm: float | None = None
    height_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidTyped:
    """A simple solid added to the piece, or a hollow taken out of it."""

    shape: str
    length_mm: float
    width_mm: float | None = None
    height_mm: float | None = None
    label: str = ""
    taken_away: bool = False
    count: int = 1
    contact_area_mm2: float | None = None
    through: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeReadings:
    """All that was read with a tape on one piece."""

    girths: tuple[GirthTyped, ...] = ()
    solids: tuple[SolidTyped, ...] = ()
    stands_on_board: bool = True
    flange_width_mm: float = 0.0
    texture_height_mm: float = 0.0
    texture_spacing_mm: float = 0.0


def brief_of_readings(readings: TapeReadings) -> TapeBrief:
    """Turn readings into what the geometry measures; lengths that a solid lacks are left to it to refuse."""
    return TapeBrief(
        girths=tuple(
            Girth(girth_mm=row.girth_mm, along_mm=row.along_mm or 0.0, height_mm=row.height_mm) for row in readings.girths
        ),
        solids=tuple(_solid(row) for row in readings.solids),
        stands_on_board=readings.stands_on_board,
        flange_width_mm=readings.flange_width_mm,
        texture=texture_given(height_mm=readings.texture_height_mm, spacing_mm=readings.texture_spacing_mm),
    )


def texture_given(*, height_mm: float, spacing_mm: float) -> Given:
    """Return the texture factor of ridges measured crest to trough and crest to crest; no height means smooth."""
    if height_mm == 0:
        return SMOOTH
    return ridged_texture(amplitude_mm=height_mm / 2, wavelength_mm=spacing_mm)


def _solid(row: SolidTyped) -> Solid:
    kind = SolidKind(row.shape)
    lengths = (getattr(row, LENGTH_FIELDS[label]) for label in DIMENSIONS[kind])
    return Solid(
        kind=kind,
        dimensions_mm=tuple(length if length is not None else 0.0 for length in lengths),
        count=row.count,
        taken_away=row.taken_away,
        contact_area_mm2=row.contact_area_mm2,
        through=row.through,
    )


def readings_to_json(readings: TapeReadings) -> dict[str, Any]:
    """Turn readings into plain values, kept beside the takeoff they gave."""
    return asdict(readings)


def readings_from_json(data: Mapping[str, Any]) -> TapeReadings:
    """Read what `readings_to_json` wrote."""
    rest = {key: value for key, value in data.items() if key not in ("girths", "solids")}
    return TapeReadings(
        girths=tuple(GirthTyped(**row) for row in data["girths"]),
        solids=tuple(SolidTyped(**row) for row in data["solids"]),
        **rest,
    )
