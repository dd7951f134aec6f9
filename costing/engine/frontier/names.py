"""What an undominated way is called by: what it is best at, and in what it differs from the plan in use."""

from collections.abc import Mapping, Sequence

from costing.engine.frontier.dominance import Frontier
from costing.engine.frontier.sums import WaySums
from jobs.planning.brief import Deairing, Making, PlanBrief
from jobs.planning.results import MoldPlan

FEWEST, LEAST, LEAST_RUBBER = "fewest hours", "least spent", "least rubber"
_MADE = {Making.BRUSHED: "brushed", Making.POURED: "poured", Making.BLOCK: "a block"}
_LEAST_SCRAP_G = 0.5


def bests(ways: Sequence[WaySums], frontier: Frontier, ranked: Mapping[int, int], *, cheapest: str) -> dict[int, tuple[str, ...]]:
    """Say what each undominated way is best at.

    Parameters
    ----------
    ways : sequence of WaySums
        All ways.
    frontier : Frontier
        Which of them none beats.
    ranked : mapping
        The rank of each by cost.
    cheapest : str
        The words for the way of least cost; empty where money is not told, and rubber counts in its place.
    """
    if len(ways) < 2:
        return {}
    found: dict[int, list[str]] = {number: [] for number in frontier.joined}
    found[frontier.joined[0]].append(FEWEST)
    found[frontier.joined[-1]].append(LEAST if cheapest else LEAST_RUBBER)
    for number in frontier.joined:
        if cheapest and ranked[number] == 1:
            found[number].append(cheapest)
    return {number: tuple(words) for number, words in found.items()}


def traits(used: PlanBrief, used_plan: MoldPlan | None, other: PlanBrief, plan: MoldPlan) -> tuple[str, ...]:
    """Say in a few words each in what a way differs from the plan in use, the weightiest first."""
    if used_plan is None:
        return ()
    found: list[str] = []
    if other.making is not used.making:
        found.append(f"{_MADE[other.making]} instead of {_MADE[used.making]}")
    scrap, used_scrap = plan.scrap.value > _LEAST_SCRAP_G, used_plan.scrap.value > _LEAST_SCRAP_G
    if scrap != used_scrap:
        found.append(_scrap_words(other.making) if scrap else "fresh rubber alone")
    if other.rubber.key != used.rubber.key:
        found.append("another rubber")
    if (other.thickener is None) != (used.thickener is None):
        found.append("no thickener" if other.thickener is None else "thickened")
    drawn, used_drawn = other.deairing is Deairing.VACUUM, used.deairing is Deairing.VACUUM
    if drawn != used_drawn and (drawn or other.making is used.making):
        found.append("under vacuum" if drawn else "without vacuum")
    if other.people_per_coat != used.people_per_coat:
        found.append("one person brushing" if other.people_per_coat == 1 else f"{other.people_per_coat} people brushing")
    if other.molds != used.molds:
        found.append("one mold" if other.molds == 1 else f"{other.molds} molds")
    warmer = other.temperature_c.value - used.temperature_c.value
    if abs(warmer) > 0.05:
        found.append("a warmer room" if warmer > 0 else "a cooler room")
    thicker = other.wall_mm.value - used.wall_mm.value
    if abs(thicker) > 0.005:
        found.append("a thicker wall" if thicker > 0 else "a thinner wall")
    return (*found, *_run_and_shell(used, other))


def _scrap_words(making: Making) -> str:
    return {
        Making.BRUSHED: "scrap in the fill", Making.POURED: "scrap in the gap", Making.BLOCK: "scrap in the corners",
    }[making]  # fmt: skip


def _run_and_shell(used: PlanBrief, other: PlanBrief) -> list[str]:
    found: list[str] = []
    if used.shell is not None and other.shell is not None and used.shell.kind is not other.shell.kind:
        found.append(f"a shell of {other.shell.kind.label.lower()}")
    count = other.casting.count if other.casting else 0
    if count != (used.casting.count if used.casting else 0):
        found.append("1 casting" if count == 1 else f"{count} castings")
    return found
