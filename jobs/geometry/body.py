"""The main body of a piece measured with a tape: a stack of girths, or one simple solid."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.extras import Solid, describe
from jobs.geometry.outline import Outline, OutlineKind
from jobs.geometry.solids import DIMENSIONS, SolidKind, SolidMeasure, measure_solid
from jobs.geometry.stack import (
    TAPE,
    Girth,
    disc_figure,
    profile_points,
    rings_of,
    side_figures,
    stack_bend_mm,
    volume_figures,
)
from studio.figures import Figure, Given, Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """The body alone: the figures that make up its area and volume, and the terms of a wall over it."""

    area_figures: tuple[Figure, ...]
    volume_figures: tuple[Figure, ...]
    bend_mm: float
    inner_bend_mm: float
    cube: float
    inner_cube: float
    footprint_mm2: float
    rim_mm: float
    box_mm: tuple[float, float, float]
    outline: Outline | None
    remarks: tuple[Remark, ...] = ()


def body_from_girths(girths: Sequence[Girth], *, on_board: bool) -> Body:
    """Read a stack of girths as cone frusta, the base on a board or covered like the top."""
    rings = rings_of(girths)
    base, top = girths[0], girths[-1]
    if on_board and base.girth_mm == 0:
        raise GeometryError("A piece that stands on a board needs a base girth above 0 mm; measure round its foot.")
    areas = list(side_figures(girths, rings))
    if top.girth_mm > 0:
        areas.append(disc_figure(top, key="top_disc", label="Top disc"))
    if base.girth_mm > 0 and not on_board:
        areas.append(disc_figure(base, key="base_disc", label="Base disc"))
    width = max(reading.girth_mm for reading in girths) / math.pi
    cube = (2 if on_board else 4) * math.pi / 3
    return Body(
        area_figures=tuple(areas),
        volume_figures=volume_figures(girths, rings),
        bend_mm=stack_bend_mm(rings, on_board=on_board),
        inner_bend_mm=stack_bend_mm(rings, on_board=on_board, inside=True),
        cube=cube,
        inner_cube=cube,
        footprint_mm2=base.girth_mm**2 / (4 * math.pi) if on_board else 0.0,
        rim_mm=base.girth_mm if on_board else 0.0,
        box_mm=(width, width, sum(ring.height_mm for ring in rings)),
        outline=Outline(points=profile_points(rings), kind=OutlineKind.PROFILE),
        remarks=(
            Remark(
                key="girths_as_circles",
                text=(
                    "Each girth is read as a circle. An oval has less section than its girth tells (6 % less at "
                    "3 to 2 across, a square 21 % less), so the volume reads high; the area of the sides stays right. A tape "
                    "laid over a hollow reads the area low."
                ),
            ),
        ),
    )


def body_from_solid(solid: Solid, *, on_board: bool) -> Body:
    """Take one simple solid as the whole body, coated all round or standing on its flat face."""
    if solid.taken_away or solid.count != 1:
        raise GeometryError("Without girths the first solid is the body itself: enter it once, and as added.")
    measure = measure_solid(solid.kind, solid.dimensions_mm)
    skin = measure.standing if on_board else measure.closed
    if skin is None:
        raise GeometryError(f"A {solid.kind.value} has no flat face to stand on; plan it as coated all round, or add a foot.")
    lengths = tuple(
        Given(label=label.capitalize(), value=length, unit="mm", source=TAPE)
        for label, length in zip(DIMENSIONS[solid.kind], solid.dimensions_mm, strict=True)
    )
    name = describe(solid).removeprefix("1 × ")
    shown = f"surface of a {name} without the face it stands on" if on_board else f"whole surface of a {name}"
    return Body(
        area_figures=(
            Figure(key="body_area", label=f"{name.capitalize()}: surface", value=skin.area_mm2 * 1e-6, unit="m2",
                   formula=shown, given=lengths),
        ),
        volume_figures=(
            Figure(key="body_volume", label=f"{name.capitalize()}: volume", value=measure.volume_mm3 * 1e-9, unit="m3",
                   formula=f"volume of a {name}", given=lengths),
        ),
        bend_mm=skin.bend_mm,
        inner_bend_mm=skin.inner_bend_mm,
        cube=skin.cube,
        inner_cube=skin.inner_cube,
        footprint_mm2=measure.face_area_mm2 if on_board else 0.0,
        rim_mm=measure.face_rim_mm if on_board else 0.0,
        box_mm=measure.box_mm,
        outline=_outline(solid.kind, solid.dimensions_mm, measure),
    )  # fmt: skip


def _outline(kind: SolidKind, lengths: tuple[float, ...], measure: SolidMeasure) -> Outline | None:
    width, _, height = measure.box_mm
    half = width / 2
    if kind is SolidKind.TORUS:
        return None
    if kind is SolidKind.BOX:
        corners = ((-half, 0.0), (half, 0.0), (half, height), (-half, height))
        return Outline(points=corners, kind=OutlineKind.SECTION)
    if kind in (SolidKind.CYLINDER, SolidKind.CONE, SolidKind.FRUSTUM):
        top = {SolidKind.CYLINDER: half, SolidKind.CONE: 0.0}.get(kind, lengths[min(1, len(lengths) - 1)] / 2)
        points = ((lengths[0] / 2, 0.0), (top, height), (0.0, height))
        return Outline(points=points, kind=OutlineKind.PROFILE)
    start = 0.0 if kind is SolidKind.HEMISPHERE else -math.pi / 2
    steps = [start + (math.pi / 2 - start) * step / 48 for step in range(49)]
    rise, middle = (height, 0.0) if kind is SolidKind.HEMISPHERE else (height / 2, height / 2)
    arc = tuple((half * math.cos(angle), middle + rise * math.sin(angle)) for angle in steps)
    return Outline(points=arc, kind=OutlineKind.PROFILE)
