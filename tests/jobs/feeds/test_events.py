import datetime
from typing import Any

import pytest
import time_machine

from jobs.feeds.events import follow
from jobs.models import FeedEvent
from studio.models import Person, StudioProfile
from tests.factories import JobFactory, PersonFactory
from tests.jobs.feeds.laid import MONDAY, entry, timetable_in_use

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)


@pytest.fixture(autouse=True)
def on_monday() -> Any:
    StudioProfile.objects.current()
    StudioProfile.objects.update(time_zone="Europe/London", locale="en_GB")
    with time_machine.travel(MONDAY, tick=False):
        yield


def event_of(person: Person, key: str) -> FeedEvent:
    return FeedEvent.objects.get(person=person, task_key=key)


class TestFollow:
    def test_tells_each_person_their_tasks_in_words_without_the_client(self) -> None:
        ann, bo = PersonFactory(name="Ann"), PersonFactory(name="Bo")
        job = JobFactory(title="Finial of Orchard House", client__name="Orchard House")
        table = timetable_in_use()
        entry(
            table, job, "coat_1#1", MONDAY, ann, bo, label="Print coat, position 1", mixes="Tin rubber", unattended=False,
            station="vacuum", waits_until_at=MONDAY + 3 * HOUR, latest_next_at=MONDAY + 5 * HOUR,
        )  # fmt: skip
        entry(table, job, "coat_2#1", MONDAY + 3 * HOUR, bo)
        follow(table)
        told = event_of(ann, "coat_1#1")
        assert told.sequence == 0
        assert told.summary == f"{job.number} Print coat, position 1"
        assert told.place == "Vacuum chamber"
        assert told.description.splitlines() == [
            "Mix: Tin rubber.",
            "Together with Bo.",
            "Then it waits until Mon 1 Mar 12:00.",
            "The window for what follows closes Mon 1 Mar 14:00.",
            "Do not leave it alone until the next work begins.",
        ]
        assert (told.starts_at, told.ends_at) == (MONDAY, MONDAY + 45 * HOUR / 60)
        assert FeedEvent.objects.filter(person=bo).count() == 2
        assert not FeedEvent.objects.filter(description__contains="Orchard").exists()
        assert not FeedEvent.objects.filter(summary__contains="Orchard").exists()

    def test_changes_nothing_the_second_time(self) -> None:
        table = timetable_in_use()
        entry(table, JobFactory(), "coat_1#1", MONDAY, PersonFactory())
        follow(table)
        before = list(FeedEvent.objects.values())
        with time_machine.travel(MONDAY + HOUR, tick=False):
            follow(table)
        assert list(FeedEvent.objects.values()) == before

    def test_counts_up_what_moved_cancels_what_went_and_opens_what_came_back(self) -> None:
        ann, bo, job = PersonFactory(), PersonFactory(), JobFactory()
        first = timetable_in_use()
        for number in (1, 2, 3):
            entry(first, job, f"coat_{number}#1", MONDAY + number * HOUR, ann)
        follow(first)
        uids = dict(FeedEvent.objects.values_list("task_key", "uid"))
        with time_machine.travel(MONDAY + HOUR, tick=False):
            second = timetable_in_use(MONDAY + HOUR)
            entry(second, job, "coat_1#1", MONDAY + HOUR, ann)
            entry(second, job, "coat_2#1", MONDAY + 6 * HOUR, ann)
            entry(second, job, "coat_3#1", MONDAY + 9 * HOUR, bo)
            follow(second)
        of_ann = FeedEvent.objects.filter(person=ann).order_by("task_key")
        assert [(told.sequence, told.cancelled_at is None) for told in of_ann] == [(0, True), (1, True), (1, False)]
        assert event_of(ann, "coat_1#1").changed_at == MONDAY
        assert event_of(ann, "coat_2#1").changed_at == MONDAY + HOUR
        assert event_of(bo, "coat_3#1").sequence == 0
        with time_machine.travel(MONDAY + 2 * HOUR, tick=False):
            follow(first)
        back = event_of(ann, "coat_3#1")
        assert (back.sequence, back.cancelled_at, back.uid) == (2, None, uids["coat_3#1"])
        assert event_of(bo, "coat_3#1").cancelled_at == MONDAY + 2 * HOUR

    def test_keeps_what_was_done_and_tells_nothing_of_long_ago(self) -> None:
        ann, job = PersonFactory(), JobFactory()
        first = timetable_in_use(MONDAY - 24 * HOUR)
        entry(first, job, "coat_1#1", MONDAY - 5 * HOUR, ann)
        entry(first, job, "old#1", MONDAY - 9 * 24 * HOUR, ann)
        follow(first)
        assert not FeedEvent.objects.filter(task_key="old#1").exists()
        follow(timetable_in_use(MONDAY))
        assert event_of(ann, "coat_1#1").cancelled_at is None

    def test_cancels_late_work_that_somebody_else_takes_over(self) -> None:
        ann, bo, job = PersonFactory(), PersonFactory(), JobFactory()
        first = timetable_in_use(MONDAY - 24 * HOUR)
        entry(first, job, "coat_1#1", MONDAY - 5 * HOUR, ann)
        follow(first)
        second = timetable_in_use(MONDAY)
        entry(second, job, "coat_1#1", MONDAY + HOUR, bo)
        follow(second)
        assert event_of(ann, "coat_1#1").cancelled_at == MONDAY

    def test_asks_no_more_of_the_database_for_more_tasks(self, django_assert_max_num_queries: Any) -> None:
        people = [PersonFactory() for _ in range(3)]
        table, job = timetable_in_use(), JobFactory()
        for number in range(30):
            entry(table, job, f"coat_{number}#1", MONDAY + number * HOUR, *people)
        with django_assert_max_num_queries(9):
            follow(table)
        assert FeedEvent.objects.count() == 90
