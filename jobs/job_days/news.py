"""What is different since a timetable was made and is not in it."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Max, Min, Q
from django.urls import reverse
from django.utils import timezone

from jobs.days import reading
from jobs.days.plans import LAID_OUT
from jobs.job_days.day_meant import hours_with_closed_days, means_day
from jobs.job_days.facts_said import fact_sentences
from jobs.job_days.plans_changed import planned_otherwise
from jobs.job_days.times import said_at, said_day, said_span
from jobs.models import Job, TaskFact, Timetable, TimetableEntry
from jobs.planning.work.handout_times import WorkingHours
from materials.models import ExpectedDelivery
from studio.models import Absence, RoomHour
from studio.web.topline import address_of

# As much as one line of the list of timetables holds.
_LONGEST, _MOST = 300, 3


@dataclass(frozen=True, slots=True, kw_only=True)
class NewsLine:
    """One thing that is different: the sentence, where it is changed, and when it was said; None where nobody said it."""

    text: str
    address: str
    at: datetime.datetime | None = None


def made_at(timetable: Timetable) -> datetime.datetime:
    """Return up to when a timetable knows of everything."""
    moment: datetime.datetime = timetable.started_at or timetable.created_at
    return moment


def news_since(timetable: Timetable) -> list[NewsLine]:
    """List what a timetable does not know of, the newest first, in as many queries however much there is."""
    since = made_at(timetable)
    lines = [*_of_tasks(since), *_no_longer_pinned(timetable), *_of_people(since), *_of_the_room(since), *_of_material(since)]
    lines.sort(key=lambda line: line.at or since, reverse=True)
    return [*lines, *_of_plans(timetable), *_of_jobs(timetable)]


def of_one_job(job: Job, timetable: Timetable) -> list[TaskFact]:
    """Return what was said of a job's tasks after a timetable was made."""
    facts = TaskFact.objects.filter(job=job, noted_at__gt=made_at(timetable))
    return list(facts.prefetch_related("people").order_by("-noted_at"))


def told(lines: Iterable[NewsLine]) -> str:
    """Put the news together in one sentence, as the timetable that is made of them keeps them."""
    texts = [line.text.rstrip(".") for line in lines]
    words = "; ".join(texts[:_MOST]) + (f"; and {len(texts) - _MOST} more" if len(texts) > _MOST else "")
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 1]}…"


def _of_tasks(since: datetime.datetime) -> list[NewsLine]:
    facts = (
        TaskFact.objects.filter(noted_at__gt=since, job__state__in=LAID_OUT)
        .select_related("job")
        .prefetch_related("people")
    )  # fmt: skip
    return [
        NewsLine(
            text=f"“{fact.label or fact.task_key}” of job {fact.job.number} {'; it '.join(fact_sentences(fact))}.",
            address=reverse("jobs:task_fact_show", kwargs={"number": fact.job.number, "task_key": fact.task_key}),
            at=fact.noted_at,
        )
        for fact in facts
        if fact_sentences(fact)
    ]


def _no_longer_pinned(timetable: Timetable) -> list[NewsLine]:
    pinned = set(TaskFact.objects.filter(pinned_at__isnull=False).values_list("job_id", "task_key"))
    rows = TimetableEntry.objects.filter(timetable=timetable, pinned=True, done=False, job__state__in=LAID_OUT)
    begun = set(TaskFact.objects.filter(began_at__isnull=False).values_list("job_id", "task_key"))
    return [
        NewsLine(
            text=f"“{entry.label}” of job {entry.job.number} is no longer pinned.",
            address=reverse("jobs:task_fact_show", kwargs={"number": entry.job.number, "task_key": entry.task_key}),
        )
        for entry in rows.select_related("job")
        if (entry.job_id, entry.task_key) not in pinned | begun
    ]


def _of_people(since: datetime.datetime) -> list[NewsLine]:
    rows = Absence.objects.filter(noted_at__gt=since, ends_at__gt=since).select_related("person")
    return [
        NewsLine(
            text=f"{f'{row.person.name} is away' if row.person else 'The studio is closed'} "
            f"{said_span(row.starts_at, row.ends_at)}{f': {row.why}' if row.why else ''}.",
            address=address_of("studio:away_list"),
            at=row.noted_at,
        )
        for row in rows
    ]


def _of_the_room(since: datetime.datetime) -> list[NewsLine]:
    found = RoomHour.objects.filter(noted_at__gt=since, begins_at__gt=since).aggregate(
        first=Min("begins_at"), last=Max("begins_at"), noted=Max("noted_at")
    )
    if found["first"] is None:
        return []
    ends = found["last"] + datetime.timedelta(hours=1)
    text = f"The room’s temperature is expected to be another one {said_span(found['first'], ends)}."
    return [NewsLine(text=text, address=address_of("studio:room_show"), at=found["noted"])]


def _of_material(since: datetime.datetime) -> list[NewsLine]:
    newer = Q(noted_at__gt=since) | Q(arrived_at__gt=since) | Q(cancelled_at__gt=since)
    return [
        NewsLine(
            text=_delivery_said(row),
            address=address_of("materials:expected_list"),
            at=max(moment for moment in (row.noted_at, row.arrived_at, row.cancelled_at) if moment is not None),
        )
        for row in ExpectedDelivery.objects.filter(newer).select_related("material")
    ]


def _delivery_said(row: ExpectedDelivery) -> str:
    if row.arrived_at is not None:
        return f"{row.material.name} arrived {said_at(row.arrived_at)}."
    if row.cancelled_at is not None:
        return f"{row.material.name}, expected {said_day(row.due_on)}, does not come."
    return f"{row.material.name} is expected {said_day(row.due_on)}."


def proposal_with(moment: datetime.datetime) -> Timetable | None:
    """Return the proposal that was begun after a moment, looked for or found: it knows what was said till then."""
    proposal = reading.proposal()
    if proposal is None or proposal.state == Timetable.State.REFUSED or made_at(proposal) <= moment:
        return None
    return proposal


def _of_plans(timetable: Timetable) -> list[NewsLine]:
    """Say which jobs have other tasks now; nobody told the timetable."""
    return [
        NewsLine(text=text, address=reverse("jobs:tasks_show", kwargs={"number": job.number}))
        for job, text in planned_otherwise(timetable)
    ]


def _of_jobs(timetable: Timetable) -> list[NewsLine]:
    """Say which jobs are agreed or closed since, and which are promised for another day; nobody told the timetable."""
    rows = TimetableEntry.objects.filter(timetable=timetable).values("job_id")
    inside = {row["job_id"]: row["first"] for row in rows.annotate(first=Min("starts_at", filter=Q(done=False)))}
    dues = {one.get("job"): one.get("due") for one in timetable.job_ends}
    known = {one.get("job") for one in timetable.left_out}
    hours = hours_with_closed_days(timezone.localdate())
    lines = []
    for job in Job.objects.filter(Q(state__in=LAID_OUT) | Q(pk__in=inside)).order_by("number"):
        if job.state not in LAID_OUT:
            texts = [f"Job {job.number} is “{job.get_state_display()}” and still in the days in use."]
        elif job.pk not in inside:
            out = job.number not in known
            texts = [f"Job {job.number} is “{job.get_state_display()}” and not in the days in use."] if out else []
        else:
            texts = _changed(job, dues, inside[job.pk], hours)
        address = reverse("jobs:job_days_show", kwargs={"number": job.number})
        lines += [NewsLine(text=text, address=address) for text in texts]
    return lines


def _changed(job: Job, dues: Mapping[int, str | None], first: datetime.datetime | None, hours: WorkingHours) -> list[str]:
    """Say which of a job's own days the days in use do not keep."""
    texts = []
    due = datetime.datetime.fromisoformat(dues[job.number] or "") if dues.get(job.number) else None
    if job.number in dues and not means_day(due, job.promised_on, hours):
        now = f"for {said_day(job.promised_on)}" if job.promised_on else "for no day"
        before = said_day(timezone.localdate(due)) if due else "no day"
        texts.append(f"Job {job.number} is promised {now}; the days in use go by {before}.")
    if job.starts_at is not None and first is not None and first < job.starts_at:
        texts.append(
            f"Job {job.number} is not to begin before {said_at(job.starts_at)}; the days in use begin it {said_at(first)}."
        )
    return texts
