"""How many further molds to make before a run begins: each costs money, and without it the run may have to stop."""

from dataclasses import dataclass

from costing.engine.errors import EngineError
from costing.engine.runs.life import MOST_MOLDS, chance_of_more_than, molds_used
from materials.science.life import RUN_SHARE, USUAL_VARIATION, molds_wanted
from studio.figures import Figure, Given, Source, SourceKind

LEAST_CHANCE = 0.01
MOST_ROWS = 7
# So few molds made later are none: how lives scatter is not known so well.
_NO_MOLD = 0.001
_VARIATION = Given(
    label="Spread of a mold's life",
    value=100 * USUAL_VARIATION,
    unit="%",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="a planning value, not a measurement; log-normal"),
)
_SHARE = Given(
    label="Share of its life that a mold is counted on for",
    value=RUN_SHARE,
    unit="1",
    source=Source(kind=SourceKind.COMMON_PRACTICE),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunAndLife:
    """A run and what it is cast from: castings, molds that are made anyhow, castings that one mold gives on average."""

    castings: int
    molds: int
    expected: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class StopCosts:
    """A further mold made with the first [money], one made when the run stands [money], and what standing costs beside it."""

    now: Figure
    later: Figure
    standing: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceRow:
    """So many further molds: the chance (0 to 1) that the run stops, molds made later on average, expected cost [money]."""

    further: int
    stops: Figure
    later: Figure
    cost: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Every number of further molds with its expected cost, the one of least cost, and where the choice turns.

    `pays_below` is the cost of a stop below which the last of them would not pay (None where there is none, or where it pays
    whatever a stop costs); `another_above` is the cost of a stop from which one more would pay, None where more than is
    reckoned.
    """

    rows: tuple[ChoiceRow, ...]
    best: ChoiceRow
    pays_below: Figure | None
    another_above: Figure | None


def chance_of_a_stop(run: RunAndLife, further: int) -> Figure:
    """Return the chance that the molds at hand do not give all castings, with its range by that of a mold's life. [1]"""
    molds = run.molds + further

    def chance(expected: float) -> float:
        found = chance_of_more_than(molds, castings=run.castings, expected=expected)
        # How lives scatter is a planning value: its far ends are not told apart.
        return min(max(found, LEAST_CHANCE), 1 - LEAST_CHANCE)

    low, high = run.expected.low, run.expected.high
    return Figure(
        key=f"run-stops-{further}",
        label=f"Chance that {molds} {'mold does' if molds == 1 else 'molds do'} not give all castings",
        value=chance(run.expected.value),
        unit="1",
        formula="chance that the log-normal lives of the molds add up to less than the run",
        given=(_count("Castings", run.castings), _count("Molds", molds), run.expected, _VARIATION),
        low=None if high is None else chance(high),
        high=None if low is None else chance(low),
        note="Nothing below 1 in 100 or above 99 in 100 is told: how lives scatter was not measured.",
    )


def molds_of_run(run: RunAndLife) -> Figure:
    """Return how many molds the run uses up on average. [1]"""
    low, high = run.expected.low, run.expected.high
    return Figure(
        key="run-molds-used",
        label="Molds that the run uses up, on average",
        value=molds_used(castings=run.castings, expected=run.expected.value),
        unit="1",
        formula="1 + the chances that one, two, three … molds do not give all castings",
        given=(_count("Castings", run.castings), run.expected, _VARIATION),
        low=None if high is None else molds_used(castings=run.castings, expected=high),
        high=None if low is None else molds_used(castings=run.castings, expected=low),
    )


def further_by_rule(run: RunAndLife) -> Figure:
    """Return how many molds beside those made anyhow the rule of thumb wants: seven tenths of a life are counted on. [1]"""
    wanted = molds_wanted(castings=run.castings, expected=run.expected.value)
    return Figure(
        key="run-further-by-rule",
        label="Further molds by the rule of seven tenths",
        value=max(wanted - run.molds, 0),
        unit="1",
        formula="castings ÷ (share × castings from one mold), rounded up, − molds made anyhow",
        given=(_count("Castings", run.castings), _SHARE, run.expected, _count("Molds", run.molds)),
    )


def choose(run: RunAndLife, costs: StopCosts, *, decided: int | None = None) -> Choice:
    """Weigh further molds against the risk that the run stops.

    Parameters
    ----------
    run : RunAndLife
        Castings, molds that are made anyhow, a mold's expected castings.
    costs : StopCosts
        What a further mold costs now and later, and what it costs when the run stands. [money]
    decided : int or None
        A number that the table must show, too.

    Returns
    -------
    Choice
        Expected cost = further molds × cost of one now + molds made later on average × (cost of one later + cost of a stop).

    Notes
    -----
    A further mold is worth making while chance of a stop × (mold made later + stop) is above its cost: the rule of a stock that
    cannot be sold again. Every mold made later stops the run once.
    """
    if costs.standing.value < 0:
        raise EngineError("A stop cannot cost less than nothing; type 0 where it costs only the mold.")
    used = molds_used(castings=run.castings, expected=run.expected.value)
    rows: list[ChoiceRow] = []
    last = max(decided or 0, 0)
    # Molds made later: each further one saves as many as the chance that it is wanted.
    later, saved = used - run.molds, 0.0
    for molds in range(run.molds):
        saved += _chance(run, molds)
    later = max(used - saved, 0.0)
    while True:
        further = len(rows)
        rows.append(_row(run, costs, further, later))
        falling = _chance(run, run.molds + further)
        later = max(later - falling, 0.0)
        least = min(rows, key=lambda row: row.cost.value)
        enough = further > least.further and further >= last and falling < LEAST_CHANCE
        if enough or run.molds + further + 1 >= MOST_MOLDS or (further >= max(MOST_ROWS - 1, last) and further > least.further):
            break
    best = min(rows, key=lambda row: (row.cost.value, row.further))
    return Choice(
        rows=tuple(rows),
        best=best,
        pays_below=None if best.further == 0 else _turn(run, costs, best.further - 1, "run-pays-below"),
        another_above=_turn(run, costs, best.further, "run-another-above"),
    )


def _chance(run: RunAndLife, molds: int) -> float:
    return chance_of_more_than(molds, castings=run.castings, expected=run.expected.value)


def _row(run: RunAndLife, costs: StopCosts, further: int, later: float) -> ChoiceRow:
    later = later if later >= _NO_MOLD else 0.0
    number = _count("Further molds made now", further)
    made_later = Figure(
        key=f"run-later-{further}",
        label="Molds made while the run stands, on average",
        value=later,
        unit="1",
        formula="molds that the run uses up beyond those at hand, on average",
        given=(_count("Castings", run.castings), _count("Molds", run.molds), number, run.expected, _VARIATION),
    )
    cost = Figure(
        key=f"run-expected-cost-{further}",
        label=f"Expected cost with {further} further",
        value=further * costs.now.value + later * (costs.later.value + costs.standing.value),
        unit="money",
        formula="further molds × cost of one now + molds made later × (cost of one later + cost of a stop)",
        given=(number, costs.now, made_later, costs.later, costs.standing),
    )
    return ChoiceRow(further=further, stops=chance_of_a_stop(run, further), later=made_later, cost=cost)


def _turn(run: RunAndLife, costs: StopCosts, further: int, key: str) -> Figure | None:
    """Return the cost of a stop at which one more than so many further molds costs as much as it saves. [money]"""
    chance = _chance(run, run.molds + further)
    if chance < LEAST_CHANCE:
        return None
    value = costs.now.value / chance - costs.later.value
    if value <= 0:
        return None
    return Figure(
        key=key,
        label="A stop that makes both cost the same",
        value=value,
        unit="money",
        formula="cost of a further mold now ÷ chance that it is wanted − cost of one made later",
        given=(costs.now, chance_of_a_stop(run, further), costs.later),
    )


def _count(label: str, value: int) -> Given:
    return Given(label=label, value=value, unit="1")
