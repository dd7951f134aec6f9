"""One timetable in use at a time, and the way back."""

import pytest

from jobs.days.reading import before_current, current
from jobs.days.using import go_back, put_by, use
from jobs.errors import TimetableRefused
from jobs.models import Timetable
from tests.jobs.days.rows import found, in_use

pytestmark = pytest.mark.django_db
State = Timetable.State


class TestUse:
    def test_takes_the_place_of_the_one_before(self, account) -> None:
        old, new = in_use(), found()
        use(timetable=new, by=account)
        assert (current(), before_current()) == (new, old)
        assert current().used_by == account
        assert Timetable.objects.filter(used_at__isnull=False, put_by_at=None).count() == 1

    @pytest.mark.parametrize(
        ("fields", "words"),
        [({"state": State.WORKING}, "not found yet"), ({"put_by_at": "2026-03-02T12:00Z"}, "were put by")],
    )
    def test_refuses_what_is_no_proposal(self, fields, words) -> None:
        with pytest.raises(TimetableRefused, match=words):
            use(timetable=found(**fields), by=None)

    def test_refuses_the_one_in_use(self) -> None:
        with pytest.raises(TimetableRefused, match="used already"):
            use(timetable=in_use(), by=None)


class TestGoBack:
    def test_goes_there_and_back_again(self) -> None:
        old, new = in_use(), found()
        use(timetable=new, by=None)
        assert go_back(by=None) == old == current()
        assert go_back(by=None) == new == current()

    def test_refuses_where_there_was_none(self) -> None:
        in_use()
        with pytest.raises(TimetableRefused, match="no timetable before"):
            go_back(by=None)


class TestPutBy:
    def test_leaves_a_proposal_unused(self) -> None:
        put_by(timetable=found())
        assert Timetable.objects.proposal() is None
        with pytest.raises(TimetableRefused, match="no timetable before"):
            go_back(by=None)

    def test_refuses_what_is_in_use_or_under_way(self) -> None:
        with pytest.raises(TimetableRefused, match="go by these days"):
            put_by(timetable=in_use())
        with pytest.raises(TimetableRefused, match="stop the search"):
            put_by(timetable=found(state=State.QUEUED))
