"""What of each coat is laid at each position: its surface, its rubber, its mixes, its minutes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from operator import attrgetter

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import CoatPlace
from jobs.planning.rubber.mix_minutes import handling_minutes
from jobs.planning.rubber.mixes import Recipe, split_into_mixes
from jobs.planning.shape import worked_areas
from jobs.planning.sums import count, fact, scaled
from studio.figures import Figure, Given, high_end, low_end


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeCoat:
    """A coat before it is divided by position: surface (m²), masses (g), the largest mix (g), minutes per area of brushing."""

    name: str
    area: Figure
    net: Figure
    mixed: Figure
    cap: Figure
    made: Recipe
    brushing: Given


def position_shares(brief: PlanBrief) -> tuple[Figure, ...]:
    """Return the share of the surface that is worked at each position; the shares add up to one.

    Where the shape was studied for as many positions as the plan has, its areas divide each coat; what faces up in none of
    them goes with the others in proportion. Otherwise the shares are equal, and their working says why.
    """
    if brief.positions == 1:
        return (_share(1, 1.0, "one position, so all of it"),)
    areas = () if brief.shape is None else worked_areas(brief.shape)
    whole = sum(area.value for area in areas)
    if len(areas) == brief.positions and whole > 0:
        return tuple(
            _share(number, area.value / whole, "surface worked at this position ÷ surface worked at all", areas)
            for number, area in enumerate(areas, start=1)
        )
    why = (
        "equal shares, because the shape was studied for another number of positions"
        if areas
        else "equal shares, because the shape is not known"
    )
    told = (fact("Positions", brief.positions, "1"),)
    return tuple(_share(number, 1 / brief.positions, why, told) for number in range(1, brief.positions + 1))


def divide_coat(brief: PlanBrief, whole: WholeCoat, shares: Sequence[Figure]) -> tuple[CoatPlace, ...]:
    """Divide a coat by position; mixes are split at each position, none above the largest, and numbered through the coat."""
    return numbered(shares, partial(_place, brief, whole))


def numbered(shares: Sequence[Figure], place: Callable[[Figure, int, int], CoatPlace]) -> tuple[CoatPlace, ...]:
    """Make the places of a coat; `place` is told its share, its number, and how many mixes stand before its own."""
    places: list[CoatPlace] = []
    before = 0
    for position, share in enumerate(shares, start=1):
        places.append(place(share, position, before))
        before += len(places[-1].mixes)
    return tuple(places)


def _place(brief: PlanBrief, whole: WholeCoat, share: Figure, position: int, before: int) -> CoatPlace:
    name = f"{whole.name}_position_{position}"

    def part(figure: Figure, key: str, label: str) -> Figure:
        if brief.positions == 1:
            return figure.renamed(key=f"{name}_{key}", label=label)
        return scaled(
            figure, share.value, key=f"{name}_{key}", label=label, unit=figure.unit,
            formula="of the whole coat × share of this position", given=(share,),
        )  # fmt: skip

    area = part(whole.area, "area", "Surface to brush")
    net, mixed = part(whole.net, "net_mass", "Mass on the piece"), part(whole.mixed, "mixed_mass", "Mass to mix")
    mixes = split_into_mixes(
        mixed=mixed, net=net, cap=whole.cap, made=whole.made, prefix=whole.name, position=position, before=before
    )
    return CoatPlace(
        position=position,
        area=area,
        net_mass=net,
        mixed_mass=mixed,
        mixes=mixes,
        minutes=place_minutes(
            brief,
            worked=area,
            each=whole.brushing,
            mixes=len(mixes),
            thickened=whole.made.thickened,
            name=name,
            formula="surface × minutes per area",
        ),
    )


def place_minutes(
    brief: PlanBrief, *, worked: Figure, each: Given, mixes: int, thickened: bool, name: str, formula: str
) -> Figure:
    """Compute the hands-on minutes of a coat at one position: what is worked there, setting up, and its mixes [min]."""
    setup, handling = rate(brief.rates, "coat_setup_min"), handling_minutes(brief, thickened=thickened, prefix=name)
    cups = count(f"{name}_mixes", "Mixes", mixes, formula="mass to mix here ÷ largest mix, rounded up")

    def minutes(end: Callable[[Given | Figure], float]) -> float:
        return end(worked) * end(each) + end(setup) + end(handling) * mixes

    return Figure(
        key=f"{name}_minutes",
        label="Hands-on minutes",
        value=minutes(attrgetter("value")),
        unit="min",
        formula=f"{formula} + setting up + mixes × minutes per mix",
        given=(worked, each, setup, cups, handling),
        low=minutes(low_end),
        high=minutes(high_end),
    )


def _share(position: int, value: float, formula: str, given: tuple[Given, ...] = ()) -> Figure:
    label = f"Share of position {position}"
    return Figure(key=f"position_{position}_share", label=label, value=value, unit="1", formula=formula, given=given)
