"""What a search found as rows: pages, prints and feeds need nothing else."""

import datetime
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from jobs.days.inputs import LaidOut
from jobs.days.searching import Found
from jobs.models import Job, Timetable, TimetableEntry
from jobs.scheduling.network import REMEDY
from jobs.scheduling.problem import Problem
from jobs.scheduling.result import Breach, Entry, Schedule, ends_of, is_visit

_BATCH = 500


def write_entries(timetable: Timetable, laid: LaidOut, problem: Problem, schedule: Schedule) -> None:
    """Put the entries of a schedule in place of those that the timetable has; called within a transaction."""
    rows = [*_past(timetable, laid), *_laid(timetable, laid, problem, schedule)]
    TimetableEntry.objects.filter(timetable=timetable).delete()
    made = TimetableEntry.objects.bulk_create([row for row, _ in rows], batch_size=_BATCH)
    through = TimetableEntry.people.through
    through.objects.bulk_create(
        [through(timetableentry_id=row.pk, person_id=pk) for row, (_, people) in zip(made, rows, strict=True) for pk in people],
        batch_size=_BATCH,
    )


def cost_said(problem: Problem, schedule: Schedule) -> dict[str, Any]:
    """Return the parts of a schedule's cost, and what pages count: windows broken, visits."""
    return {
        **asdict(schedule.cost),
        "total": schedule.cost.total,
        "windows": windows_broken(schedule),
        "visit_count": sum(is_visit(problem, entry) for entry in schedule.entries.values()),
    }


def windows_broken(schedule: Schedule) -> int:
    """Count the recoat windows that are not kept; work that is looked after for longer is none."""
    return sum(breach.link.remedy == REMEDY for breach in schedule.breaches)


def moved_said(laid: LaidOut, found: Found) -> list[dict[str, Any]]:
    """Return what moved against the timetable in use, and why, by job and time."""
    jobs = _jobs(laid)
    said = []
    for one in found.moved:
        task = laid.said[one.task]
        job = jobs[task.job_id]
        said.append(
            {
                "job": job.number,
                "title": job.title,
                "key": task.task_key,
                "task": task.label,
                "was": _iso(laid, one.was.start),
                "now": _iso(laid, one.now.start),
                "people_was": _names(laid, one.was),
                "people_now": _names(laid, one.now),
                "why": one.why,
            }
        )
    return said


def ends_said(laid: LaidOut, found: Found) -> list[dict[str, Any]]:
    """Return each job's end, its end before, its day, and how late that is."""
    jobs = _jobs(laid)
    ends = ends_of(found.problem, found.schedule.entries)
    said = []
    for order in found.problem.orders:
        if order.key not in ends:
            continue
        end = ends[order.key]
        before = found.ends_before.get(order.key)
        job = jobs[int(order.key)]
        said.append(
            {
                "job": job.number,
                "title": job.title,
                "before": None if before is None else _iso(laid, before),
                "after": _iso(laid, end),
                "due": None if order.due is None else _iso(laid, order.due),
                "late_min": 0 if order.due is None else max(0, end - order.due) * laid.grid.step_min,
            }
        )
    return said


def _laid(
    timetable: Timetable, laid: LaidOut, problem: Problem, schedule: Schedule
) -> Iterable[tuple[TimetableEntry, tuple[int, ...]]]:
    late = {breach.link.after: breach for breach in schedule.breaches}
    for task in problem.tasks:
        entry, said = schedule.entries[task.key], laid.said[task.key]
        breach = late.get(task.key)
        row = TimetableEntry(
            timetable=timetable,
            job_id=said.job_id,
            task_key=said.task_key,
            plan_key=said.plan_key,
            label=said.label,
            stage=said.stage.value,
            place=said.place,
            starts_at=laid.grid.at(entry.start),
            ends_at=laid.grid.at(entry.end),
            station=task.station or "",
            station_until_at=laid.grid.at(entry.start + task.station_steps) if task.station else None,
            mixes=said.mixes,
            **_after(laid, task.key, entry),
            unattended=said.unattended,
            visit=not task.begun and is_visit(problem, entry),
            pinned=task.pinned is not None and not task.begun,
            done=task.begun,
            **_late(breach, laid),
        )
        yield row, tuple(int(key) for key in entry.people)


def _after(laid: LaidOut, key: str, entry: Entry) -> dict[str, datetime.datetime | None]:
    """Return when what follows may begin, and when its window closes."""
    links = laid.problem.links_from[key]
    per_hour = laid.problem.steps_per_hour
    waits = max((link.least.at(entry.end, steps_per_hour=per_hour) for link in links), default=0)
    windows = [link.most.at(entry.end, steps_per_hour=per_hour) for link in links if link.most and link.remedy == REMEDY]
    return {
        "waits_until_at": laid.grid.at(entry.end + waits) if waits else None,
        "latest_next_at": laid.grid.at(entry.end + min(windows)) if windows else None,
    }


def _late(breach: Breach | None, laid: LaidOut) -> dict[str, Any]:
    if breach is None:
        return {}
    late_min = breach.late * laid.grid.step_min if breach.link.remedy == REMEDY else 0
    return {"late_min": late_min, "remedy": breach.link.remedy}


def _past(timetable: Timetable, laid: LaidOut) -> Iterable[tuple[TimetableEntry, tuple[int, ...]]]:
    for one in laid.past:
        said = laid.said.get(one.key)
        if said is None:
            continue
        row = TimetableEntry(
            timetable=timetable, job_id=said.job_id, task_key=said.task_key, plan_key=said.plan_key, label=said.label,
            stage=said.stage.value, place=said.place, starts_at=one.happened.starts_at, ends_at=one.happened.ends_at,
            mixes=said.mixes, unattended=said.unattended, done=True,
        )  # fmt: skip
        yield row, one.happened.people


def _jobs(laid: LaidOut) -> dict[int, Job]:
    return Job.objects.in_bulk({said.job_id for said in laid.said.values()})


def _names(laid: LaidOut, entry: Entry) -> list[str]:
    return [laid.problem.person[key].label for key in entry.people]


def _iso(laid: LaidOut, step: int) -> str:
    return laid.grid.at(step).isoformat()
