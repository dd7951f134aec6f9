"""The demo's days: five jobs laid out together by the search that people use, and a timetable that they go by."""

from typing import Any

import pytest

from jobs.days.reading import current, entries
from jobs.models import FeedEvent, Job, TimetableEntry
from jobs.scheduling.result import cost_of, faults_of
from materials.models import ExpectedDelivery
from tests.jobs.days.studio import as_laid

pytestmark = pytest.mark.django_db


class TestDemoDays:
    def test_are_of_five_jobs_and_keep_every_rule(self, demo: Any) -> None:
        timetable = current()
        assert timetable is not None
        laid = {entry.job.number: entry.job.state for entry in entries(timetable)}
        assert len(laid) == 5
        assert set(laid.values()) == {Job.State.AGREED, Job.State.WORKING}
        assert {Job.State.ENQUIRY, Job.State.QUOTED} <= set(Job.objects.values_list("state", flat=True))
        problem, found = as_laid(timetable)
        assert faults_of(problem, found) == []
        assert timetable.cost["total"] == cost_of(problem, found).total <= timetable.list_cost

    def test_say_who_does_what_and_what_was_done(self, demo: Any) -> None:
        rows = TimetableEntry.objects.filter(timetable=current()).prefetch_related("people")
        assert all(row.people.all() for row in rows)
        assert {row.plan_key for row in rows if row.done} == {"client_talk", "photographs"}
        assert FeedEvent.objects.exists()
        assert ExpectedDelivery.objects.filter(arrived_at=None).exists()
