"""The worker's side of timetables: one claim, better answers as they come, and an end whatever happens."""

import datetime
import time
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from jobs.claims import MOST_ATTEMPTS
from jobs.days import searching, working
from jobs.days.asking import ask_after_news, ask_stop
from jobs.days.searching import Looking
from jobs.days.writing import windows_broken
from jobs.models import Job, Timetable, TimetableEntry
from jobs.scheduling.by_hand import list_schedule
from jobs.scheduling.problem import Problem
from jobs.scheduling.result import Schedule, breaches_of, cost_of, faults_of, is_visit, schedule_of
from jobs.scheduling.search import Effort, Report, Stop
from studio.models import WorkingHours
from tests.factories import JobFactory
from tests.jobs.days.studio import as_laid, looked_for

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pushed")]
State = Timetable.State


class TestProcess:
    def test_writes_a_timetable_that_keeps_every_rule(self, drum) -> None:
        found = looked_for()
        assert (found.state, found.reason, found.put_by_at, found.used_at) == (State.READY, "", None, None)
        problem, entries = as_laid(found)
        assert faults_of(problem, entries) == []
        assert found.cost["total"] == cost_of(problem, entries).total <= found.list_cost
        assert 0 < found.bound <= found.cost["total"]
        assert found.bound_reason
        assert (found.steps[-1]["cost"], found.cost["windows"]) == (
            found.cost["total"], windows_broken(schedule_of(problem, entries))
        )  # fmt: skip
        assert found.job_ends[0]["job"] == drum.number
        assert found.job_ends[0]["before"] is None
        ends = max(entry.ends_at for entry in found.entries.all())
        assert datetime.datetime.fromisoformat(found.job_ends[0]["after"]) == ends

    def test_says_of_each_entry_what_comes_after_it(self, drum) -> None:
        found = looked_for()
        problem, entries = as_laid(found)
        rows = {f"{row.job_id}:{row.task_key}": row for row in found.entries.prefetch_related("people")}
        assert set(rows) == set(entries)
        coats = [row for row in rows.values() if row.plan_key.startswith("coat_")]
        assert all(row.mixes == "Tin silicone, brush-on, 25 Shore A" for row in coats)
        for link in problem.links:
            before, after = rows[link.before], rows[link.after]
            assert after.starts_at >= (before.waits_until_at or before.ends_at)
            broken = before.latest_next_at is not None and after.starts_at > before.latest_next_at
            assert broken == bool(after.late_min)
            assert not broken or after.remedy
        late = {breach.link.after for breach in breaches_of(problem, entries)}
        assert {key for key, row in rows.items() if row.remedy} == late
        assert {key for key, row in rows.items() if row.visit} == {k for k, e in entries.items() if is_visit(problem, e)}
        turned = [row for row in rows.values() if row.station == "frame"]
        assert turned
        assert all(row.station_until_at >= row.ends_at for row in turned)
        assert all(row.people.count() == problem.task[key].people for key, row in rows.items())

    def test_does_nothing_the_second_time(self, drum) -> None:
        found = looked_for()
        assert working.process(found.pk) == "nothing to do"
        assert working.process(999_999) == "nothing to do"

    def test_lets_one_of_two_workers_have_it(self, drum) -> None:
        made = Timetable.objects.create()
        assert working.claim(made.pk) is not None
        assert working.process(made.pk) == "nothing to do"
        assert not TimetableEntry.objects.exists()

    @pytest.mark.parametrize(
        ("state", "words"), [(Job.State.ENQUIRY, "No job is agreed"), (Job.State.AGREED, "None of the jobs")]
    )
    def test_says_why_there_is_nothing_to_lay_out(self, state, words) -> None:
        job = JobFactory(state=state)
        found = looked_for()
        assert found.state == State.REFUSED
        assert words in found.reason
        listed = [(one["job"], one["page"]) for one in found.left_out if one["kind"] == "job"]
        assert listed == ([(job.number, "jobs:piece_show")] if state == Job.State.AGREED else [])

    def test_says_who_is_missing(self, drum) -> None:
        WorkingHours.objects.filter(starts_at__lt=datetime.time(12)).update(ends_at=datetime.time(8, 10))
        found = looked_for()
        assert found.state == State.REFUSED
        assert "finds no time" in found.reason

    def test_ends_with_the_best_when_somebody_stops_it(self, drum, monkeypatch) -> None:
        made = Timetable.objects.create(seconds=100)
        listed = []

        def endless(problem: Problem, effort: Effort, *, report: Report, stop: Stop, **more: object) -> Schedule:
            # Finds the plain list and would go on looking for as long as it may.
            listed.append(list_schedule(problem))
            report(listed[0])
            began = time.monotonic()
            while not stop():
                assert time.monotonic() - began < 20
                time.sleep(0.01)
            return listed[0]

        over = Looking.is_over

        def watched(looking: Looking, within_s: float) -> bool:
            # Somebody presses the button once the first answer is written.
            if TimetableEntry.objects.filter(timetable=made).exists() and not Timetable.objects.get(pk=made.pk).stop_asked_at:
                ask_stop(timetable=made)
            return over(looking, within_s / 10)

        monkeypatch.setattr(searching, "best_schedule", endless)
        monkeypatch.setattr(Looking, "is_over", watched)
        assert working.process(made.pk) == "found"
        made.refresh_from_db()
        assert (made.state, made.steps[0]["cost"], made.cost["total"]) == (
            State.READY, listed[0].cost.total, listed[0].cost.total
        )  # fmt: skip
        assert as_laid(made)[1] == dict(listed[0].entries)

    def test_writes_nothing_when_it_began_again(self, drum, monkeypatch) -> None:
        made = Timetable.objects.create(seconds=2)
        mine = working.claim(made.pk)
        ask_after_news(by=None, sentence="Coat 2 is late.")
        again = working.claim(made.pk)
        # The same attempt of the same row, and yet another claim.
        assert again.attempts == mine.attempts
        Timetable.objects.filter(pk=made.pk).update(started_at=again.started_at + datetime.timedelta(seconds=1))
        monkeypatch.setattr(working, "claim", lambda timetable_id: mine)
        assert working.process(made.pk) == "lost"
        assert not TimetableEntry.objects.exists()
        assert not working.close(mine, state=State.READY)

    def test_keeps_its_lease_while_nothing_better_comes(self, drum, monkeypatch) -> None:
        made = Timetable.objects.create(seconds=100)
        leases: list[Any] = []

        def quiet(problem: Problem, effort: Effort, *, stop: Stop, **more: object) -> Schedule:
            began = time.monotonic()
            while len(leases) < 3:
                assert time.monotonic() - began < 20
                time.sleep(0.01)
            return list_schedule(problem)

        over = Looking.is_over

        def watched(looking: Looking, within_s: float) -> bool:
            found = Timetable.objects.get(pk=made.pk).lease_until_at
            leases.extend([found] if found not in leases else [])
            return over(looking, within_s / 10)

        monkeypatch.setattr(searching, "best_schedule", quiet)
        monkeypatch.setattr(Looking, "is_over", watched)
        monkeypatch.setattr(working, "RENEW_S", 0.0)
        with time_machine.travel(timezone.now(), tick=True):
            assert working.process(made.pk) == "found"
        assert leases == sorted(leases)

    def test_is_given_up_after_three_workers(self, drum, pushed) -> None:
        made = Timetable.objects.create()
        for _ in range(MOST_ATTEMPTS):
            assert working.claim(made.pk) is not None
            Timetable.objects.update(lease_until_at=timezone.now() - datetime.timedelta(seconds=1))
            assert working.sweep() == 1
        assert pushed == [made.pk] * MOST_ATTEMPTS
        assert working.claim(made.pk) is None
        made.refresh_from_db()
        assert (made.state, made.reason) == (State.REFUSED, working.GAVE_UP)
