"""A mold plan's tasks as tasks and waits that can be laid out in time."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise

from jobs.planning.results import MoldPlan
from jobs.planning.results import Task as PlanTask
from jobs.scheduling.errors import BadProblem
from jobs.scheduling.problem import Lag, Link, Task
from studio.workrates import BENCH_HOURS_ONLY, Stage

CASTINGS = "castings"
REMEDY = "Clean the coat, abrade it, and make a patch test before the next one; or the coats may part."
WATCHED = "Somebody looks after it until the next work begins, or it is covered and checked first."
# More castings than this are laid out in sets.
_MOST_CASTS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What a studio adds to a plan's tasks.

    `step_min` is the grid, `stretch_min` the longest work without a break: longer tasks are divided. `stations` are the places
    of the studio by their names in plans; work at a place that is not among them needs no place. `skills` says what a stage
    must be trained for. `by_day` are stages that nobody does at home hours, alone at night. `paces` says by stage how fast
    curing goes in each hour of the horizon against the plan's temperature (1 is as planned).
    """

    step_min: int = 5
    stretch_min: int = 240
    stations: Mapping[str, str] = field(default_factory=dict)
    skills: Mapping[Stage, str] = field(default_factory=dict)
    by_day: frozenset[Stage] = BENCH_HOURS_ONLY
    paces: Mapping[Stage, tuple[float, ...]] = field(default_factory=dict)
    breach: int = 400
    watched: int = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Tasks and waits of one job, keys begun with the job's."""

    tasks: tuple[Task, ...]
    links: tuple[Link, ...]


def network_of(plan: MoldPlan, *, order: str, rubber: str, bench: Bench | None = None, molds: int = 1) -> Network:
    """Turn a plan into tasks and waits.

    Parameters
    ----------
    plan : MoldPlan
        The plan.
    order : str
        The job's key.
    rubber : str
        The rubber's key: coats of one rubber can be mixed together.
    bench : Bench, optional
        What the studio adds.
    molds : int
        How many molds the run is cast in side by side.

    Returns
    -------
    Network
        Each task takes its minutes divided by its people, rounded up to the grid. A task longer than a stretch becomes several
        of equal length. The run becomes its castings: the next in the same mold follows when the cycle is over; more than 24
        are put in sets whose hands-on minutes come first and whose cycles follow. The frame is held until the
        last skin has set: the cycle without the cure in the mold; what follows the run waits for that cure too.

    Notes
    -----
    Least waits are rounded up and windows down, so that rounding never breaks a rule. Work that may not be left alone is kept
    in daytime, and what follows must begin within a stretch after its wait, at a small price.
    """
    bench = bench or Bench()
    if molds < 1:
        raise BadProblem("The run is cast in one mold at least.")
    made = [_casts(plan, task, order, bench, molds) or _parts(task, order, rubber, bench) for task in plan.tasks]
    parts = {task.key: own for task, own in zip(plan.tasks, made, strict=True)}
    links: list[Link] = []
    for task in plan.tasks:
        own = parts[task.key]
        links += own.links
        for key in task.waits_for:
            before = next(one for one in plan.tasks if one.key == key)
            for last in parts[key].last:
                links += [_link(before, last, first, bench, cures_min=parts[key].cures_min) for first in own.first]
    return Network(tasks=tuple(one for part in made for one in part.tasks), links=tuple(links))


@lru_cache(maxsize=1024)
def lag_at_pace(minutes: float, pace: tuple[float, ...], *, step_min: int, longest: bool) -> Lag:
    """Return a wait by the hour in which it begins, where curing is faster or slower from hour to hour.

    Parameters
    ----------
    minutes : float
        The wait at the plan's temperature. [min]
    pace : tuple of float
        How fast curing goes in each hour against the plan's temperature; the last holds on. Greater than 0.
    step_min : int
        The grid. [min]
    longest : bool
        Whether a window is meant, which is rounded down and taken at its shortest within the hour; else a least wait, rounded up
        and taken at its longest.

    Notes
    -----
    Equivalent age: the wait is over when the paces of the hours gone by add up to it [1]_.

    References
    ----------
    .. [1] The idea of concrete's maturity, ASTM C1074: ages at a reference temperature are added. (from memory)
    """
    if not pace or min(pace) <= 0:
        raise BadProblem("Curing must go on at some pace in every hour; a room too cold for it needs another plan.")
    ends = [_age_over(minutes, pace, 60.0 * hour) - 60.0 * hour for hour in range(len(pace) + 1)]
    found = []
    for here, there in pairwise(ends):
        found.append(math.floor(min(here, there) / step_min + 1e-9) if longest else math.ceil(max(here, there) / step_min - 1e-9))
    return Lag(by_hour=tuple(found)) if len(set(found)) > 1 else Lag.of(found[0])


def _age_over(minutes: float, pace: tuple[float, ...], begin_min: float) -> float:
    """Return when a wait that begins then is over. [min]"""
    left, moment = minutes, begin_min
    while True:
        hour = int(moment // 60)
        if hour >= len(pace) - 1:
            return moment + left / pace[-1]
        gained = (60.0 * (hour + 1) - moment) * pace[hour]
        if gained >= left:
            return moment + left / pace[hour]
        left, moment = left - gained, 60.0 * (hour + 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parts:
    """What one task of a plan became: tasks, the waits between them, the first and last of them, and what still cures then."""

    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    first: tuple[str, ...]
    last: tuple[str, ...]
    cures_min: float = 0.0


def _parts(task: PlanTask, order: str, rubber: str, bench: Bench) -> _Parts:
    steps = max(1, math.ceil(task.minutes.value / max(task.people, 1) / bench.step_min - 1e-9))
    count = math.ceil(steps / max(1, bench.stretch_min // bench.step_min))
    tasks = tuple(
        _task(
            task,
            order,
            bench,
            number,
            count,
            steps=math.ceil(steps / count),
            session=rubber if task.key.startswith("coat_") else "",
        )
        for number in range(1, count + 1)
    )
    links = tuple(Link(before=one.key, after=other.key) for one, other in pairwise(tasks))
    return _Parts(tasks=tasks, links=links, first=(tasks[0].key,), last=(tasks[-1].key,))


def _casts(plan: MoldPlan, task: PlanTask, order: str, bench: Bench, molds: int) -> _Parts | None:
    """Divide the run into its castings, each mold's one after the other."""
    casting = plan.casting
    if task.key != CASTINGS or casting is None or casting.count < 1:
        return None
    each = math.ceil(casting.count / _MOST_CASTS)
    count = math.ceil(casting.count / each)
    hands = task.minutes.value * each / casting.count
    if math.ceil(hands / bench.step_min) > bench.stretch_min // bench.step_min:
        return None
    steps = max(1, math.ceil(hands / bench.step_min - 1e-9))
    cure = casting.demold.value if casting.demold is not None else 0.0
    # Taking out and cleaning stand at the head of the cycle with all hands-on minutes, so that they hold the frame too.
    turns = max(steps, math.ceil((casting.cycle.value * each - cure) / bench.step_min - 1e-9))
    tasks = tuple(
        replace(_task(task, order, bench, number, count, steps=steps, session=""), holds=turns) for number in range(1, count + 1)
    )
    wait = max(0.0, casting.cycle.value * each - hands)
    least = Lag.of(math.ceil(wait / bench.step_min))
    links = tuple(Link(before=one.key, after=other.key, least=least) for one, other in zip(tasks, tasks[molds:], strict=False))
    side = min(molds, count)
    first, last = (tuple(one.key for one in ones) for ones in (tasks[:side], tasks[-side:]))
    return _Parts(tasks=tasks, links=links, first=first, last=last, cures_min=wait)


def _task(task: PlanTask, order: str, bench: Bench, number: int, count: int, *, steps: int, session: str) -> Task:
    return Task(
        key=f"{order}:{task.key}" + (f"#{number}" if count > 1 else ""),
        order=order,
        steps=steps,
        label=task.label + (f" ({number} of {count})" if count > 1 else ""),
        people=task.people,
        skill=bench.skills.get(task.stage, ""),
        station=bench.stations.get(task.station),
        session=session,
        by_day=task.stage in bench.by_day or not task.unattended,
    )


def _link(before: PlanTask, last: str, first: str, bench: Bench, *, cures_min: float = 0.0) -> Link:
    pace = bench.paces.get(before.stage, (1.0,))
    least = lag_at_pace(max(before.wait_after_min, cures_min), pace, step_min=bench.step_min, longest=False)
    if before.latest_next_min is not None:
        most = lag_at_pace(before.latest_next_min, pace, step_min=bench.step_min, longest=True)
        if any(a < b for a, b in most.beside(least)):
            # A window that rounding closes is opened by its least wait.
            most = Lag(by_hour=tuple(max(a, b) for a, b in most.beside(least)))
        return Link(before=last, after=first, least=least, most=most, breach=bench.breach, remedy=REMEDY)
    if not before.unattended:
        stretch = bench.stretch_min // bench.step_min
        most = Lag(by_hour=tuple(steps + stretch for steps in least.by_hour))
        return Link(before=last, after=first, least=least, most=most, breach=bench.watched, remedy=WATCHED)
    return Link(before=last, after=first, least=least)
