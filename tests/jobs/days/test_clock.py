"""Steps are equally long, also on days on which clocks are changed."""

import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from jobs.days.clock import Grid, local, whole_hour

UTC = datetime.UTC
# standard: the tz database. Clocks went on by an hour at these moments, and back by one; months end between them too.
CHANGES = [
    ("Europe/London", datetime.datetime(2026, 3, 29, 1, tzinfo=UTC), 1),
    ("Europe/London", datetime.datetime(2026, 10, 25, 1, tzinfo=UTC), -1),
    ("America/New_York", datetime.datetime(2026, 3, 8, 7, tzinfo=UTC), 1),
    ("America/New_York", datetime.datetime(2026, 11, 1, 6, tzinfo=UTC), -1),
]


@pytest.mark.parametrize(("zone", "change", "by"), CHANGES)
class TestGrid:
    def test_counts_real_minutes_across_a_change_of_clocks(self, zone, change, by) -> None:
        with timezone.override(ZoneInfo(zone)):
            morning = local((change - datetime.timedelta(days=1)).astimezone(ZoneInfo(zone)).date(), datetime.time(9))
            grid = Grid(begins_at=morning, step_min=5)
            steps = [grid.at(step) for step in range(0, 40 * 12, 12)]
            assert all((b.astimezone(UTC) - a.astimezone(UTC)).seconds == 3600 for a, b in pairwise(steps))
            # From nine to nine over the change are 24 h less what the clock went on by.
            next_morning = local(morning.date() + datetime.timedelta(days=1), datetime.time(9))
            assert grid.step_of(next_morning) == (24 - by) * 12
            assert grid.at((24 - by) * 12).time() == datetime.time(9)
            assert str(steps[0].tzinfo) == zone

    def test_finds_the_step_of_each_moment_again(self, zone, change, by) -> None:
        with timezone.override(ZoneInfo(zone)):
            grid = Grid(begins_at=change - datetime.timedelta(hours=5), step_min=15)
            assert [grid.step_of(grid.at(step)) for step in range(40)] == list(range(40))
            odd = grid.at(7) + datetime.timedelta(minutes=4)
            assert (grid.step_of(odd), grid.step_of(odd, up=True)) == (7, 8)


class TestMonthEnds:
    def test_are_nothing_special(self) -> None:
        with timezone.override(ZoneInfo("Europe/London")):
            grid = Grid(begins_at=local(datetime.date(2028, 2, 28), datetime.time(20)), step_min=5)
            # 2028 is a leap year (the Gregorian rule).
            assert grid.at(12 * 24).date() == datetime.date(2028, 2, 29)
            assert grid.at(12 * 48).date() == datetime.date(2028, 3, 1)


class TestWholeHour:
    def test_is_the_last_full_one_of_the_studios_clock(self) -> None:
        moment = datetime.datetime(2026, 3, 2, 10, 47, 12, tzinfo=UTC)
        with timezone.override(ZoneInfo("Asia/Kolkata")):
            # Half an hour off UTC: 16:17 there.
            assert timezone.localtime(whole_hour(moment)).time() == datetime.time(16)
