"""Hours by task and stage, and what an hour costs."""

import math
from dataclasses import dataclass

from costing.engine.shares import Share, share_of
from jobs.planning.results import CastingPlan, Task
from studio.figures import Figure, Given
from studio.workrates import Stage

# The task of starting and closing the casting days: it grows with days, every other task of a run with castings.
CASTING_DAYS = "casting_days"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskHours:
    """One task with its paid hours."""

    key: str
    label: str
    stage: Stage
    share: Share
    hours: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class StageHours:
    """The tasks of one stage and their sum."""

    stage: Stage
    tasks: tuple[TaskHours, ...]
    hours: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class RunHours:
    """Hours of one casting, of starting a casting day, and how many castings a day gives."""

    each_h: Figure
    startup_h: Figure
    per_day: Figure


def task_hours(tasks: tuple[Task, ...]) -> tuple[TaskHours, ...]:
    """Turn the hands-on minutes of each task, all people together, into paid hours. [h]"""
    return tuple(
        TaskHours(
            key=task.key,
            label=task.label,
            stage=task.stage,
            share=share_of(task.stage),
            hours=Figure(
                key=f"hours-{task.key}",
                label=task.label,
                value=task.minutes.value / 60,
                unit="h",
                formula="minutes of all hands ÷ 60",
                given=(task.minutes,),
            ),
        )
        for task in tasks
    )


def by_stage(hours: tuple[TaskHours, ...]) -> tuple[StageHours, ...]:
    """Gather the tasks by stage, in the order of the work."""
    found: list[StageHours] = []
    for stage in Stage:
        tasks = tuple(task for task in hours if task.stage is stage)
        if tasks:
            found.append(
                StageHours(stage=stage, tasks=tasks, hours=add_hours(tasks, key=f"stage-{stage.value}", label=stage.label))
            )
    return tuple(found)


def add_hours(tasks: tuple[TaskHours, ...], *, key: str, label: str) -> Figure:
    """Add up the hours of tasks. [h]"""
    return Figure(
        key=key,
        label=label,
        value=math.fsum(task.hours.value for task in tasks),
        unit="h",
        formula="sum of the tasks",
        given=tuple(task.hours for task in tasks),
    )


def run_hours(casting: CastingPlan, run_tasks: tuple[TaskHours, ...]) -> RunHours:
    """Split the hours of the planned run into what each casting takes and what each casting day takes.

    Parameters
    ----------
    casting : CastingPlan
        The run as planned: count, castings a day, days.
    run_tasks : tuple of TaskHours
        Every task of casting and finishing, for the whole planned run.

    Returns
    -------
    RunHours
        each_h × castings + startup_h × days; at the planned count this is the planned hours again.
    """
    daily = tuple(task for task in run_tasks if task.key == CASTING_DAYS)
    by_casting = tuple(task for task in run_tasks if task.key != CASTING_DAYS)
    work = add_hours(by_casting, key="run-hours-work", label="Hours of casting and finishing the planned run")
    startup = add_hours(daily, key="run-hours-days", label="Hours of starting and closing its casting days")
    count = Given(label="Castings planned", value=casting.count, unit="1")
    return RunHours(
        each_h=Figure(
            key="casting-hours",
            label="Hours for one casting",
            value=work.value / max(casting.count, 1),
            unit="h",
            formula="hours of casting and finishing ÷ castings",
            given=(work, count),
        ),
        startup_h=Figure(
            key="startup-hours",
            label="Starting and closing a casting day",
            value=startup.value / max(casting.days.value, 1.0),
            unit="h",
            formula="hours of starting and closing ÷ casting days",
            given=(startup, casting.days),
        ),
        per_day=casting.per_day,
    )
