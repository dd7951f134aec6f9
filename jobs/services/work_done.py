"""What really happened at a job: noted once however often a form is sent, taken back and counted again, never changed."""

import datetime
import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from jobs.errors import WorkRefused
from jobs.models import CastingsTally, Job, JobSpend, TaskFact, WorkDone
from studio.models import Account, Person

Row = WorkDone | JobSpend | CastingsTally
KINDS: Mapping[str, type[Row]] = {"work": WorkDone, "spend": JobSpend, "castings": CastingsTally}
MOST_MINUTES = Decimal(60_000)
MINUTE = Decimal("0.1")


@dataclass(frozen=True, slots=True, kw_only=True)
class MinutesNoted:
    """Minutes of one task, all hands together; an empty key is work that was not planned."""

    task_key: str
    label: str
    stage: str
    minutes: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """Minutes of a task by what was said of its begin and end: the time between × the people at it."""

    minutes: Decimal
    people: int


@transaction.atomic
def note_minutes(
    *,
    job: Job,
    lines: Iterable[MinutesNoted],
    done_on: datetime.date,
    person: Person | None = None,
    note: str = "",
    key: uuid.UUID,
    by: Account | None,
) -> list[WorkDone]:
    """Note minutes of several tasks under one key; sent again, it answers with the first lines."""
    _not_ahead(done_on)
    noted = []
    for line in lines:
        minutes = line.minutes.quantize(MINUTE)
        if not 0 < minutes <= MOST_MINUTES:
            raise WorkRefused(f"“{line.label}” must have taken some minutes, and no more than a thousand hours.")
        values = {"job": job, "task_key": line.task_key[:80], "label": line.label[:160], "stage": line.stage, "minutes": minutes,
                  "done_on": done_on, "person": person, "note": note[:200]}  # fmt: skip
        noted.append(_once(WorkDone, uuid.uuid5(key, line.task_key or line.label), values, by))
    if not noted:
        raise WorkRefused("No minutes were typed, so nothing is noted. Type them beside the tasks that were done.")
    return noted


@transaction.atomic
def note_spend(*, job: Job, text: str, amount: Decimal, spent_on: datetime.date, key: uuid.UUID, by: Account | None) -> JobSpend:
    """Note money spent on a job besides stock."""
    _not_ahead(spent_on)
    if amount <= 0:
        raise WorkRefused("An amount that was spent is more than nought.")
    row: JobSpend = _once(JobSpend, key, {"job": job, "text": text[:160], "amount": amount, "spent_on": spent_on}, by)
    return row


@transaction.atomic
def note_castings(
    *, job: Job, good: int, spoiled: int, cast_on: datetime.date, note: str = "", key: uuid.UUID, by: Account | None
) -> CastingsTally:
    """Note how many castings of a day were good and how many were spoiled."""
    _not_ahead(cast_on)
    if good + spoiled <= 0:
        raise WorkRefused("Say how many castings came out, good or spoiled.")
    row: CastingsTally = _once(
        CastingsTally, key, {"job": job, "good": good, "spoiled": spoiled, "cast_on": cast_on, "note": note[:200]}, by
    )  # fmt: skip
    return row


@transaction.atomic
def take_back(*, job: Job, kind: str, pk: int, by: Account | None) -> Row:
    """Take a line back: it counts no more and stays readable. Taken back already, it stays as it is."""
    row = _locked(job, kind, pk)
    if row.taken_back_at is None:
        row.taken_back_by, row.taken_back_at = by, timezone.now()
        row.save(update_fields=["taken_back_by", "taken_back_at"])
    return row


@transaction.atomic
def count_again(*, job: Job, kind: str, pk: int) -> Row:
    """Count a line again that was taken back."""
    row = _locked(job, kind, pk)
    row.taken_back_by = row.taken_back_at = None
    row.save(update_fields=["taken_back_by", "taken_back_at"])
    return row


def minutes_by_task(rows: Iterable[WorkDone]) -> dict[str, Decimal]:
    """Add up the minutes that count by task; work that was not planned stands under an empty key."""
    found: dict[str, Decimal] = defaultdict(Decimal)
    for row in rows:
        if row.taken_back_at is None:
            found[row.task_key] += row.minutes
    return dict(found)


def suggestions(job: Job) -> dict[str, Suggestion]:
    """Return what was said of tasks of a job that are done, by the key of the planned task."""
    minutes: dict[str, Decimal] = defaultdict(Decimal)
    people: dict[str, int] = {}
    done = TaskFact.objects.filter(job=job, began_at__isnull=False, ended_at__lte=timezone.now()).prefetch_related("people")
    for fact in done:
        assert fact.began_at is not None
        assert fact.ended_at is not None
        # A long task is laid out in parts, "coat_1#1" and "coat_1#2"; its minutes are those of all.
        key, hands = fact.task_key.partition("#")[0], max(len(fact.people.all()), 1)
        minutes[key] += Decimal(str((fact.ended_at - fact.began_at).total_seconds() / 60)) * hands
        people[key] = max(people.get(key, 0), hands)
    return {key: Suggestion(minutes=value.quantize(Decimal(1)), people=people[key]) for key, value in minutes.items()}


def _once(model: type[Any], key: uuid.UUID, values: Mapping[str, Any], by: Account | None) -> Any:
    row, made = model.objects.get_or_create(key=key, defaults={**values, "noted_by": by})
    if not made and any(getattr(row, name) != value for name, value in values.items()):
        raise WorkRefused("This form was sent already with other numbers. Look at what is noted below, then type the rest anew.")
    return row


def _locked(job: Job, kind: str, pk: int) -> Row:
    model: Any = KINDS.get(kind)
    row: Row | None = None if model is None else model.objects.select_for_update().filter(job=job, pk=pk).first()
    if row is None:
        raise WorkRefused("That line is not on this job. Load the page again.")
    return row


def _not_ahead(day: datetime.date) -> None:
    if day > timezone.localdate():
        raise WorkRefused("That day has not come yet; give the day on which it was done.")
