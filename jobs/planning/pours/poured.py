"""A blanket poured into the gap that a layer of clay kept open under the shell."""

from dataclasses import dataclass, replace

from jobs.geometry.coats import coat_volume, outer_area, textured_area
from jobs.planning.brief import PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.pours.pour import pour_coat, seated_scrap, without_scrap
from jobs.planning.pours.results import ClayPlan
from jobs.planning.rates import rate
from jobs.planning.results import Coat, FillPlan
from jobs.planning.rubber.fill import is_from_shape, scrap_room
from jobs.planning.rubber.keys import Keys, plan_keys
from jobs.planning.sums import total
from studio.figures import Figure, Given, high_end, low_end

THICKEST_MM = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PouredPlan:
    """The pour, the scrap seated before it, and the clay that kept its place."""

    coat: Coat
    fill: FillPlan | None
    clay: ClayPlan


def plan_poured(brief: PlanBrief) -> PouredPlan:
    """Plan a poured blanket: the gap is as wide as the wall and takes the fill and the keys along.

    Raises
    ------
    BadBrief
        When there is no shell to pour under, or a decision is impossible.
    GeometryError
        When the wall closes the hollows of the piece.
    """
    if brief.shell is None:
        raise BadBrief(
            "A poured blanket gets its outside from the shell, and this plan has none; "
            "choose a shell on the Shell page, or lay the rubber another way on the Mold page."
        )
    if not 0 < brief.wall_mm.value <= THICKEST_MM:
        raise BadBrief(f"The wall must lie between 0 and {THICKEST_MM:g} mm ({THICKEST_MM / 25.4:.1f} in).")
    wall = Figure(
        key="coat_1_thickness", label="Thickness", value=brief.wall_mm.value, unit="mm", formula="the wall, all of it at once",
        given=(brief.wall_mm,),
    )  # fmt: skip
    fill_volume = _fill_volume(brief)
    keys = plan_keys(brief)
    gap = _gap(brief, fill_volume, keys)
    fill = None if fill_volume is None else seated_scrap(brief, volume=fill_volume, room=scrap_room(brief))
    volume = without_scrap(gap, fill, brief, formula="blanket + fill + keys − scrap ÷ its density")
    area = total(
        "coat_1_area", "Surface that the rubber meets", "m2", (textured_area(brief.takeoff), brief.takeoff.flange_area),
        formula="surface with its texture + flange",
    )  # fmt: skip
    return PouredPlan(
        coat=pour_coat(brief, volume=volume, thickness=wall, area=area), fill=fill, clay=_clay(brief, gap, keys)
    )  # fmt: skip


def _fill_volume(brief: PlanBrief) -> Figure | None:
    told = brief.fill_volume_l
    if told is None or told.value == 0:
        return None
    if told.value < 0:
        raise BadBrief("The volume of the fill cannot be less than nought.")
    return Figure(
        key="fill_volume", label="Fill", value=told.value, unit="L", given=(told,), low=told.low, high=told.high,
        formula="as computed from the shape" if is_from_shape(told) else "as typed",
    )  # fmt: skip


def _gap(brief: PlanBrief, fill: Figure | None, keys: Keys | None) -> Figure:
    """Compute the gap under the shell: an even blanket at the wall, the hollows filled solid, and keys [L]."""
    blanket = coat_volume(brief.takeoff, brief.wall_mm.value)
    there = [figure for figure in (fill, None if keys is None else keys.volume) if figure is not None]
    return Figure(
        key="coat_1_volume",
        label="Rubber in this pour",
        value=1000 * blanket.value + sum(figure.value for figure in there),
        unit="L",
        formula=" + ".join(("blanket at the wall", *(figure.label.lower() for figure in there))),
        given=(blanket, *there),
        low=None if blanket.low is None else 1000 * blanket.low + sum(low_end(figure) for figure in there),
        high=None if blanket.high is None else 1000 * blanket.high + sum(high_end(figure) for figure in there),
        note=blanket.note,
    )


def _clay(brief: PlanBrief, gap: Figure, keys: Keys | None) -> ClayPlan:
    """Plan the clay: as much as the gap holds, laid over the outside that the shell takes, with lumps for the keys."""
    area = outer_area(brief.takeoff, brief.wall_mm.value).renamed(key="clay_area", label="Outside of the clay")
    laying, out = rate(brief.rates, "clay_min_per_m2"), rate(brief.rates, "clay_out_min_per_m2")

    def minutes(key: str, label: str, by_area: Given) -> Figure:
        return Figure(
            key=key, label=label, value=area.value * by_area.value, unit="min", formula="outside × minutes per area",
            given=(area, by_area),
            low=None if by_area.low is None else area.value * by_area.low,
            high=None if by_area.high is None else area.value * by_area.high,
        )  # fmt: skip

    return ClayPlan(
        area=area,
        wall=Figure(
            key="clay_wall", label="Clay rolled to", value=brief.wall_mm.value, unit="mm", formula="the wall",
            given=(brief.wall_mm,),
        ),
        volume=gap.renamed(key="clay_volume", label="Clay"),
        minutes=_with_keys(minutes("clay_minutes", "Laying the clay", laying), keys, rate(brief.rates, "key_min")),
        minutes_out=minutes("clay_out_minutes", "Taking the clay out", out),
    )  # fmt: skip


def _with_keys(laying: Figure, keys: Keys | None, each: Given) -> Figure:
    """Add the shaping of the lumps that become keys [min]."""
    if keys is None:
        return laying
    number = keys.number
    return replace(
        laying, value=laying.value + number.value * each.value, formula="outside × minutes per area + keys × minutes each",
        given=(*laying.given, number, each),
        low=None if laying.low is None else laying.low + number.value * low_end(each),
        high=None if laying.high is None else laying.high + number.value * high_end(each),
    )  # fmt: skip
