"""Asking for days: one search at a time, begun again when the news come while it is under way."""

import pytest

from jobs.days.asking import ask_after_news, ask_stop, ask_timetable
from jobs.errors import TimetableRefused
from jobs.models import Timetable
from tests.jobs.days.rows import found, in_use

pytestmark = pytest.mark.django_db
State, Reason = Timetable.State, Timetable.Reason


class TestAskTimetable:
    def test_returns_the_search_that_is_under_way(self, account) -> None:
        asked = ask_timetable(by=account)
        assert ask_timetable(by=None, seconds=60) == asked
        assert (asked.state, asked.why, asked.seconds, asked.asked_by) == (State.QUEUED, Reason.ANEW, 20, account)

    def test_makes_room_for_itself(self) -> None:
        old, used = found(), in_use()
        asked = ask_timetable(by=None)
        old.refresh_from_db()
        assert old.put_by_at is not None
        assert (Timetable.objects.in_use(), Timetable.objects.proposal(), asked.base) == (used, asked, used)

    def test_refuses_a_search_without_end(self) -> None:
        with pytest.raises(TimetableRefused, match="2 to 120 seconds"):
            ask_timetable(by=None, seconds=3600)


class TestAskAfterNews:
    def test_changes_the_timetable_in_use(self) -> None:
        used = in_use()
        asked = ask_after_news(by=None, sentence=" Coat 2 is late. ")
        assert (asked.why, asked.base, asked.news) == (Reason.NEWS, used, ["Coat 2 is late."])

    def test_plans_anew_where_none_is_in_use(self) -> None:
        assert ask_after_news(by=None, sentence="Ill").why == Reason.ANEW

    def test_lets_a_search_begin_again_with_the_news(self) -> None:
        in_use()
        asked = ask_after_news(by=None, sentence="Coat 2 is late.")
        Timetable.objects.filter(pk=asked.pk).update(state=State.WORKING, attempts=1)
        again = ask_after_news(by=None, sentence="Ada is ill.")
        assert again == asked
        assert (again.state, again.attempts, again.news) == (State.QUEUED, 0, ["Coat 2 is late.", "Ada is ill."])

    def test_wants_to_know_what_is_different(self) -> None:
        with pytest.raises(TimetableRefused, match="what is different"):
            ask_after_news(by=None, sentence="  ")


class TestAskStop:
    def test_puts_by_what_has_not_begun(self) -> None:
        stopped = ask_stop(timetable=ask_timetable(by=None))
        assert (stopped.state, Timetable.objects.proposal()) == (State.REFUSED, None)
        assert "before the worker began" in stopped.reason

    def test_tells_the_worker(self) -> None:
        asked = ask_timetable(by=None)
        Timetable.objects.update(state=State.WORKING, attempts=1)
        assert ask_stop(timetable=asked).stop_asked_at is not None
        assert Timetable.objects.get().state == State.WORKING

    def test_refuses_what_has_ended(self) -> None:
        with pytest.raises(TimetableRefused, match="ended already"):
            ask_stop(timetable=found())
