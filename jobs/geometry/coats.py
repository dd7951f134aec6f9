"""Volumes and areas of even walls laid over or inside a measured piece."""

import math

from jobs.geometry.coats_measured import NOTE, MeasuredWall, leaves_no_hollow, measured_blanket, measured_casting
from jobs.geometry.errors import GeometryError
from jobs.geometry.measured import Takeoff
from studio.figures import COMPUTED, Figure, Given, Source, SourceKind

MAX_THICKNESS_MM = 200.0
STEINER = Source(kind=SourceKind.PUBLISHED, text="J. Steiner 1840, parallel bodies; from memory in R. Schneider, Convex Bodies")


def coat_volume(takeoff: Takeoff, thickness_mm: float) -> Figure:
    """Compute the rubber in an even blanket over the exposed surface and the flange.

    Parameters
    ----------
    takeoff : Takeoff
        The measured piece.
    thickness_mm : float
        Wall of the blanket, 0 to 200. [mm]

    Returns
    -------
    Figure
        What stays on the piece and the board; cup and brush losses are not in it. [m3]

    Raises
    ------
    GeometryError
        When the thickness is out of range, or so large that the hollows of this piece close up.

    Notes
    -----
    Read off measured walls where there are such; otherwise dV = A t + M t² + C t³ + flange, which is exact
    for convex pieces, holds until coats from two walls of a cleft meet, and is too high from there on.

    References
    ----------
    .. [1] J. Steiner, 1840; see R. Schneider, Convex Bodies (from memory).
    """
    t = _checked_m(thickness_mm, "coat")
    measured = measured_blanket(takeoff, thickness_mm)
    if measured is not None:
        return _measured_coat(takeoff, thickness_mm, measured)
    blanket, slope = _grown(takeoff, t)
    if blanket < 0 or slope < 0:
        raise GeometryError(
            "The blanket closes the hollows of this piece before it reaches its thickness; "
            "choose a thinner wall, or leave the hollow out and enter it as a fill."
        )
    flange = _flange_beyond(takeoff, t) * t
    low, high = _range(takeoff, takeoff.area.value * t, takeoff.mean_curvature.value * t * t, blanket + flange)
    return Figure(
        key="coat_volume",
        label="Rubber over the piece up to this thickness",
        value=blanket + flange,
        unit="m3",
        formula="A × t + M × t² + C × t³ + flange beyond the wall × t",
        given=(
            takeoff.area,
            takeoff.mean_curvature,
            _sphere_given(takeoff.sphere_part),
            _thickness_given(thickness_mm),
            _flange_given(takeoff, t),
            takeoff.spread_percent,
        ),
        source=STEINER,
        low=low,
        high=high,
        note="Exact for a piece without hollows; too high where coats from two walls of a cleft meet.",
    )


def _measured_coat(takeoff: Takeoff, thickness_mm: float, measured: MeasuredWall) -> Figure:
    """Add the flange to a blanket read off the measured walls [m3]."""
    t = thickness_mm / 1000.0
    value = measured.volume_m3 + _flange_beyond(takeoff, t) * t
    flat = takeoff.area.value * t
    low, high = _range(takeoff, flat, measured.volume_m3 - flat, value)
    return Figure(
        key="coat_volume",
        label="Rubber over the piece up to this thickness",
        value=value,
        unit="m3",
        formula="measured blanket + flange beyond the wall × t",
        given=(
            takeoff.area,
            *measured.given,
            Given(label="Bound of the measuring, ±", value=measured.bound_m3, unit="m3", source=measured.source),
            _thickness_given(thickness_mm),
            _flange_given(takeoff, t),
            takeoff.spread_percent,
        ),
        source=measured.source,
        low=max(low - measured.bound_m3, 0.0),
        high=high + measured.bound_m3,
        note=NOTE,
    )


def print_coat_volume(takeoff: Takeoff, thickness_mm: float) -> Figure:
    """Compute the first, thin coat, which follows the texture (`coat_volume` with the true area) [m3]."""
    t = _checked_m(thickness_mm, "print coat")
    smooth = coat_volume(takeoff, thickness_mm)
    extra = takeoff.area.value * (takeoff.texture_factor.value - 1.0) * t
    return Figure(
        key="print_coat_volume",
        label="Rubber in the print coat",
        value=smooth.value + extra,
        unit="m3",
        formula="smooth coat + A × (texture factor − 1) × t",
        given=(smooth, takeoff.area, takeoff.texture_factor, _thickness_given(thickness_mm)),
        low=None if smooth.low is None else smooth.low + extra,
        high=None if smooth.high is None else smooth.high + extra,
        note="Later coats fill texture that is finer than their own thickness.",
    )


def textured_area(takeoff: Takeoff) -> Figure:
    """Multiply the exposed area by its texture: what the print coat and the release have to cover [m2]."""
    value = takeoff.area.value * takeoff.texture_factor.value
    share = takeoff.spread_percent.value / 100.0
    return Figure(
        key="textured_area",
        label="Surface with its texture",
        value=value,
        unit="m2",
        formula="A × texture factor",
        given=(takeoff.area, takeoff.texture_factor, takeoff.spread_percent),
        low=value * (1 - share),
        high=value * (1 + share),
    )


def outer_area(takeoff: Takeoff, thickness_mm: float) -> Figure:
    """Compute the outside of the blanket, which the shell has to cover: A + 2 M t + 3 C t², and the flange [m2]."""
    t = _checked_m(thickness_mm, "coat")
    measured = measured_blanket(takeoff, thickness_mm)
    slope = _grown(takeoff, t)[1] if measured is None else measured.area_m2
    if slope <= 0:
        raise GeometryError("A blanket as thick as this leaves no outside on this piece; choose a thinner wall.")
    value = slope + _flange_beyond(takeoff, t)
    low, high = _range(takeoff, takeoff.area.value, 2 * takeoff.mean_curvature.value * t, value)
    return Figure(
        key="outer_area",
        label="Outside of the blanket",
        value=value,
        unit="m2",
        formula=("A + 2 M × t + 3 C × t²" if measured is None else "outside of the measured blanket")
        + " + flange beyond the wall",
        given=(
            takeoff.area,
            *(measured.given if measured else (takeoff.mean_curvature, _sphere_given(takeoff.sphere_part))),
            _thickness_given(thickness_mm),
            _flange_given(takeoff, t),
            takeoff.spread_percent,
        ),
        source=STEINER if measured is None else measured.source,
        low=low,
        high=high,
    )


def flange_outside(takeoff: Takeoff, thickness_mm: float) -> Figure:
    """Return the flange on the board that a wall does not already cover [m2]."""
    return _flange_given(takeoff, _checked_m(thickness_mm, "coat"))


def casting_volume(takeoff: Takeoff, wall_mm: float, *, closed_base: bool = False) -> Figure:
    """Compute the resin in a hollow casting of even wall.

    Parameters
    ----------
    takeoff : Takeoff
        The measured piece.
    wall_mm : float
        Wall of the casting. [mm]
    closed_base : bool
        Whether resin also covers what stood on the board (without effect on a piece coated all round).

    Returns
    -------
    Figure
        Resin in one casting. [m3]

    Raises
    ------
    GeometryError
        When the wall leaves no hollow: the casting is then solid.

    Notes
    -----
    Read off the walls measured inside where there are such; otherwise A w − M w² + C w³, with M and C of the
    inside. Exact for sphere, box, cylinder and torus; for a wall that is small
    beside every bend otherwise.
    """
    w = _checked_m(wall_mm, "casting's wall")
    area, bend, cube = takeoff.area.value, takeoff.inner_curvature.value, takeoff.inner_sphere_part
    skin = area * w - bend * w**2 + cube * w**3
    inside = area - 2 * bend * w + 3 * cube * w**2
    measured = measured_casting(takeoff, wall_mm)
    if measured is not None:
        skin, inside = measured.volume_m3, max(measured.area_m2, 1e-12)
    base = 0.0
    if closed_base and takeoff.stands_on_board:
        base = w * max(takeoff.footprint_area.value - takeoff.rim_length.value * w + math.pi * w**2, 0.0)
    solid = takeoff.volume.value
    # A convex body holds no ball larger than 3 V / A (equal for ball and cube), so a wall beyond it leaves no hollow.
    whole_area = area + takeoff.footprint_area.value
    filled = leaves_no_hollow(takeoff, wall_mm)
    if filled is None:
        filled = w >= 3 * solid / whole_area
    if inside <= 0 or skin + base >= solid or filled:
        raise GeometryError(
            "A wall as thick as this leaves no hollow in this piece; give a thinner wall, or plan the casting solid."
        )
    low, high = _range(takeoff, area * w + base, skin - area * w, skin + base)
    bound = 0.0 if measured is None else measured.bound_m3
    return Figure(
        key="casting_volume",
        label="Resin in the wall of a casting",
        value=skin + base,
        unit="m3",
        formula=("A × w − M × w² + C × w³" if measured is None else "wall measured inside the piece")
        + (" + base" if base else ""),
        given=(
            takeoff.area,
            *(measured.given if measured else (takeoff.inner_curvature, _sphere_given(takeoff.inner_sphere_part))),
            Given(label="Wall w", value=wall_mm, unit="mm"),
            *((Figure(key="base_volume", label="Base", value=base, unit="m3", formula="w × inner footprint",
                      given=(takeoff.footprint_area, takeoff.rim_length)),) if base else ()),
            takeoff.spread_percent,
        ),
        source=STEINER if measured is None else measured.source,
        low=max(low - bound, 0.0),
        high=min(high + bound, solid),
        note="The inside of a wall is smaller than its outside; buy by A × w.",
    )  # fmt: skip


def _grown(takeoff: Takeoff, t: float) -> tuple[float, float]:
    """Volume of the blanket without flange and its derivative, the outer area."""
    area, bend, cube = takeoff.area.value, takeoff.mean_curvature.value, takeoff.sphere_part
    return area * t + bend * t**2 + cube * t**3, area + 2 * bend * t + 3 * cube * t**2


def _flange_beyond(takeoff: Takeoff, t: float) -> float:
    """Flange that the wall itself does not already cover: it stands on the first t of the board round the rim."""
    return max(takeoff.flange_area.value - takeoff.rim_length.value * t - math.pi * t**2, 0.0)


def _range(takeoff: Takeoff, area_term: float, bend_term: float, value: float) -> tuple[float, float]:
    """Spread a volume or area: areas are off by the stated share, lengths by half of it."""
    share = takeoff.spread_percent.value / 100.0
    off = abs(area_term) * share + abs(bend_term) * share / 2
    return max(value - off, 0.0), value + off


def _checked_m(thickness_mm: float, what: str) -> float:
    if not math.isfinite(thickness_mm) or not 0 <= thickness_mm <= MAX_THICKNESS_MM:
        raise GeometryError(f"The thickness of the {what} must lie between 0 and {MAX_THICKNESS_MM:g} mm.")
    return thickness_mm / 1000.0


def _thickness_given(thickness_mm: float) -> Given:
    return Given(label="Thickness t", value=thickness_mm, unit="mm")


def _sphere_given(part: float) -> Given:
    return Given(label="Corner share C", value=part, unit="1", source=COMPUTED)


def _flange_given(takeoff: Takeoff, t: float) -> Figure:
    return Figure(
        key="flange_beyond",
        label="Flange beyond the wall",
        value=_flange_beyond(takeoff, t),
        unit="m2",
        formula="flange − rim × t − π t²",
        given=(takeoff.flange_area, takeoff.rim_length),
    )
