"""Local times around the two changes of the clock."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from studio.local_time import NoSuchTime, moment_of, start_of_day, whole_days

LONDON = ZoneInfo("Europe/London")
CAIRO = ZoneInfo("Africa/Cairo")


class TestMomentOf:
    # published: IANA time zone database. London goes forward on 29 March 2026 at 01:00 UTC and back on 25 October at 01:00 UTC.
    def test_refuses_an_hour_that_the_clocks_jump_over(self) -> None:
        with pytest.raises(NoSuchTime, match=r"There is no 01:30 on 2026-03-29.*Write 02:30"):
            moment_of(date(2026, 3, 29), time(1, 30), LONDON)
        assert moment_of(date(2026, 3, 29), time(2), LONDON).at == datetime(2026, 3, 29, 1, tzinfo=UTC)

    def test_takes_the_first_of_two_equal_hours_and_says_so(self) -> None:
        found = moment_of(date(2026, 10, 25), time(1, 30), LONDON)
        assert found.twice
        assert found.at.astimezone(UTC) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
        later = moment_of(date(2026, 10, 25), time(2), LONDON)
        assert (later.twice, later.at) == (False, datetime(2026, 10, 25, 2, tzinfo=UTC))


class TestWholeDays:
    def test_begin_where_the_day_does_even_when_midnight_is_jumped_over(self) -> None:
        # published: IANA time zone database. Cairo goes from 00:00 to 01:00 on Friday 24 April 2026.
        assert start_of_day(date(2026, 4, 24), CAIRO) == datetime(2026, 4, 23, 22, tzinfo=UTC)
        assert start_of_day(date(2026, 4, 24), CAIRO).astimezone(CAIRO).time() == time(1)

    def test_are_known_again_across_a_change(self) -> None:
        first, following = start_of_day(date(2026, 10, 24), LONDON), start_of_day(date(2026, 10, 27), LONDON)
        assert (following - first).total_seconds() == 73 * 3600
        assert whole_days(first, following, LONDON) == (date(2026, 10, 24), date(2026, 10, 26))
        assert whole_days(first, following, CAIRO) is None
        assert whole_days(first, first, LONDON) is None
