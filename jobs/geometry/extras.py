"""Simple solids added to a piece and hollows taken out of it."""

import math
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.solids import DIMENSIONS, SolidKind, SolidMeasure, measure_solid
from studio.figures import Figure, Given, Remark, Source, SourceKind

TYPED_LENGTH = Source(kind=SourceKind.MEASURED, text="tape or rule")
MAX_COUNT = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """A simple solid on the piece, or a hollow of that shape in it.

    `contact_area_mm2` is what an added solid hides of the piece, or how wide a hollow opens; without it the solid's flat
    face counts. `through` marks a hollow that is open at both ends.
    """

    kind: SolidKind
    dimensions_mm: tuple[float, ...]
    count: int = 1
    taken_away: bool = False
    contact_area_mm2: float | None = None
    through: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """What all solids of one entry add to the piece (hollows: area gained, volume lost)."""

    area_mm2: float
    volume_mm3: float
    bend_mm: float
    inner_bend_mm: float
    cube: float
    area_figure: Figure
    volume_figure: Figure
    remark: Remark | None


def measure_extra(solid: Solid, number: int) -> Extra:
    """Measure one entry of solids, the `number`-th of the piece.

    Notes
    -----
    Where a solid sits on the piece, both lose the contact area, and the rim turns from an outward edge into an inward
    one: together −π/2 a length. A hollow brings its walls as new surface (the rubber goes into it) without its mouth,
    which the piece loses as well; its bend counts negative, and the lip of the mouth is an outward edge.
    """
    if not 1 <= solid.count <= MAX_COUNT:
        raise GeometryError(f"Give between 1 and {MAX_COUNT} pieces of the {solid.kind.value}.")
    measure = measure_solid(solid.kind, solid.dimensions_mm)
    contact, rim = _contact(solid, measure)
    mouths = 2 if solid.through else 1
    closed = measure.closed
    if solid.taken_away:
        bend = mouths * rim * math.pi / 2 - closed.bend_mm
        inner = mouths * rim * (math.pi / 4 + 1) - closed.bend_mm
        cube = -4 * math.pi / 3 if solid.through else 0.0
    else:
        bend = closed.bend_mm - rim * math.pi / 2
        inner = closed.inner_bend_mm - rim * (math.pi / 4 + 1)
        cube = closed.cube - 4 * math.pi / 3
    area = closed.area_mm2 - 2 * mouths * contact
    volume = -measure.volume_mm3 if solid.taken_away else measure.volume_mm3
    return Extra(
        area_mm2=solid.count * area,
        volume_mm3=solid.count * volume,
        bend_mm=solid.count * bend,
        inner_bend_mm=solid.count * inner,
        cube=solid.count * cube,
        area_figure=_area_figure(solid, number, closed.area_mm2, contact, mouths, solid.count * area),
        volume_figure=_volume_figure(solid, number, measure.volume_mm3, solid.count * volume),
        remark=_remark(solid, number, measure) if solid.taken_away else None,
    )


def _contact(solid: Solid, measure: SolidMeasure) -> tuple[float, float]:
    """Contact area and the length of its rim, each at one mouth."""
    if solid.through and (not solid.taken_away or solid.kind not in (SolidKind.BOX, SolidKind.CYLINDER)):
        raise GeometryError("Only a cylinder or box taken away can go right through the piece.")
    contact = measure.face_area_mm2 if solid.contact_area_mm2 is None else solid.contact_area_mm2
    if not math.isfinite(contact) or contact < 0:
        raise GeometryError(f"The contact area of the {solid.kind.value} must be 0 or more.")
    if solid.taken_away and contact == 0:
        raise GeometryError(
            f"Say how wide the hollow ({solid.kind.value}) opens, as an area; rubber does not reach a closed hollow."
        )
    if contact > measure.closed.area_mm2 / 2 + 1e-9:
        raise GeometryError(f"The contact area of the {solid.kind.value} is more than half of its whole surface; check it.")
    if math.isclose(contact, measure.face_area_mm2, rel_tol=1e-9):
        return contact, measure.face_rim_mm
    return contact, 2 * math.sqrt(math.pi * contact)


def describe(solid: Solid) -> str:
    """Name an entry in plain words: “2 × cylinder, hollow”."""
    name = f"{solid.kind.value} hollow" if solid.taken_away else solid.kind.value
    return f"{solid.count} × {name}"


def _lengths(solid: Solid) -> tuple[Given, ...]:
    return tuple(
        Given(label=label.capitalize(), value=length, unit="mm", source=TYPED_LENGTH)
        for label, length in zip(DIMENSIONS[solid.kind], solid.dimensions_mm, strict=True)
    )


def _area_figure(solid: Solid, number: int, whole_mm2: float, contact_mm2: float, mouths: int, total_mm2: float) -> Figure:
    what = "walls of the hollow, less the mouth it leaves" if solid.taken_away else "surface, less the contact twice"
    return Figure(
        key=f"solid_{number}_area",
        label=f"{describe(solid)}: area",
        value=total_mm2 * 1e-6,
        unit="m2",
        formula=f"count × (whole surface − 2 × contact × {mouths})" if mouths > 1 else "count × (surface − 2 × contact)",
        given=(
            Given(label="Count", value=float(solid.count), unit="1"),
            Figure(
                key=f"solid_{number}_surface",
                label="Whole surface of one",
                value=whole_mm2 * 1e-6,
                unit="m2",
                formula=f"surface of a {solid.kind.value}",
                given=_lengths(solid),
            ),
            Given(label="Contact or mouth", value=contact_mm2 * 1e-6, unit="m2", source=TYPED_LENGTH),
        ),
        note=f"Counts the {what}.",
    )


def _volume_figure(solid: Solid, number: int, one_mm3: float, total_mm3: float) -> Figure:
    return Figure(
        key=f"solid_{number}_volume",
        label=f"{describe(solid)}: volume",
        value=total_mm3 * 1e-9,
        unit="m3",
        formula="− count × volume of one" if solid.taken_away else "count × volume of one",
        given=(
            Given(label="Count", value=float(solid.count), unit="1"),
            Figure(
                key=f"solid_{number}_one",
                label="Volume of one",
                value=one_mm3 * 1e-9,
                unit="m3",
                formula=f"volume of a {solid.kind.value}",
                given=_lengths(solid),
            ),
        ),
    )


def _remark(solid: Solid, number: int, measure: SolidMeasure) -> Remark:
    width = min(measure.box_mm[:2])
    return Remark(
        key=f"solid_{number}_reach",
        text=(
            f"The {solid.kind.value} hollow is {width:.0f} mm across: a wall of {width / 2:.0f} mm or "
            "more fills it, and the rubber is then read too high. Leave such a hollow out and enter it as a fill."
        ),
    )
