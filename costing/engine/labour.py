"""Hours by task and stage, and what an hour costs."""

import math
from dataclasses import dataclass

from costing.engine.shares import Share, share_of
from jobs.planning.results import CastingPlan, Task
from studio.figures import Figure, Given, Source, SourceKind
from studio.workrates import WORK_RATES, Stage

# The task of starting and closing the casting days: it grows with days, every other task of a run with castings.
CASTING_DAYS = "casting_days"
AT_THE_MOLD = "castings"
_SKIN, _MIXING = WORK_RATES["casting_skin_min"].label, WORK_RATES["mix_min"].label


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
    """Hours of one casting, of starting a casting day, and how many castings a day gives.

    `machine_h` is what of a casting's hours goes at the frame's pace, which practice does not shorten; None where nothing does.
    """

    each_h: Figure
    startup_h: Figure
    per_day: Figure
    machine_h: Figure | None = None

    @property
    def by_machine_h(self) -> float:
        """Hours of one casting that practice does not shorten."""
        return 0.0 if self.machine_h is None else min(self.machine_h.value, self.each_h.value)

    @property
    def by_hand_h(self) -> float:
        """Hours of the first casting that practice shortens."""
        return self.each_h.value - self.by_machine_h


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
        machine_h=_machine_h(casting, by_casting, count),
    )


def _machine_h(casting: CastingPlan, tasks: tuple[TaskHours, ...], count: Given) -> Figure | None:
    """Return what of one casting's hours is turning on the frame, the same share where minutes were typed. [h]"""
    at_mold = next((task.hours for task in tasks if task.key == AT_THE_MOLD), None)
    turning = [_turned_min(step.turning) for step in casting.steps]
    if at_mold is None or not turning or casting.minutes_each.value <= 0 or not sum(turning):
        return None
    given = Given(
        label="Turning of all skins: minutes of a skin less its mixing", value=math.fsum(turning), unit="min",
        source=Source(kind=SourceKind.COMPUTED),
    )  # fmt: skip
    share = min(given.value / casting.minutes_each.value, 1.0)
    return Figure(
        key="casting-machine-hours",
        label="Of them at the frame's pace",
        value=share * at_mold.value / max(casting.count, 1),
        unit="h",
        formula="hours of casting the run ÷ castings × turning ÷ minutes at the mold",
        given=(at_mold, count, given, casting.minutes_each),
        note="Somebody stands by while the frame turns; practice does not make it turn faster.",
    )


def _turned_min(turning: Figure) -> float:
    """Return what of a skin's hands-on minutes is turning; nought where its working does not tell. [min]"""
    known = {item.label: item.value for item in turning.given}
    return max(known.get(_SKIN, 0.0) - known.get(_MIXING, 0.0), 0.0) if _SKIN in known else 0.0
