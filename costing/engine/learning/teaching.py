"""Which noted task teaches which rate, and what a job shows of it.

Minutes of a task are a sum of rates, each times how much there is to do. How much each rate makes of a task is found by making
the plan again with some rates a little higher; rates that meet in one task are never raised together.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from jobs.planning.results import Task
from studio.figures import Figure, Given
from studio.workrates import WORK_RATES

# A rate that makes less of a task is not told apart from the others by the task's minutes.
DOMINANT = 0.6
RAISED = 1.01
# What the parts may miss of the whole before a task is left out: it is not a plain sum of rates then.
MISSED = 0.02
_BY_WORDS = {(kind.label, kind.unit): kind.key for kind in WORK_RATES.values() if kind.unit.partition("/")[0] in {"min", "h"}}
Remake = Callable[[Mapping[str, Given]], Sequence[Task]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """A task that teaches one rate: how much of its minutes the rate makes, and how much work there was in the rate's unit."""

    task_key: str
    label: str
    rate_key: str
    share: float
    amount: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What one job shows of one rate: the tasks that teach it, the minutes that they took of it and how much work it was."""

    rate_key: str
    tasks: tuple[str, ...]
    minutes: float
    amount: float

    @property
    def rate(self) -> float:
        """Minutes ÷ amount of work."""
        return self.minutes / self.amount


def lessons(tasks: Sequence[Task], rates: Mapping[str, Given], remake: Remake) -> tuple[Lesson, ...]:
    """Return the tasks that one rate makes most of, as computed from rates.

    Parameters
    ----------
    tasks : sequence of Task
        Of a plan without minutes typed for the job.
    rates : mapping
        The rates that it was made with, by key.
    remake : callable
        Makes the same tasks with other rates.
    """
    meets = {task.key: set(rates_in(task.minutes)) & set(rates) for task in tasks}
    colours = _coloured(meets.values())
    made: dict[str, dict[str, float]] = defaultdict(dict)
    whole = {task.key: task.minutes.value for task in tasks}
    for colour in sorted(set(colours.values())):
        raised = {key for key, one in colours.items() if one == colour}
        again = remake({key: _raised(given) if key in raised else given for key, given in rates.items()})
        for task in again:
            for key in meets.get(task.key, set()) & raised:
                made[task.key][key] = (task.minutes.value - whole[task.key]) / (RAISED - 1)
    return tuple(_lessons(tasks, rates, made))


def shown_by(found: Sequence[Lesson], noted_min: Mapping[str, float]) -> tuple[Shown, ...]:
    """Return what a job shows of each rate: tasks that teach the same one count together, they share the piece and the hands."""
    by_rate: dict[str, list[Lesson]] = defaultdict(list)
    for lesson in found:
        if noted_min.get(lesson.task_key, 0.0) > 0:
            by_rate[lesson.rate_key].append(lesson)
    return tuple(
        Shown(
            rate_key=key,
            tasks=tuple(lesson.label for lesson in those),
            minutes=sum(lesson.share * noted_min[lesson.task_key] for lesson in those),
            amount=sum(lesson.amount for lesson in those),
        )
        for key, those in by_rate.items()
    )


def rates_in(figure: Figure | Given) -> Iterator[str]:
    """Go through the keys of the rates that stand in a working."""
    if isinstance(figure, Given):
        if (key := _BY_WORDS.get((figure.label, figure.unit))) is not None:
            yield key
        return
    for item in figure.given:
        yield from rates_in(item)


def _lessons(
    tasks: Sequence[Task], rates: Mapping[str, Given], made: Mapping[str, Mapping[str, float]]
) -> Iterator[Lesson]:  # fmt: skip
    for task in tasks:
        parts, whole = made.get(task.key, {}), task.minutes.value
        if not parts or whole <= 0 or abs(sum(parts.values()) - whole) > MISSED * whole:
            continue
        key = max(parts, key=lambda one: parts[one])
        # Hours are rates too (starting a casting day); minutes over minutes keep the unit of the rate.
        if parts[key] >= DOMINANT * whole and rates[key].value > 0:
            share = parts[key] / whole
            yield Lesson(
                task_key=task.key, label=task.label, rate_key=key, share=share, amount=parts[key] / rates[key].value
            )  # fmt: skip


def _raised(given: Given) -> Given:
    return Given(
        label=given.label, value=given.value * RAISED, unit=given.unit, source=given.source, low=given.low, high=given.high
    )


def _coloured(groups: Iterable[set[str]]) -> dict[str, int]:
    """Give each rate a number so that no two of one task have the same."""
    beside: dict[str, set[str]] = defaultdict(set)
    for group in groups:
        for key in group:
            beside[key] |= group - {key}
    colours: dict[str, int] = {}
    for key in sorted(beside, key=lambda one: (-len(beside[one]), one)):
        taken = {colours[other] for other in beside[key] if other in colours}
        colours[key] = next(number for number in range(len(beside)) if number not in taken)
    return colours
