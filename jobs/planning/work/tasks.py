"""The work in its order: what is done, how long hands are on it, what it waits for."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from jobs.planning.brief import PlanBrief
from jobs.planning.cautions import task_cautions
from jobs.planning.results import CastingPlan, ShellPlan, Task
from jobs.planning.rubber.cure import cure_of
from jobs.planning.work.before import CUT_REINFORCEMENT, beside_tasks, client_tasks, preparation_tasks, release_task
from jobs.planning.work.pours import block_tasks, clay_task, poured_tasks
from jobs.planning.work.rubber import closing_tasks, coat_tasks
from jobs.planning.work.run import CASTINGS, run_elapsed_min, run_tasks
from jobs.planning.work.shell import CRADLE, opening_tasks, shell_tasks
from jobs.planning.work.times import network_times
from jobs.planning.work.work import Work, plain_key
from materials.properties import Chemistry
from studio.figures import TYPED, Figure

MINUTES_PER_H = 60


def plan_tasks(brief: PlanBrief, work: Work) -> tuple[Task, ...]:
    """List every task of one mold and its run, each after those it waits for.

    Minutes typed for this job replace the computed ones. What can be done beside other work waits for nothing: the
    client's, casting the parting strip, cutting scrap and glass.
    """
    tasks = [*client_tasks(brief), *beside_tasks(brief, work), *preparation_tasks(brief, work)]
    if work.clay is not None:
        tasks.append(clay_task(work.clay, after=tasks[-1].key))
        tasks += _shell(brief, work, tasks)
        tasks += poured_tasks(brief, work, work.clay, after=tasks[-1].key)
    elif work.box is not None:
        tasks += block_tasks(brief, work, work.box, after=tasks[-1].key)
    else:
        tasks.append(release_task(brief, work, after=tasks[-1].key))
        tasks += coat_tasks(brief, work, after=tasks[-1].key)
        tasks += closing_tasks(brief, work, after=tasks[-1].key)
        tasks += _shell(brief, work, tasks)
    tasks += opening_tasks(brief, work, after=(tasks[-1].key,))
    if work.casting is not None:
        ready = ("mold_clean", CRADLE) if work.shell is not None else ("mold_clean",)
        tasks += run_tasks(brief, work.casting, after=ready)
    return tuple(_own_minutes(tasks, brief))


def _shell(brief: PlanBrief, work: Work, before: list[Task]) -> list[Task]:
    if work.shell is None:
        return []
    beside = [task.key for task in before if task.key == CUT_REINFORCEMENT]
    return shell_tasks(brief, work.shell, after=(before[-1].key, *beside), wait_min=_shell_wait_min(brief, work.shell))


def timed(
    brief: PlanBrief, tasks: tuple[Task, ...], casting: CastingPlan | None, *, heavy: bool
) -> tuple[tuple[Task, ...], tuple[str, ...]]:
    """Give every task its earliest and latest begin and its cautions; the keys besides are of windows that cannot be kept.

    `heavy` says whether anything of the plan is above one lift.
    """
    found = network_times(tasks, elapsed_min={} if casting is None else {CASTINGS: run_elapsed_min(brief, casting)})
    stamped = tuple(
        replace(
            task,
            # Rounded, so that no speck of a float stands where work begins at nought.
            earliest_h=round(found.earliest[task.key] / MINUTES_PER_H, 9),
            latest_h=round(found.latest[task.key] / MINUTES_PER_H, 9) + 0.0,
            cautions=task_cautions(task, brief, heavy=heavy),
        )
        for task in tasks
    )
    return stamped, found.broken


def overridden(task: Task, brief: PlanBrief) -> Task:
    """Take the minutes typed for a task of this job in place of the computed ones, where there are any."""
    typed = brief.minutes_overrides.get(task.key)
    return task if typed is None else _with_minutes(task, typed, "typed for this job, in place of the computed minutes")


def _own_minutes(tasks: list[Task], brief: PlanBrief) -> Iterable[Task]:
    """Put typed minutes in; those typed when the work was one task are divided over its positions as the computed ones are."""
    together: dict[str, float] = defaultdict(float)
    for task in tasks:
        together[plain_key(task.key)] += task.minutes.value
    for task in tasks:
        whole = plain_key(task.key)
        typed = brief.minutes_overrides.get(whole)
        if task.key in brief.minutes_overrides or typed is None or together[whole] <= 0:
            yield overridden(task, brief)
        else:
            share = task.minutes.value / together[whole]
            yield _with_minutes(task, typed * share, "typed for all positions × this one's share of the computed minutes")


def _with_minutes(task: Task, typed: float, formula: str) -> Task:
    minutes = Figure(
        key=task.minutes.key,
        label=task.minutes.label,
        value=typed,
        unit="min",
        formula=formula,
        given=(task.minutes,),
        source=TYPED,
    )
    return replace(task, minutes=minutes)


def _shell_wait_min(brief: PlanBrief, shell: ShellPlan) -> float:
    assert brief.shell is not None
    material = brief.shell.material
    stated = material.get("demold_min")
    if stated is None:
        return 0.0
    # Plaster sets by dissolving and crystallising; the law for resins is not known to hold for it.
    if material.chemistry is Chemistry.GYPSUM:
        return stated.value
    return cure_of(brief, material, key="shell_wait", label=f"{shell.label} sets", may_be_short=True).value
