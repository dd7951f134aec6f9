"""What was done at a job: noted once, taken back, counted again, and what is suggested of it."""

import datetime
import uuid
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.errors import WorkRefused
from jobs.models import Job, TaskFact, WorkDone
from jobs.services import work_done
from jobs.services.work_done import MinutesNoted
from tests.factories import AccountFactory, JobFactory, PersonFactory

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 11, 20)


def line(key: str = "coat_1", minutes: float = 40) -> MinutesNoted:
    return MinutesNoted(task_key=key, label=f"Task {key}", stage="coats", minutes=Decimal(str(minutes)))


def note(job: Job, *lines: MinutesNoted, key: uuid.UUID | None = None) -> list[WorkDone]:
    by = None
    return work_done.note_minutes(job=job, lines=lines, done_on=TODAY, key=key or uuid.uuid4(), by=by)


class TestNoteMinutes:
    def test_notes_once_however_often_the_form_is_sent(self) -> None:
        job, key = JobFactory(), uuid.uuid4()
        first = note(job, line(), line("coat_2", 25.55), key=key)
        again = note(job, line(), line("coat_2", 25.55), key=key)
        assert [row.pk for row in again] == [row.pk for row in first]
        assert work_done.minutes_by_task(WorkDone.objects.all()) == {"coat_1": Decimal(40), "coat_2": Decimal("25.6")}

    def test_refuses_the_same_form_with_other_numbers_and_writes_nothing(self) -> None:
        job, key = JobFactory(), uuid.uuid4()
        note(job, line(), key=key)
        with pytest.raises(WorkRefused, match="sent already"):
            note(job, line("coat_9"), line(minutes=41), key=key)
        assert WorkDone.objects.count() == 1

    @pytest.mark.parametrize(("lines", "words"), [([], "No minutes were typed"), ([line(minutes=0)], "some minutes")])
    def test_refuses_nothing(self, lines: list[MinutesNoted], words: str) -> None:
        with pytest.raises(WorkRefused, match=words):
            note(JobFactory(), *lines)

    def test_refuses_a_day_to_come(self) -> None:
        ahead = timezone.localdate() + datetime.timedelta(days=1)
        with pytest.raises(WorkRefused, match="not come yet"):
            work_done.note_spend(job=JobFactory(), text="Carriage", amount=Decimal(9), spent_on=ahead, key=uuid.uuid4(), by=None)
        with pytest.raises(WorkRefused, match="good or spoiled"):
            work_done.note_castings(job=JobFactory(), good=0, spoiled=0, cast_on=TODAY, key=uuid.uuid4(), by=None)


class TestTakeBack:
    def test_leaves_the_line_readable_and_counts_it_no_more(self) -> None:
        job, by = JobFactory(), AccountFactory()
        (row,) = note(job, line())
        work_done.take_back(job=job, kind="work", pk=row.pk, by=by)
        when = work_done.take_back(job=job, kind="work", pk=row.pk, by=None).taken_back_at
        kept = WorkDone.objects.get()
        assert (kept.minutes, kept.taken_back_by, kept.taken_back_at) == (Decimal(40), by, when)
        assert work_done.minutes_by_task([kept]) == {}
        work_done.count_again(job=job, kind="work", pk=row.pk)
        assert work_done.minutes_by_task(WorkDone.objects.all()) == {"coat_1": Decimal(40)}

    @pytest.mark.parametrize("kind", ["work", "spend", "nothing"])
    def test_refuses_lines_of_other_jobs_and_kinds(self, kind: str) -> None:
        (row,) = note(JobFactory(), line())
        with pytest.raises(WorkRefused, match="not on this job"):
            work_done.take_back(job=JobFactory(), kind=kind, pk=row.pk, by=None)


class TestSuggestions:
    def test_are_begin_to_end_times_people_over_all_parts_of_a_task(self) -> None:
        job, now = JobFactory(), timezone.now()
        for key, ago, minutes in (("coat_1#1", 300, 30), ("coat_1#2", 200, 20), ("coat_2", 30, 60)):
            began = now - datetime.timedelta(minutes=ago)
            fact = TaskFact.objects.create(
                job=job, task_key=key, began_at=began, ended_at=began + datetime.timedelta(minutes=minutes)
            )  # fmt: skip
            fact.people.set([PersonFactory(), PersonFactory()])
        found = work_done.suggestions(job)
        # The second coat is not done yet.
        assert {key: (one.minutes, one.people) for key, one in found.items()} == {"coat_1": (Decimal(100), 2)}
