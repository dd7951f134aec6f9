"""Coats on the clock."""

import math
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.planning.errors import BadBrief
from jobs.planning.plan import make_plan
from jobs.planning.work.handout_times import CLOSES_UNSEEN, LEFT_OVERNIGHT, TOO_LONG, WorkingHours, cure_calendar
from materials.properties import Chemistry
from tests.jobs.planning.builders import brief, given, rubber
from tests.jobs.planning.test_places import shape_worked

VIENNA = ZoneInfo("Europe/Vienna")
WEEKDAYS = WorkingHours(by_weekday={day: ((time(8), time(12)), (time(13), time(18))) for day in range(5)})
THURSDAY = datetime(2026, 11, 26, 8, 0, tzinfo=VIENNA)
PLAN = make_plan(brief())


def works(begin: datetime, minutes: float) -> bool:
    """Say whether somebody works for so long from this moment on."""
    ends_at = (begin + timedelta(minutes=minutes)).time()
    return any(opens <= begin.time() and ends_at <= closes for opens, closes in WEEKDAYS.stretches(begin.date()))


class TestCureCalendar:
    def test_lays_the_first_coat_at_the_start(self) -> None:
        assert cure_calendar(PLAN, starts_at=THURSDAY, hours=WEEKDAYS).coats[0].starts_at == THURSDAY

    @settings(max_examples=40, deadline=None)
    @drawn(st.integers(0, 14 * 24 * 60))
    def test_never_drags_a_coat_and_keeps_to_working_hours(self, minutes: int) -> None:
        calendar = cure_calendar(PLAN, starts_at=THURSDAY + timedelta(minutes=minutes), hours=WEEKDAYS)
        for before, after in zip(calendar.coats, calendar.coats[1:], strict=False):
            assert after.starts_at >= before.earliest_next_at
        for entry in calendar.coats:
            stretches = WEEKDAYS.stretches(entry.starts_at.date())
            assert any(a <= entry.starts_at.time() and entry.ends_at.time() <= b for a, b in stretches)

    @settings(max_examples=40, deadline=None)
    @drawn(st.integers(0, 14 * 24 * 60))
    def test_flags_exactly_the_windows_that_are_missed(self, minutes: int) -> None:
        calendar = cure_calendar(PLAN, starts_at=THURSDAY + timedelta(minutes=minutes), hours=WEEKDAYS)
        for before, after in zip(calendar.coats, calendar.coats[1:], strict=False):
            late = before.latest_next_at is not None and after.starts_at > before.latest_next_at
            assert (CLOSES_UNSEEN in before.flags) is late

    def test_flags_a_polyurethane_coat_before_the_weekend(self) -> None:
        urethane = rubber(Chemistry.POLYURETHANE, recoat_latest_min=180.0)
        plan = make_plan(brief(rubber=urethane, scrap=None, scrap_share_percent=None))
        friday = datetime(2026, 11, 27, 15, 0, tzinfo=VIENNA)
        entries = cure_calendar(plan, starts_at=friday, hours=WEEKDAYS).coats
        flagged = [entry for entry in entries if CLOSES_UNSEEN in entry.flags]
        assert flagged
        assert LEFT_OVERNIGHT in flagged[0].flags

    def test_flags_a_print_coat_left_alone_overnight(self) -> None:
        evening = datetime(2026, 11, 26, 16, 30, tzinfo=VIENNA)
        entries = cure_calendar(PLAN, starts_at=evening, hours=WEEKDAYS).coats
        assert entries[0].flags == (LEFT_OVERNIGHT,)

    def test_flags_a_coat_that_fits_no_stretch(self) -> None:
        short = WorkingHours(by_weekday={day: ((time(8), time(8, 30)),) for day in range(7)})
        entries = cure_calendar(PLAN, starts_at=THURSDAY, hours=short).coats
        assert TOO_LONG in entries[0].flags

    def test_skips_days_off(self) -> None:
        hours = WorkingHours(by_weekday=WEEKDAYS.by_weekday, days_off=frozenset({date(2026, 11, 26)}))
        assert cure_calendar(PLAN, starts_at=THURSDAY, hours=hours).coats[0].starts_at.date() == date(2026, 11, 27)

    def test_counts_real_minutes_when_the_clocks_change(self) -> None:
        # Clocks in Vienna go back from 3:00 to 2:00 on 25 October 2026.
        always = WorkingHours(by_weekday={day: ((time(0), time(23, 59)),) for day in range(7)})
        night = datetime(2026, 10, 25, 1, 0, tzinfo=VIENNA)
        first = cure_calendar(PLAN, starts_at=night, hours=always).coats[0]
        waited = first.earliest_next_at.astimezone(UTC) - first.ends_at.astimezone(UTC)
        assert waited == timedelta(minutes=90)
        assert first.earliest_next_at.time() == time(2, 22)

    def test_repeats_the_coats_at_each_position(self) -> None:
        plan = make_plan(brief(positions=2))
        entries = cure_calendar(plan, starts_at=THURSDAY, hours=WEEKDAYS).coats
        assert [(entry.position, entry.coat_number) for entry in entries] == [
            (position, number) for position in (1, 2) for number in range(1, 7)
        ]

    def test_turns_the_piece_between_positions(self) -> None:
        always = WorkingHours(by_weekday={day: ((time(0), time(23, 59)),) for day in range(7)})
        entries = cure_calendar(make_plan(brief(positions=2)), starts_at=THURSDAY, hours=always).coats
        before, after = entries[5], entries[6]
        # Turning takes 30 minutes and the next board an hour.
        assert after.starts_at - before.earliest_next_at == timedelta(minutes=90)

    def test_sets_the_gauge_blocks_on_the_print_coat(self) -> None:
        first, second = cure_calendar(PLAN, starts_at=THURSDAY, hours=WEEKDAYS).coats[:2]
        setting = next(task.minutes.value for task in PLAN.tasks if task.key == "gauges")
        assert second.starts_at - first.earliest_next_at == timedelta(minutes=setting)

    def test_takes_the_longer_position_longer(self) -> None:
        plan = make_plan(brief(shape=shape_worked(0.3, 0.1), positions=2))
        entries = cure_calendar(plan, starts_at=THURSDAY, hours=WEEKDAYS).coats
        first, second = entries[1], entries[7]
        assert (first.coat_number, second.coat_number) == (2, 2)
        assert first.ends_at - first.starts_at > second.ends_at - second.starts_at

    def test_says_by_when_the_strip_is_cast(self) -> None:
        plan = make_plan(brief(fill_volume_l=None))
        always = WorkingHours(by_weekday={day: ((time(0), time(23, 59)),) for day in range(7)})
        calendar = cure_calendar(plan, starts_at=THURSDAY.replace(hour=0), hours=always)
        assert calendar.strip_by_at is not None
        pouring = next(task.minutes.value for task in plan.tasks if task.key == "strip_pour")
        ready = calendar.strip_by_at + timedelta(minutes=960 + pouring)
        assert timedelta(0) <= calendar.coats[-1].earliest_next_at - ready < timedelta(minutes=1)
        by_day = cure_calendar(plan, starts_at=THURSDAY, hours=WEEKDAYS)
        assert by_day.strip_by_at is not None
        glued = next(task.minutes.value for task in plan.tasks if task.key == "parting_strip")
        minute = timedelta(minutes=1)
        begins = by_day.coats[-1].earliest_next_at
        begins = next(begins + n * minute for n in range(10000) if works(begins + n * minute, glued))
        last = begins - timedelta(minutes=960 + math.ceil(pouring))
        assert by_day.strip_by_at == next(last - n * minute for n in range(10000) if works(last - n * minute, pouring))
        bare = make_plan(brief(seam_length_m=None))
        assert cure_calendar(bare, starts_at=THURSDAY, hours=WEEKDAYS).strip_by_at is None

    def test_says_when_the_blanket_has_cured(self) -> None:
        bare = make_plan(brief(fill_volume_l=None, seam_length_m=None))
        calendar = cure_calendar(bare, starts_at=THURSDAY, hours=WEEKDAYS)
        assert calendar.blanket_ready_at - calendar.coats[-1].ends_at == timedelta(minutes=960)

    def test_counts_the_cure_from_the_last_rubber_of_all(self) -> None:
        always = WorkingHours(by_weekday={day: ((time(0), time(23, 59)),) for day in range(7)})
        calendar = cure_calendar(PLAN, starts_at=THURSDAY.replace(hour=0), hours=always)
        minutes = {task.key: task.minutes.value for task in PLAN.tasks}
        # Fill, its gel, and the strip: whole minutes are rounded up, three times at most.
        after = 90 + minutes["fill"] + 90 + minutes["parting_strip"] + 960
        waited = (calendar.blanket_ready_at - calendar.coats[-1].ends_at) / timedelta(minutes=1)
        assert after <= waited <= after + 3

    def test_refuses_a_start_without_a_zone_and_a_studio_without_hours(self) -> None:
        with pytest.raises(BadBrief, match="time zone"):
            cure_calendar(PLAN, starts_at=datetime(2026, 11, 26, 8, 0), hours=WEEKDAYS)
        with pytest.raises(BadBrief, match="Nobody works"):
            cure_calendar(PLAN, starts_at=THURSDAY, hours=WorkingHours(by_weekday={}))

    def test_a_warmer_room_is_never_later(self) -> None:
        warm = make_plan(brief(temperature_c=given(27)))
        cool_end = cure_calendar(PLAN, starts_at=THURSDAY, hours=WEEKDAYS).blanket_ready_at
        assert cure_calendar(warm, starts_at=THURSDAY, hours=WEEKDAYS).blanket_ready_at < cool_end
