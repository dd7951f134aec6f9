"""Gauge blocks: how many, how tall and where, so that the closing coat proves the wall."""

import math

from jobs.geometry.study.results import GaugeKind
from jobs.planning.brief import Making, PlanBrief
from jobs.planning.results import GaugePlan
from jobs.planning.rubber.layers import THINNEST_MM, to_build_mm
from jobs.planning.sums import count, fact
from studio.figures import Figure, Source, SourceKind

AREA_OF_ONE_M2 = 0.1
FEWEST, MOST = 3, 24
_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
_WORDS = {GaugeKind.FLAT: "on flats", GaugeKind.CROWN: "on crowns", GaugeKind.THIN: "where the wall gets thin"}


def plan_gauges(brief: PlanBrief) -> GaugePlan | None:
    """Plan the gauge blocks of a brushed blanket; None where nothing is brushed, or no coat lies between print and closing.

    Notes
    -----
    A block stands on the cured print coat, never on the face, where its edges would print through. It is as tall as the build
    coats together: when its top is level with them the wall stands, and the closing coat buries it.
    """
    height_mm = to_build_mm(brief)
    if brief.making is not Making.BRUSHED or height_mm <= THINNEST_MM:
        return None
    height = Figure(
        key="gauge_height", label="Height of a gauge block", value=height_mm, unit="mm",
        formula="wall − print coat, which it stands on − closing coat, which buries it",
        given=(brief.wall_mm, brief.print_coat_mm, brief.closing_coat_mm),
    )  # fmt: skip
    spots = _spots(brief)
    blocks = _count(brief, sum(number for _, number in spots))
    density = brief.rubber.need("density_kg_m3")
    mass = Figure(
        key="gauge_mass", label="Cured rubber in the gauge blocks", unit="g",
        value=1000 * blocks.value * (height_mm / 1000) ** 3 * density.value, formula="blocks × height³ × density",
        given=(blocks, height, density),
        note="Cut from cured rubber of the same kind; they take the place of as much fresh rubber, so nothing more is mixed.",
    )  # fmt: skip
    return GaugePlan(count=blocks, height=height, mass=mass, spots=spots)


def _spots(brief: PlanBrief) -> tuple[tuple[str, int], ...]:
    found = () if brief.shape is None else brief.shape.gauges
    return tuple((_WORDS[kind], number) for kind in GaugeKind if (number := sum(spot.kind is kind for spot in found)))


def _count(brief: PlanBrief, found: int) -> Figure:
    if found:
        return count("gauges", "Gauge blocks", found, formula="places found on the shape")
    area = brief.takeoff.area
    wanted = min(max(math.ceil(area.value / AREA_OF_ONE_M2), FEWEST), MOST)
    return count(
        "gauges", "Gauge blocks", wanted, formula=f"surface ÷ area of one, rounded up, {FEWEST} to {MOST}",
        given=(area, fact("Area of one block", AREA_OF_ONE_M2, "m2", _PRACTICE)),
    )  # fmt: skip
