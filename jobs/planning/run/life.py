"""How many castings a mold gives, the chance that it dies within the run, and how many molds the run wants."""

import math

from jobs.planning.brief import PlanBrief
from jobs.planning.run.results import LifePlan
from jobs.planning.sums import count, fact
from materials.properties import Chemistry
from materials.science.life import KEEPS, RUN_SHARE, USUAL_VARIATION, chance_of_dying_before, expected_castings, molds_wanted
from materials.science.material import MaterialSpec
from studio.figures import Figure, Given, Source, SourceKind

LEAST_CHANCE = 0.01
_BY_ITSELF = frozenset({SourceKind.OWN, SourceKind.MEASURED, SourceKind.TYPED})
_SHARE = Given(
    label="Share of its life that a mold is counted on for", value=RUN_SHARE, unit="1",
    source=Source(kind=SourceKind.COMMON_PRACTICE),
)  # fmt: skip
_VARIATION = Given(
    label="Spread of a mold's life", value=100 * USUAL_VARIATION, unit="%",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="a planning value, not a measurement; log-normal"),
)  # fmt: skip


def plan_life(brief: PlanBrief) -> LifePlan | None:
    """Plan how long the molds last; None when nothing is cast, or where no life is told of this rubber and resin.

    The castings that are stated for the rubber go before the usual number of its kind. The molds share the run evenly.

    Raises
    ------
    OutsideRange
        When a mold's life is nought.
    """
    casting = brief.casting
    if casting is None:
        return None
    stated = castings_expected(brief.rubber, casting.resin)
    if stated is None:
        return None
    expected = Figure(
        key="life_expected", label="Castings from one mold, expected", value=stated.value, unit="1",
        formula="as known for this rubber", given=(stated,), low=stated.low, high=stated.high, source=stated.source,
        note="Release at every pull lengthens it; hot resin, clear polyurethane and thin spots shorten it."
        + _kept(brief.rubber.chemistry),
    )  # fmt: skip
    run = fact("Castings in the run", casting.count, "1")
    return LifePlan(
        expected=expected,
        dies_before_end=_chance(brief, expected, run),
        molds_wanted=count(
            "life_molds_wanted", "Molds that the run wants", molds_wanted(castings=casting.count, expected=expected.value),
            formula="castings ÷ (share × castings from one mold), rounded up", given=(run, _SHARE, expected),
        ),
    )  # fmt: skip


def castings_expected(rubber: MaterialSpec, resin: MaterialSpec) -> Given | None:
    """Return how many castings a mold gives: as stated for the rubber, or usual for its kind and this resin [1].

    What is stated in tables is meant for polyurethane resin. With another resin it counts only where the studio knows it by
    itself; otherwise what is usual for that resin goes before.
    """
    stated, usual = rubber.get("castings_expected"), expected_castings(rubber.chemistry, resin.chemistry)
    if stated is None or usual is None or resin.chemistry is Chemistry.POLYURETHANE or stated.source.kind in _BY_ITSELF:
        return stated or usual
    return usual


def _kept(rubber: Chemistry) -> str:
    """Say how long a mold of this rubber keeps when it is put away."""
    kept = KEEPS.get(rubber)
    if kept is None:
        return ""
    most = f"{kept.value / 12:g} years"
    years = f"up to {most}" if kept.low is None else f"{kept.low / 12:g} to {most}"
    return f" Put away in its shell with a casting in it, cool, dark and dry, such a mold keeps {years}."


def _chance(brief: PlanBrief, expected: Figure, run: Given) -> Figure:
    share = math.ceil(run.value / brief.molds)

    def one_dies(castings: float) -> float:
        each = chance_of_dying_before(castings=share, expected=castings)
        # How lives scatter is a planning value: its far ends are not told apart.
        return min(max(1 - (1 - each) ** brief.molds, LEAST_CHANCE), 1 - LEAST_CHANCE)

    molds = count("life_molds", "Molds", brief.molds, formula="as decided")
    whose = (
        "The mold dies before the run is done"
        if brief.molds == 1
        else f"One of {brief.molds} molds dies before its share is done"
    )
    return Figure(
        key="life_dies", label=f"Chance: {whose[0].lower()}{whose[1:]}", value=one_dies(expected.value), unit="1",
        formula="chance that a log-normal life is shorter than a mold's share of the run"
        + ("" if brief.molds == 1 else "; 1 − (1 − chance) ^ molds"),
        given=(run, molds, expected, _VARIATION),
        low=None if expected.high is None else one_dies(expected.high),
        high=None if expected.low is None else one_dies(expected.low),
        note="Nothing below 1 in 100 or above 99 in 100 is told: how lives scatter was not measured.",
    )  # fmt: skip
