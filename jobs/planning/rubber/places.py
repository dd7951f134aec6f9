"""What of each coat is laid at each position: its surface, its rubber, its mixes, its minutes."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import CoatPlace
from jobs.planning.rubber.mix_minutes import handling_minutes
from jobs.planning.rubber.mixes import Recipe, split_into_mixes
from jobs.planning.shape import worked_areas
from jobs.planning.sums import count, fact, scaled
from studio.figures import Figure, Given


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
    places: list[CoatPlace] = []
    before = 0
    for position, share in enumerate(shares, start=1):
        place = _place(brief, whole, share, position, before)
        before += len(place.mixes)
        places.append(place)
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
        minutes=_minutes(brief, whole, area, len(mixes), name),
    )


def _minutes(brief: PlanBrief, whole: WholeCoat, area: Figure, mixes: int, name: str) -> Figure:
    brushing, setup = whole.brushing, rate(brief.rates, "coat_setup_min")
    handling = handling_minutes(brief, thickened=whole.made.thickened, prefix=name)
    cups = count(f"{name}_mixes", "Mixes", mixes, formula="mass to mix here ÷ largest mix, rounded up")

    def minutes(size: float | None, by: float | None, each: float | None, cup: float | None) -> float:
        return (
            (area.value if size is None else size) * (brushing.value if by is None else by)
            + (setup.value if each is None else each)
            + (handling.value if cup is None else cup) * mixes
        )

    return Figure(
        key=f"{name}_minutes",
        label="Hands-on minutes",
        value=minutes(None, None, None, None),
        unit="min",
        formula="surface × minutes per area + setting up + mixes × minutes per mix",
        given=(area, brushing, setup, cups, handling),
        low=minutes(area.low, brushing.low, setup.low, handling.low),
        high=minutes(area.high, brushing.high, setup.high, handling.high),
    )


def _share(position: int, value: float, formula: str, given: tuple[Given, ...] = ()) -> Figure:
    label = f"Share of position {position}"
    return Figure(key=f"position_{position}_share", label=label, value=value, unit="1", formula=formula, given=given)
