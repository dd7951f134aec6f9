"""Entries come with all that pages show, in as many queries however many there are."""

import datetime

import pytest

from jobs.days.reading import entries
from tests.factories import JobFactory, PersonFactory
from tests.jobs.days.rows import NOON, entry, found

pytestmark = pytest.mark.django_db


class TestEntries:
    def test_come_with_their_jobs_and_people(self, django_assert_num_queries) -> None:
        timetable, ann, bob = found(), PersonFactory(name="Ann"), PersonFactory(name="Bob")
        for number in range(5):
            entry(timetable, key=f"coat_{number}", hours=5 - number, people=(bob, ann))
        with django_assert_num_queries(2):
            listed = entries(timetable)
            said = [(one.job.client.name, one.job.piece.name, [person.name for person in one.people.all()]) for one in listed]
        assert [one.task_key for one in listed] == ["coat_4", "coat_3", "coat_2", "coat_1", "coat_0"]
        assert {tuple(names) for _, _, names in said} == {("Ann", "Bob")}

    def test_of_a_stretch_a_job_and_a_person(self) -> None:
        timetable, job, ann = found(), JobFactory(), PersonFactory()
        early = entry(timetable, key="a", hours=0, job=job)
        late = entry(timetable, key="b", hours=3, people=(ann,))
        two = NOON + datetime.timedelta(hours=2)
        assert entries(timetable, since=two) == [late]
        assert entries(timetable, until=two) == [early]
        # What ends as a stretch begins is not in it.
        assert entries(timetable, since=NOON + datetime.timedelta(hours=1), until=two) == []
        assert entries(timetable, job=job) == [early]
        assert entries(timetable, person=ann) == [late]
