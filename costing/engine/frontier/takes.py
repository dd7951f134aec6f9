"""What a way takes, kind by kind: money by what it is spent on, hours by who works, hours of machines, and days."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from costing.engine.spend import SpendLine
from jobs.planning.results import MoldPlan, Task
from jobs.planning.work.work import ROTATING_FRAME, VACUUM_CHAMBER
from materials.properties import MaterialKind
from studio.figures import Figure, Given

GROUPS: tuple[tuple[str, str, frozenset[MaterialKind]], ...] = (
    ("rubber", "Rubber", frozenset({MaterialKind.RUBBER})),
    ("resin", "Resin", frozenset({MaterialKind.RESIN})),
    ("shell", "Shell", frozenset({MaterialKind.SHELL, MaterialKind.REINFORCEMENT})),
    ("rest", "Consumables", frozenset(MaterialKind) - {MaterialKind.RUBBER, MaterialKind.RESIN, MaterialKind.SHELL,
                                                       MaterialKind.REINFORCEMENT}),
)  # fmt: skip
ROUND_THE_CLOCK = "As if somebody were there by night; the Days page counts working hours."
MACHINES = (("vacuum", "Vacuum chamber", VACUUM_CHAMBER), ("frame", "Rotating frame", ROTATING_FRAME))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Somebody whom the days in use name for a task: share of that task, and what an hour of theirs costs."""

    name: str
    share: float
    rate: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class HandHours:
    """The hours of one person, or of nobody named yet, at their rate; `pay` in money."""

    name: str
    hours: Figure
    rate: Given | None
    pay: Figure


def money_by_kind(key: str, lines: Iterable[SpendLine], kinds: Mapping[int | str, MaterialKind]) -> tuple[Figure, ...]:
    """Add up what materials cost by what they are for; they add up to the material of the way. [money]"""
    found = list(lines)
    figures = []
    for stem, label, members in GROUPS:
        costs = tuple(
            line.cost for line in found
            if line.cost is not None and kinds.get(line.material_key, MaterialKind.CONSUMABLE) in members
        )  # fmt: skip
        figures.append(
            Figure(
                key=f"{key}-{stem}",
                label=label,
                value=math.fsum(cost.value for cost in costs),
                unit="money",
                formula="sum of used mass × price per mass" if costs else "none is used",
                given=costs,
            )
        )
    return tuple(figures)


def hours_by_hand(
    key: str, tasks: Sequence[Task], hands: Mapping[str, Sequence[Hand]], rate: Given
) -> tuple[HandHours, ...]:  # fmt: skip
    """Share hours out among those whom the days in use name for a task of the same key; the rest is at the job's rate.

    Parameters
    ----------
    key : str
        Begins the keys of the figures.
    tasks : sequence of Task
        All tasks of the way.
    hands : mapping
        Who does a task, by its key.
    rate : Given
        The job's labour rate. [money/h]
    """
    parts: dict[str, list[Figure]] = {}
    rates: dict[str, Given] = {}
    for task in tasks:
        if task.minutes.value <= 0:
            continue
        named = hands.get(task.key, ())
        for hand in named:
            rates[hand.name] = hand.rate
            parts.setdefault(hand.name, []).append(_part(key, task, hand.share, len(parts)))
        if not named:
            parts.setdefault("", []).append(_part(key, task, 1.0, len(parts)))
    order = sorted(parts, key=lambda name: (name == "", name))
    return tuple(_hand(key, number, name, parts[name], rates.get(name, rate)) for number, name in enumerate(order))


def machine_hours(key: str, tasks: Iterable[Task]) -> tuple[Figure, ...]:
    """Add up how long the tasks hold each machine; one that is not wanted is left out. [h]"""
    found = []
    for stem, label, station in MACHINES:
        held = [task for task in tasks if task.station == station and task.minutes.value > 0]
        if held:
            found.append(
                Figure(
                    key=f"{key}-machine-{stem}",
                    label=label,
                    unit="h",
                    value=math.fsum(task.minutes.value / max(task.people, 1) for task in held) / 60,
                    formula="minutes of the tasks that hold it ÷ people ÷ 60",
                    given=tuple(task.minutes for task in held),
                )
            )
    return tuple(found)


def days_to_end(key: str, plan: MoldPlan) -> Figure:
    """Return the days from the first task to the end of the last, round the clock. [day]"""
    end_h, last = max(
        ((task.earliest_h + task.minutes.value / max(task.people, 1) / 60, task) for task in plan.tasks), key=lambda one: one[0]
    )
    return Figure(
        key=f"{key}-days", label="From the first task to the last", value=end_h / 24, unit="day",
        formula="earliest begin of the last task + its own time", note=ROUND_THE_CLOCK,
        given=(
            Given(label=f"Earliest begin of “{last.label}”", value=last.earliest_h, unit="h"), last.minutes,
            Given(label="People at it", value=last.people, unit="1"),
        ),
    )  # fmt: skip


def _part(key: str, task: Task, share: float, place: int) -> Figure:
    return Figure(
        key=f"{key}-hand-{place}-{task.key}", label=task.label, value=task.minutes.value * share / 60, unit="h",
        formula="minutes of all hands × share ÷ 60" if share < 1 else "minutes of all hands ÷ 60", given=(task.minutes,),
    )  # fmt: skip


def _hand(key: str, number: int, name: str, parts: Sequence[Figure], rate: Given) -> HandHours:
    said = name or "Nobody named yet"
    hours = Figure(
        key=f"{key}-hand-{number}", label=f"Hours of {name}" if name else "Hours of nobody named yet", unit="h",
        value=math.fsum(part.value for part in parts), formula="sum of the tasks", given=tuple(parts),
    )  # fmt: skip
    pay = Figure(
        key=f"{key}-pay-{number}", label=f"Pay: {said}", value=hours.value * rate.value, unit="money",
        formula="hours × labour rate", given=(hours, rate),
    )  # fmt: skip
    return HandHours(name=said, hours=hours, rate=rate, pay=pay)
