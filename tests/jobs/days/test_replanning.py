"""News reach the timetable in use: what has begun stays, the rest moves as little as it can, and says why."""

import datetime
from dataclasses import replace
from typing import Any

import pytest
import time_machine

from jobs.days import searching, working
from jobs.days.asking import ask_after_news
from jobs.days.facts import keep_waiting, pin, say_begun
from jobs.days.inputs import laid_out
from jobs.models import Job, Timetable, TimetableEntry
from jobs.scheduling.problem import Problem
from jobs.scheduling.result import Entry, Schedule, faults_of, schedule_of, within
from studio.models import Absence, WorkingHours
from tests.jobs.days.studio import agreed_drum, as_laid, looked_for, to_use

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pushed", "quick")]
HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def used(drum) -> Timetable:
    """Return the timetable of two jobs that people go by."""
    agreed_drum(state=Job.State.WORKING, promised_on=datetime.date(2026, 4, 20))
    return to_use(looked_for())


def entry_of(timetable: Timetable, key: str, job: Job) -> TimetableEntry:
    return timetable.entries.get(job=job, task_key=key)


def after_news(sentence: str) -> Timetable:
    asked = ask_after_news(by=None, sentence=sentence)
    assert working.process(asked.pk) == "found"
    return Timetable.objects.get(pk=asked.pk)


def places(timetable: Timetable) -> dict[tuple[int, str], datetime.datetime]:
    return {(row.job_id, row.task_key): row.starts_at for row in timetable.entries.all()}


class TestOneCoatThreeHoursLate:
    def test_leaves_what_has_begun_and_tells_of_all_that_moved(self, used, drum) -> None:
        late = entry_of(used, "coat_2", drum)
        with time_machine.travel(late.starts_at - 0.5 * HOUR, tick=False):
            keep_waiting(job=drum, task_key="coat_2", until=late.starts_at + 3 * HOUR, why="still soft", by=None)
            new = after_news("Build coat 2 is three hours late.")
        assert (new.why, new.base, new.news) == ("news", used, ["Build coat 2 is three hours late."])
        problem, entries = as_laid(new)
        assert faults_of(problem, entries) == []
        before, after = places(used), places(new)
        begun = {key for key, starts in before.items() if starts < late.starts_at - 0.5 * HOUR}
        assert begun
        assert {(row.job_id, row.task_key) for row in new.entries.filter(done=True)} == begun
        assert all(after[key] == before[key] for key in begun)
        assert after[drum.pk, "coat_2"] >= late.starts_at + 3 * HOUR
        numbers = {job.pk: job.number for job in Job.objects.all()}
        shifted = {(numbers[job], key) for (job, key), starts in before.items() if after[job, key] != starts}
        assert shifted <= {(one["job"], one["key"]) for one in new.moved}
        assert all(one["why"] and one["task"] for one in new.moved)
        told = next(one for one in new.moved if one["key"] == "coat_2" and one["job"] == drum.number)
        assert told["why"] == "It cannot begin before then."
        assert datetime.datetime.fromisoformat(told["was"]) == late.starts_at
        assert len(shifted) < len(before) / 2
        ends = {one["job"]: one for one in new.job_ends}
        assert set(ends) == set(numbers.values())
        assert all(one["before"] for one in ends.values())

    def test_takes_a_coat_as_it_was_laid(self, used, drum, ann) -> None:
        coat = entry_of(used, "coat_1", drum)
        with time_machine.travel(coat.ends_at + 4 * HOUR, tick=False):
            said = say_begun(job=drum, task_key="coat_1", began_at=coat.starts_at + 3 * HOUR, people=[ann], by=None)
            new = after_news("Ann was late with the print coat.")
        now = entry_of(new, "coat_1", drum)
        assert (now.starts_at, now.ends_at, now.done, list(now.people.all())) == (said.began_at, said.ended_at, True, [ann])
        assert faults_of(*as_laid(new)) == []


class TestPlannedAnew:
    def test_gives_work_back_to_whoever_was_told_to_do_it(self, drum, monkeypatch) -> None:
        # Nobody comes in the evening, so that each of the two can do what the other does.
        WorkingHours.objects.filter(where=WorkingHours.Where.HOME).delete()
        problem, promised = as_laid(to_use(looked_for()))
        one, two = (person.key for person in problem.people)
        other = {one: two, two: one}

        def swapped(problem: Problem, *_: Any, **__: Any) -> Schedule:
            entries = {
                key: replace(entry, people=tuple(sorted(other[who] for who in entry.people))) for key, entry in promised.items()
            }
            assert faults_of(problem, entries) == []
            return schedule_of(problem, entries, bound=1, reason="not looked for")

        monkeypatch.setattr(searching, "best_schedule", swapped)
        new = looked_for()
        assert new.moved == []
        assert as_laid(new)[1] == promised

    def test_says_of_all_that_moves_why(self, used, drum) -> None:
        late = entry_of(used, "coat_2", drum)
        keep_waiting(job=drum, task_key="coat_2", until=late.starts_at + 3 * HOUR, why="still soft", by=None)
        new = looked_for()
        assert new.why == Timetable.Reason.ANEW
        before, after, numbers = places(used), places(new), {job.pk: job.number for job in Job.objects.all()}
        elsewhere = {(numbers[job], key) for (job, key), starts in before.items() if after[job, key] != starts}
        assert (drum.number, "coat_2") in elsewhere <= {(one["job"], one["key"]) for one in new.moved}
        assert all(one["why"] for one in new.moved)


class TestSomebodyAway:
    def test_gives_their_work_to_others_and_names_them(self, used, ann) -> None:
        first = used.entries.filter(people=ann).order_by("starts_at").first()
        day = first.starts_at.replace(hour=0)
        Absence.objects.create(person=ann, starts_at=day, ends_at=day + 24 * HOUR, why="ill")
        new = after_news("Ann is ill today.")
        assert not new.entries.filter(people=ann, starts_at__lt=day + 24 * HOUR).exists()
        assert any(one["why"] == "Ann is not there then." for one in new.moved)
        assert faults_of(*as_laid(new)) == []


class TestPins:
    def test_are_kept_by_the_next_search(self, used, drum, ann) -> None:
        at = datetime.datetime(2026, 3, 5, 10, tzinfo=datetime.UTC)
        pin(job=drum, task_key="release", at=at, people=[ann], by=None)
        new = looked_for()
        held = entry_of(new, "release", drum)
        assert (held.starts_at, held.pinned, list(held.people.all())) == (at, True, [ann])
        assert faults_of(*as_laid(new)) == []

    def test_that_have_passed_are_laid_out_anew_and_said(self, used, drum, ann) -> None:
        at = datetime.datetime(2026, 3, 5, 10, tzinfo=datetime.UTC)
        pin(job=drum, task_key="packing", at=at, people=[ann], by=None)
        with time_machine.travel(at + 2 * HOUR, tick=False):
            laid = laid_out()
        assert any("pinned to a time that has passed" in one["sentence"] for one in laid.left_out)


class TestNewJobs:
    def test_are_put_beside_what_stands(self, used, drum) -> None:
        new_job = agreed_drum()
        new = after_news("A job is agreed.")
        assert new.entries.filter(job=new_job).exists()
        assert {one["job"] for one in new.moved} <= {job.number for job in Job.objects.exclude(pk=new_job.pk)}
        assert next(one for one in new.job_ends if one["job"] == new_job.number)["before"] is None
        assert faults_of(*as_laid(new)) == []


class TestLaidOutLater:
    def test_shows_what_is_over_without_laying_it_out(self, used, drum) -> None:
        later = entry_of(used, "open", drum).starts_at + 0.1 * HOUR
        with time_machine.travel(later, tick=False):
            laid, new = laid_out(), looked_for()
        assert {one.key for one in laid.past}
        assert not {one.key for one in laid.past} & set(laid.fresh.task)
        # A full hour: what lies behind it binds nothing.
        assert laid.grid.begins_at <= later
        assert len(places(new)) == len(places(used))
        over = {key for key, starts in places(used).items() if starts < later}
        assert {(row.job_id, row.task_key) for row in new.entries.filter(done=True)} == over

    def test_supposes_that_what_a_begun_task_waits_for_is_done(self, used, drum, ann, monday) -> None:
        # Nobody said anything of what comes before it.
        say_begun(job=drum, task_key="coat_1", began_at=monday - 2 * HOUR, people=[ann], by=None)
        new = looked_for()
        before = {row.task_key for row in new.entries.filter(job=drum, done=True)}
        assert {"coat_1", "release", "prepare"} <= before
        assert faults_of(*as_laid(new)) == []

    def test_of_jobs_whose_work_has_all_begun_nothing_is_left(self, used) -> None:
        last = max(row.starts_at for row in used.entries.all())
        with time_machine.travel(last + HOUR, tick=False):
            assert looked_for().reason == working.ALL_DONE


class TestEveryEntry:
    def test_is_within_hours_or_a_visit_and_nobody_is_at_two(self, used) -> None:
        # Asked of the rows and of the hours as they were laid out, not of the core's own check.
        problem, entries = as_laid(used)
        rows = list(used.entries.prefetch_related("people"))
        for row in rows:
            entry: Entry = entries[f"{row.job_id}:{row.task_key}"]
            for person in row.people.all():
                own = problem.person[str(person.pk)]
                usual = within(own.hours, entry.start, entry.end)
                assert usual or (row.visit and within(own.visits, entry.start, entry.end))
        for one in rows:
            for other in rows:
                overlap = one.pk < other.pk and one.starts_at < other.ends_at and other.starts_at < one.ends_at
                assert not (overlap and set(one.people.all()) & set(other.people.all()))
        held = [row for row in rows if row.station == "frame"]
        assert held
        for one in held:
            for other in held:
                assert one.pk >= other.pk or other.starts_at >= one.station_until_at or one.starts_at >= other.station_until_at
