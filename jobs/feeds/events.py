"""What people's calendars were told, brought in line with the timetable that is now in use."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from jobs.feeds.words import description_of, place_of, summary_of
from jobs.models import FeedEvent, Timetable, TimetableEntry
from studio.models import Person, StudioProfile
from studio.web.formats import locale_code
from studio.web.middleware import zone_of

# Work that ended earlier than this is told to nobody anew.
BACK = timedelta(days=7)
SAID = ("summary", "description", "place", "starts_at", "ends_at")
BATCH = 500

Told = dict[str, str | datetime]


@dataclass(frozen=True, slots=True, order=True)
class EventKey:
    """Whose event of which task of which job."""

    person_id: int
    job_id: int
    task_key: str


@transaction.atomic
def follow(timetable: Timetable) -> None:
    """Bring every person's events in line with a timetable; running it twice changes nothing the second time.

    An event that is new begins at sequence 0; one that says something else, is cancelled or comes back counts up, as
    RFC 5545, 3.8.7.4 asks. Work that was begun before the timetable was laid out stays, unless somebody else did it.
    """
    now = timezone.now()
    profile = StudioProfile.objects.current()
    with timezone.override(zone_of(profile.time_zone)):
        wanted, tasks = _wanted(timetable, locale_code(profile))
    begins_at = max(timetable.begins_at or now, now)
    of_these_jobs, to_come = Q(job__in={key.job_id for key in wanted}), Q(cancelled_at=None, starts_at__gte=begins_at)
    rows = FeedEvent.objects.select_for_update().filter(of_these_jobs | to_come)
    known = {EventKey(row.person_id, row.job_id, row.task_key): row for row in rows}
    changed = [
        event for key, told in sorted(wanted.items(), key=_by_key) if (event := _brought_in_line(key, told, known.get(key), now))
    ]
    for key, event in known.items():
        taken_over = (key.job_id, key.task_key) in tasks
        if key not in wanted and event.cancelled_at is None and (taken_over or event.starts_at >= begins_at):
            event.sequence, event.changed_at, event.cancelled_at = event.sequence + 1, now, now
            changed.append(event)
    FeedEvent.objects.bulk_create(
        changed,
        batch_size=BATCH,
        update_conflicts=True,
        unique_fields=["person", "job", "task_key"],
        update_fields=[*SAID, "sequence", "changed_at", "cancelled_at"],
    )


def _by_key(item: tuple[EventKey, Told]) -> EventKey:
    return item[0]


def _wanted(timetable: Timetable, locale: str) -> tuple[dict[EventKey, Told], set[tuple[int, str]]]:
    """Return what each person is to be told, and all tasks of the timetable that somebody does."""
    entries = {
        entry.pk: entry for entry in TimetableEntry.objects.filter(timetable=timetable).select_related("job").only(*_COLUMNS)
    }
    names = dict(Person.objects.values_list("pk", "name"))
    people: dict[int, list[int]] = defaultdict(list)
    pairs = TimetableEntry.people.through.objects.filter(timetableentry__timetable=timetable)
    for entry_id, person_id in pairs.order_by("person__name", "person_id").values_list("timetableentry_id", "person_id"):
        people[entry_id].append(person_id)
    wanted: dict[EventKey, Told] = {}
    for entry_id, workers in people.items():
        entry = entries[entry_id]
        for person_id in workers:
            others = [names[other] for other in workers if other != person_id]
            wanted[EventKey(person_id, entry.job_id, entry.task_key)] = {
                "summary": summary_of(entry.job.number, entry),
                "description": description_of(entry, others, locale),
                "place": place_of(entry),
                "starts_at": entry.starts_at,
                "ends_at": entry.ends_at,
            }
    return wanted, {(entries[entry_id].job_id, entries[entry_id].task_key) for entry_id in people}


_COLUMNS = (
    "job__number", "task_key", "label", "starts_at", "ends_at", "station", "mixes", "waits_until_at", "latest_next_at",
    "unattended", "visit", "late_min", "remedy",
)  # fmt: skip


def _brought_in_line(key: EventKey, told: Told, event: FeedEvent | None, now: datetime) -> FeedEvent | None:
    """Return the event that has to be written, or None where nothing is new."""
    if event is None:
        if told["ends_at"] < now - BACK:  # type: ignore[operator]
            return None
        return FeedEvent(person_id=key.person_id, job_id=key.job_id, task_key=key.task_key, changed_at=now, **told)
    if event.cancelled_at is None and all(getattr(event, name) == value for name, value in told.items()):
        return None
    for name, value in told.items():
        setattr(event, name, value)
    event.sequence, event.changed_at, event.cancelled_at = event.sequence + 1, now, None
    return event
