"""Days and nights, and loggers' records, as hours."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from materials.science.night import WARMS_AT, RoomDay, hours_to_age
from studio.figures import Given, Source, SourceKind
from studio.room_course import (
    WARMS_AT_H,
    DayNight,
    NoCourse,
    days_of_hours,
    hours_of,
    hours_of_days,
    hours_of_readings,
    usual_course,
)

LONDON, KOLKATA = ZoneInfo("Europe/London"), ZoneInfo("Asia/Kolkata")
FIRST = date(2026, 6, 1)


def days(*pairs: tuple[str, str], first: date = FIRST) -> list[DayNight]:
    return [
        DayNight(on=first + timedelta(days=number), day_c=Decimal(day), night_c=Decimal(night))
        for number, (day, night) in enumerate(pairs)
    ]


def given_c(value: float) -> Given:
    return Given(label="", value=value, unit="degC", source=Source(kind=SourceKind.OWN, text=""))


class TestHoursOfDays:
    def test_are_warm_from_eight_and_cool_until_eight_the_next_day(self) -> None:
        found = hours_of_days(days(("21", "17"), ("20", "15")), zone=UTC, warm_h=10)
        values = list(found.values())
        assert values[:24] == [Decimal(17)] * 8 + [Decimal(21)] * 10 + [Decimal(17)] * 6
        assert values[24:] == [Decimal(17)] * 8 + [Decimal(20)] * 10 + [Decimal(15)] * 14
        assert next(iter(found)) == datetime(2026, 6, 1, tzinfo=UTC)
        assert max(found) == datetime(2026, 6, 3, 7, tzinfo=UTC)

    def test_mix_the_hour_in_which_the_room_cools(self) -> None:
        found = hours_of_days(days(("20", "10")), zone=UTC, warm_h=10.25)
        assert found[datetime(2026, 6, 1, 18, tzinfo=UTC)] == Decimal("12.5")
        around = hours_of_days(days(("20", "10"), ("30", "0")), zone=UTC, warm_h=20)
        assert around[datetime(2026, 6, 2, 3, tzinfo=UTC)] == 20
        assert around[datetime(2026, 6, 2, 4, tzinfo=UTC)] == 10

    # published: IANA time zone database, changes of 29 March and 25 October 2026 in London.
    @pytest.mark.parametrize(("on", "count"), [(date(2026, 3, 29), 23), (date(2026, 10, 25), 25), (FIRST, 24)])
    def test_follow_the_clock_where_it_changes(self, on: date, count: int) -> None:
        found = hours_of_days(days(("21", "17"), first=on), zone=LONDON, warm_h=10)
        of_the_day = hours_of(on, LONDON)
        assert len(of_the_day) == count
        assert [found[at] for at in of_the_day] == [Decimal(17)] * (count - 16) + [Decimal(21)] * 10 + [Decimal(17)] * 6
        assert len(found) == count + 8

    def test_leave_out_days_between_and_begin_at_local_hours(self) -> None:
        one, _, three = days(("21", "17"), ("0", "0"), ("22", "16"))
        found = hours_of_days([one, three], zone=UTC, warm_h=10)
        assert datetime(2026, 6, 2, 12, tzinfo=UTC) not in found
        assert found[datetime(2026, 6, 3, 4, tzinfo=UTC)] == 16
        assert next(iter(hours_of_days([one], zone=KOLKATA, warm_h=10))) == datetime(2026, 5, 31, 18, 30, tzinfo=UTC)

    @settings(max_examples=20)
    @given(
        age_h=st.floats(0.5, 40), warm_h=st.integers(1, 24), starts=st.integers(0, 23), day=st.integers(10, 30),
        night=st.integers(10, 30),
    )  # fmt: skip
    def test_are_the_room_that_cures_are_taken_over_nights_in(
        self, age_h: float, warm_h: int, starts: int, day: int, night: int
    ) -> None:
        def stretched(temp_c: float) -> float:
            return float(2 ** ((23 - temp_c) / 10))

        room = RoomDay(
            day=given_c(day), night=given_c(night), warm_hours=given_c(warm_h), warms_at=given_c(WARMS_AT_H),
        )  # fmt: skip
        law = hours_to_age(age_min=60 * age_h, room=room, stretched=stretched, lowest_c=-20, starts_at_hour=starts).hours
        found = hours_of_days(days(*[(str(day), str(night))] * 8), zone=UTC, warm_h=warm_h)
        aged, hours = 0.0, 0.0
        for temp in list(found.values())[starts:]:
            speed = 1 / stretched(float(temp))
            part = min(1.0, (age_h - aged) / speed)
            aged, hours = aged + part * speed, hours + part
            if aged >= age_h - 1e-9:
                break
        assert hours == pytest.approx(law, abs=1e-6)
        assert WARMS_AT.value == WARMS_AT_H


class TestDaysOfHours:
    def test_give_back_what_was_typed(self) -> None:
        typed = days(("21", "17"), ("20.5", "17"), ("20.5", "20.5"))
        wanted = [one.on for one in typed]
        for warm_h in (10.0, 9.5, 24.0):
            found = days_of_hours(hours_of_days(typed, zone=LONDON, warm_h=warm_h), wanted, zone=LONDON, warm_h=warm_h)
            assert [one.day_c for one in found.values()] == [one.day_c for one in typed]
            if warm_h < 24:
                assert list(found.values()) == typed

    def test_give_nothing_where_hours_differ(self) -> None:
        hours = hours_of_days(days(("21", "17")), zone=UTC, warm_h=10)
        hours[datetime(2026, 6, 1, 12, tzinfo=UTC)] = Decimal(22)
        assert days_of_hours(hours, [FIRST], zone=UTC, warm_h=10) == {}


class TestReadings:
    def test_are_averaged_by_the_hour_of_the_clock(self) -> None:
        at = datetime(2026, 6, 1, 12, 5, tzinfo=UTC)
        readings = [(at, Decimal(20)), (at + timedelta(minutes=30), Decimal("20.5")), (at + timedelta(hours=1), Decimal(18))]
        assert hours_of_readings(readings, UTC) == {
            at.replace(minute=0): Decimal("20.3"), at.replace(hour=13, minute=0): Decimal(18),
        }  # fmt: skip
        assert list(hours_of_readings(readings[:2], KOLKATA)) == [at.replace(hour=11, minute=30), at.replace(minute=30)]

    def test_give_a_usual_day(self) -> None:
        start = datetime(2026, 5, 1, tzinfo=UTC)
        readings = [(start + timedelta(hours=number), Decimal(number % 24 + 2 * (number // 24))) for number in range(48)]
        found = usual_course(readings, days=[date(2026, 10, 25)], zone=LONDON)
        # Two days two degrees apart: their mean is one degree above the first; London's clock is an hour ahead in May.
        assert [found[at] for at in hours_of(date(2026, 10, 25), LONDON)][:4] == [24, 1, 1, 2]
        with pytest.raises(NoCourse, match=r"none in the hours from 01:00, 02:00"):
            usual_course([one for one in readings if one[0].hour not in {1, 2}], days=[FIRST], zone=UTC)
