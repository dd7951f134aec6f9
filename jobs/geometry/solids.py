"""Simple solids: area, volume and integral of mean curvature, closed or standing on their flat face."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from jobs.geometry.errors import GeometryError

MAX_LENGTH_MM = 20_000.0


class SolidKind(StrEnum):
    """Solids that a mold maker can put a tape on."""

    SPHERE = "sphere"
    HEMISPHERE = "hemisphere"
    BOX = "box"
    CYLINDER = "cylinder"
    CONE = "cone"
    FRUSTUM = "frustum"
    TORUS = "ring"
    ELLIPSOID = "ellipsoid"


# The lengths each kind is measured by, in order; forms take their fields from here.
DIMENSIONS: Mapping[SolidKind, tuple[str, ...]] = {
    SolidKind.SPHERE: ("diameter",),
    SolidKind.HEMISPHERE: ("diameter",),
    SolidKind.BOX: ("length", "width", "height"),
    SolidKind.CYLINDER: ("diameter", "height"),
    SolidKind.CONE: ("base diameter", "height"),
    SolidKind.FRUSTUM: ("base diameter", "top diameter", "height"),
    SolidKind.TORUS: ("diameter through the middle of the tube", "tube diameter"),
    SolidKind.ELLIPSOID: ("length", "width", "height"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Skin:
    """A surface: its area and the coefficients of walls laid outside (`bend`, `cube`) and inside (`inner_…`).

    A wall t outside takes area t + bend t² + cube t³; a wall w inside takes area w − inner_bend w² + inner_cube w³.
    """

    area_mm2: float
    bend_mm: float
    cube: float
    inner_bend_mm: float
    inner_cube: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidMeasure:
    """A solid coated all round (`closed`) and on a board (`standing`, None where it has nothing to stand on).

    `face_area_mm2` and `face_rim_mm` describe the flat face it stands on, nought for none.
    """

    volume_mm3: float
    closed: Skin
    standing: Skin | None
    face_area_mm2: float
    face_rim_mm: float
    box_mm: tuple[float, float, float]


def measure_solid(kind: SolidKind, dimensions_mm: tuple[float, ...]) -> SolidMeasure:
    """Measure a solid from its lengths.

    Parameters
    ----------
    kind : SolidKind
        Which solid.
    dimensions_mm : tuple of float
        Its lengths in the order of `DIMENSIONS`, above 0 and up to 20 000 (a frustum's top may be 0). [mm]

    Raises
    ------
    GeometryError
        When a length is missing, is no length, or the ring's tube is thicker than its ring.

    References
    ----------
    Areas, volumes and mean curvature: published: Steiner's formula and Weyl's tube formula (from memory); ellipsoid by
    Carlson's R_G (scipy). Standing on a board the rim loses π/4 of its length: half of the piece mirrored in the board.
    """
    labels = DIMENSIONS[kind]
    if len(dimensions_mm) != len(labels):
        raise GeometryError(f"A {kind.value} needs {len(labels)} lengths: {', '.join(labels)}.")
    for label, length in zip(labels, dimensions_mm, strict=True):
        may_be_zero = kind is SolidKind.FRUSTUM and label == "top diameter"
        if not math.isfinite(length) or length < 0 or (length == 0 and not may_be_zero):
            raise GeometryError(f"The {label} of the {kind.value} must be more than 0 mm.")
        if length > MAX_LENGTH_MM:
            raise GeometryError(f"The {label} of the {kind.value} is over {MAX_LENGTH_MM:g} mm; check its unit.")
    return _MEASURES[kind](*dimensions_mm)


def _on_board(closed: Skin, *, face_mm2: float, rim_mm: float, inner_bend_mm: float, inner_cube: float) -> Skin:
    return Skin(
        area_mm2=closed.area_mm2 - face_mm2,
        bend_mm=closed.bend_mm - math.pi / 4 * rim_mm,
        cube=closed.cube / 2,
        inner_bend_mm=inner_bend_mm,
        inner_cube=inner_cube,
    )


def _smooth(area_mm2: float, bend_mm: float, cube: float) -> Skin:
    return Skin(area_mm2=area_mm2, bend_mm=bend_mm, cube=cube, inner_bend_mm=bend_mm, inner_cube=cube)


def _sphere(d: float) -> SolidMeasure:
    r = d / 2
    cube = 4 * math.pi / 3
    # Touching the board in one point: the coat loses the cap of height t that would lie below the board.
    on_board = Skin(
        area_mm2=4 * math.pi * r**2,
        bend_mm=3 * math.pi * r,
        cube=cube / 2,
        inner_bend_mm=4 * math.pi * r,
        inner_cube=cube,
    )
    return SolidMeasure(
        volume_mm3=cube * r**3,
        closed=_smooth(4 * math.pi * r**2, 4 * math.pi * r, cube),
        standing=on_board,
        face_area_mm2=0.0,
        face_rim_mm=0.0,
        box_mm=(d, d, d),
    )


def _hemisphere(d: float) -> SolidMeasure:
    r = d / 2
    bend = 2 * math.pi * r + math.pi**2 * r / 2
    cube = 4 * math.pi / 3
    closed = Skin(area_mm2=3 * math.pi * r**2, bend_mm=bend, cube=cube, inner_bend_mm=4 * math.pi * r, inner_cube=cube)
    return _with_face(
        volume_mm3=2 * math.pi / 3 * r**3,
        closed=closed,
        face_mm2=math.pi * r**2,
        rim_mm=2 * math.pi * r,
        open_inner=(2 * math.pi * r, cube / 2),
        box_mm=(d, d, r),
    )


def _box(a: float, b: float, c: float) -> SolidMeasure:
    closed = Skin(
        area_mm2=2 * (a * b + b * c + c * a),
        bend_mm=math.pi * (a + b + c),
        cube=4 * math.pi / 3,
        inner_bend_mm=4 * (a + b + c),
        inner_cube=8.0,
    )
    return _with_face(
        volume_mm3=a * b * c,
        closed=closed,
        face_mm2=a * b,
        rim_mm=2 * (a + b),
        open_inner=(2 * (a + b) + 4 * c, 4.0),
        box_mm=(a, b, c),
    )


def _cylinder(d: float, h: float) -> SolidMeasure:
    return _frustum(d, d, h)


def _cone(d: float, h: float) -> SolidMeasure:
    r = d / 2
    slant = math.hypot(r, h)
    volume = math.pi * r**2 * h / 3
    inscribed = r * h / (r + slant)
    # The inside of a cone's wall is a smaller cone of the same shape, so its terms come from the cube of one ratio.
    closed = Skin(
        area_mm2=math.pi * r * (slant + r),
        bend_mm=math.pi * h + math.pi * r * (math.pi / 2 + math.atan2(r, h)),
        cube=4 * math.pi / 3,
        inner_bend_mm=3 * volume / inscribed**2,
        inner_cube=volume / inscribed**3,
    )
    shrink = slant / (h * r)
    return _with_face(
        volume_mm3=volume,
        closed=closed,
        face_mm2=math.pi * r**2,
        rim_mm=2 * math.pi * r,
        open_inner=(3 * volume * shrink**2, volume * shrink**3),
        box_mm=(d, d, h),
    )


def _frustum(base_d: float, top_d: float, h: float) -> SolidMeasure:
    if top_d == 0:
        return _cone(base_d, h)
    r1, r2 = base_d / 2, top_d / 2
    slope = (r2 - r1) / h
    stretch = math.hypot(1.0, slope)
    lean = math.atan(slope)
    bend = math.pi * h + math.pi * r1 * (math.pi / 2 - lean) + math.pi * r2 * (math.pi / 2 + lean)
    inner_bend, inner_cube = _frustum_inside(r1, r2, h, stretch - slope, stretch + slope, ends=2)
    closed = Skin(
        area_mm2=math.pi * ((r1 + r2) * h * stretch + r1**2 + r2**2),
        bend_mm=bend,
        cube=4 * math.pi / 3,
        inner_bend_mm=inner_bend,
        inner_cube=inner_cube,
    )
    return _with_face(
        volume_mm3=math.pi * h / 3 * (r1**2 + r1 * r2 + r2**2),
        closed=closed,
        face_mm2=math.pi * r1**2,
        rim_mm=2 * math.pi * r1,
        open_inner=_frustum_inside(r1, r2, h, stretch, stretch + slope, ends=1),
        box_mm=(2 * max(r1, r2), 2 * max(r1, r2), h),
    )


def _frustum_inside(r1: float, r2: float, h: float, p: float, s: float, *, ends: int) -> tuple[float, float]:
    """Coefficients of w² and w³ when the radii shrink by p w and s w and the height by w at each closed end."""
    square = p**2 + p * s + s**2
    cross = 2 * r1 * p + r1 * s + r2 * p + 2 * r2 * s
    return math.pi / 3 * (h * square + ends * cross), math.pi / 3 * ends * square


def _torus(ring_d: float, tube_d: float) -> SolidMeasure:
    if tube_d >= ring_d:
        raise GeometryError("The ring's tube is thicker than the ring is wide; check both diameters.")
    ring, tube = ring_d / 2, tube_d / 2
    return SolidMeasure(
        volume_mm3=2 * math.pi**2 * ring * tube**2,
        closed=_smooth(4 * math.pi**2 * ring * tube, 2 * math.pi**2 * ring, 0.0),
        standing=None,
        face_area_mm2=0.0,
        face_rim_mm=0.0,
        box_mm=(ring_d + tube_d, ring_d + tube_d, tube_d),
    )


def _ellipsoid(length: float, width: float, height: float) -> SolidMeasure:
    from scipy.special import elliprg

    a, b, c = length / 2, width / 2, height / 2
    area = 4 * math.pi * a * b * c * float(elliprg(a**-2, b**-2, c**-2))
    # The integral of mean curvature is that of the support function, √(a²x² + b²y² + c²z²), over all directions.
    bend = 4 * math.pi * float(elliprg(a**2, b**2, c**2))
    return SolidMeasure(
        volume_mm3=4 * math.pi / 3 * a * b * c,
        closed=_smooth(area, bend, 4 * math.pi / 3),
        standing=None,
        face_area_mm2=0.0,
        face_rim_mm=0.0,
        box_mm=(length, width, height),
    )


def _with_face(
    *,
    volume_mm3: float,
    closed: Skin,
    face_mm2: float,
    rim_mm: float,
    open_inner: tuple[float, float],
    box_mm: tuple[float, float, float],
) -> SolidMeasure:
    inner_bend, inner_cube = open_inner
    return SolidMeasure(
        volume_mm3=volume_mm3,
        closed=closed,
        standing=_on_board(closed, face_mm2=face_mm2, rim_mm=rim_mm, inner_bend_mm=inner_bend, inner_cube=inner_cube),
        face_area_mm2=face_mm2,
        face_rim_mm=rim_mm,
        box_mm=box_mm,
    )


_MEASURES: Mapping[SolidKind, Callable[..., SolidMeasure]] = {
    SolidKind.SPHERE: _sphere,
    SolidKind.HEMISPHERE: _hemisphere,
    SolidKind.BOX: _box,
    SolidKind.CYLINDER: _cylinder,
    SolidKind.CONE: _cone,
    SolidKind.FRUSTUM: _frustum,
    SolidKind.TORUS: _torus,
    SolidKind.ELLIPSOID: _ellipsoid,
}
