"""What is said of tasks: each said in one call, refused where it cannot be true."""

import datetime

import pytest
import time_machine

from jobs.days.facts import forget, keep_waiting, pin, say_begun, unpin
from jobs.errors import FactRefused
from jobs.models import TaskFact
from tests.factories import JobFactory, PersonFactory
from tests.jobs.days.rows import NOON, entry, found, in_use

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)


@pytest.fixture(autouse=True)
def at_two() -> None:
    with time_machine.travel(NOON + 2 * HOUR, tick=False):
        yield


class TestPin:
    def test_holds_those_who_are_to_do_it(self, account) -> None:
        laid = entry(in_use(), key="coat_2")
        fact = pin(job=laid.job, task_key="coat_2", at=NOON + 5 * HOUR, by=account)
        assert (fact.pinned_at, list(fact.people.all()), fact.label) == (NOON + 5 * HOUR, list(laid.people.all()), laid.label)
        other = PersonFactory()
        again = pin(job=laid.job, task_key="coat_2", at=NOON + 6 * HOUR, people=[other], by=account)
        assert (again.pk, list(again.people.all()), again.noted_by) == (fact.pk, [other], account)

    def test_refuses_what_cannot_be(self) -> None:
        laid = entry(in_use())
        with pytest.raises(FactRefused, match="has passed"):
            pin(job=laid.job, task_key="coat_1", at=NOON, by=None)
        with pytest.raises(FactRefused, match="wants one person"):
            pin(job=laid.job, task_key="coat_1", at=NOON + 3 * HOUR, people=[PersonFactory(), PersonFactory()], by=None)
        with pytest.raises(FactRefused, match="in no timetable"):
            pin(job=JobFactory(), task_key="coat_1", at=NOON + 3 * HOUR, by=None)
        assert not TaskFact.objects.exists()

    def test_is_taken_back(self) -> None:
        laid = entry(in_use())
        pin(job=laid.job, task_key="coat_1", at=NOON + 5 * HOUR, by=None)
        assert unpin(job=laid.job, task_key="coat_1", by=None) is None
        assert not TaskFact.objects.exists()
        with pytest.raises(FactRefused, match="Nothing is known"):
            unpin(job=laid.job, task_key="coat_1", by=None)

    def test_leaves_what_else_is_known(self) -> None:
        laid = entry(in_use())
        keep_waiting(job=laid.job, task_key="coat_1", until=NOON + 3 * HOUR, why="sealer wet", by=None)
        pin(job=laid.job, task_key="coat_1", at=NOON + 5 * HOUR, by=None)
        assert unpin(job=laid.job, task_key="coat_1", by=None).not_before_at == NOON + 3 * HOUR


class TestKeepWaiting:
    def test_says_until_when_and_why_and_forgets_it(self) -> None:
        laid = entry(in_use())
        fact = keep_waiting(job=laid.job, task_key="coat_1", until=NOON + 3 * HOUR, why=" Board still wet ", by=None)
        assert (fact.not_before_at, fact.why) == (NOON + 3 * HOUR, "Board still wet")
        assert keep_waiting(job=laid.job, task_key="coat_1", until=None, by=None) is None

    def test_refuses_what_is_pinned_earlier(self) -> None:
        laid = entry(in_use())
        pin(job=laid.job, task_key="coat_1", at=NOON + 4 * HOUR, by=None)
        with pytest.raises(FactRefused, match="unpin it first"):
            keep_waiting(job=laid.job, task_key="coat_1", until=NOON + 5 * HOUR, by=None)


class TestSayBegun:
    def test_takes_as_long_as_planned_and_frees_it_of_wishes(self) -> None:
        laid = entry(in_use(), length_h=1.5)
        pin(job=laid.job, task_key="coat_1", at=NOON + 4 * HOUR, by=None)
        fact = say_begun(job=laid.job, task_key="coat_1", began_at=NOON + HOUR, by=None)
        assert (fact.ended_at, fact.pinned_at) == (NOON + 2.5 * HOUR, None)
        assert list(fact.people.all()) == list(laid.people.all())
        with pytest.raises(FactRefused, match="has begun"):
            keep_waiting(job=laid.job, task_key="coat_1", until=NOON + 5 * HOUR, by=None)

    @pytest.mark.parametrize(
        ("began", "ended", "words"), [(3, 4, "still ahead"), (1, 1, "after it began"), (-90, 0, "more than three days")]
    )
    def test_refuses_what_cannot_have_been(self, began, ended, words) -> None:
        laid = entry(in_use())
        with pytest.raises(FactRefused, match=words):
            say_begun(job=laid.job, task_key="coat_1", began_at=NOON + began * HOUR, ended_at=NOON + ended * HOUR, by=None)

    def test_goes_by_the_timetable_in_use(self) -> None:
        laid = entry(in_use(), length_h=1)
        entry(found(), job=laid.job, length_h=3)
        assert say_begun(job=laid.job, task_key="coat_1", began_at=NOON, by=None).ended_at == NOON + HOUR

    def test_is_forgotten(self) -> None:
        laid = entry(in_use())
        say_begun(job=laid.job, task_key="coat_1", began_at=NOON, by=None)
        forget(job=laid.job, task_key="coat_1")
        assert not TaskFact.objects.exists()
