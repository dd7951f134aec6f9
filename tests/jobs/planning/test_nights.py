"""Cures that lie over cold nights, in the plan and on the clock."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.planning.brief import ShellKind
from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan
from jobs.planning.work.handout_times import WorkingHours, cure_calendar
from materials.science.errors import ColdStall
from tests.jobs.planning.builders import CASTING, PLASTER, POLYESTER, SHELL, brief, given, rubber

HOURS = WorkingHours(by_weekday={day: ((time(8), time(18)),) for day in range(7)})
MONDAY = datetime(2026, 3, 2, 8, tzinfo=UTC)


def cold(night_c: float, **changes: object) -> MoldPlan:
    """Return a plan for a room that is at 23 °C by day and cools at night."""
    return make_plan(brief(night_temperature_c=given(night_c, "degC", "Night"), **changes))


class TestBlanket:
    def test_counts_fourteen_hours_of_night_first(self) -> None:
        # Calculated: from the evening 14 h at 15 °C age by 14 × 0.5378703706 = 7.530185 h; the 8.469815 h left pass at 23 °C
        # by day: 22.469815 h (factor of the Arrhenius law at 55 kJ/mol, calculated with scipy's constants).
        assert cold(15).blanket_cure.value / 60 == pytest.approx(22.469815, rel=1e-6)

    @settings(max_examples=30, deadline=None)
    @drawn(st.floats(15, 23), st.floats(0, 3))
    def test_a_colder_night_never_shortens_it(self, night: float, more: float) -> None:
        colder = max(night - more, 15.0)
        assert cold(colder).blanket_cure.value >= cold(night).blanket_cure.value - 1e-6

    def test_without_a_night_it_is_the_time_by_day(self) -> None:
        assert make_plan(brief()).blanket_cure.value == pytest.approx(960)
        assert cold(23).blanket_cure.value == pytest.approx(960)

    def test_the_warm_hours_are_a_rate_of_the_studio(self) -> None:
        longer = cold(15, rates={"room_warm_h": given(14, "h", "Warm hours")})
        assert longer.blanket_cure.value < cold(15).blanket_cure.value

    def test_hours_below_the_lowest_temperature_count_as_nothing_and_are_pointed_out(self) -> None:
        plan = cold(10)
        # Calculated: 14 h of night count as nothing, 10 h by day, 14 h again, and the 6 h left: 44 h.
        assert plan.blanket_cure.value / 60 == pytest.approx(44)
        remark = next(remark for remark in plan.remarks if remark.key == "night_cold")
        assert remark.figures[0].value == pytest.approx(5)
        assert "night_cold" not in {remark.key for remark in cold(15).remarks}

    def test_a_room_that_is_always_cold_is_refused(self) -> None:
        with pytest.raises(ColdStall):
            make_plan(brief(temperature_c=given(12, "degC"), night_temperature_c=given(8, "degC")))

    def test_holds_the_shell_and_the_strip_back(self) -> None:
        plan = cold(15)
        tasks = {task.key: task for task in plan.tasks}
        assert tasks["parting_strip"].wait_after_min == pytest.approx(plan.blanket_cure.value)
        assert plan.strip is not None
        assert plan.strip.cure.value == pytest.approx(plan.blanket_cure.value)
        # A shell piece that sets within the warm hours is built early enough to set by day.
        assert tasks["shell_1"].wait_after_min == pytest.approx(240)


class TestShell:
    def test_one_that_sets_longer_than_the_room_is_warm_lies_over_the_night(self) -> None:
        slow = replace(POLYESTER, properties={**POLYESTER.properties, "demold_min": given(720)})
        waits = [
            {task.key: task for task in plan.tasks}["shell_1"].wait_after_min
            for shell in (replace(SHELL, material=slow),)
            for plan in (make_plan(brief(shell=shell)), cold(15, shell=shell))
        ]
        # Nobody told the activation energy: each 10 °C halve the time, and 14 h at 15 °C count for 14 ÷ 2^0.8 = 8.04 h.
        assert waits[0] == pytest.approx(720)
        assert waits[1] / 60 == pytest.approx(14 + 12 - 14 / 2**0.8)

    def test_plaster_sets_as_quickly_in_the_cold(self) -> None:
        plaster = replace(SHELL, kind=ShellKind.PLASTER, material=PLASTER, reinforcement=None, thickness_mm=given(20, "mm"))
        tasks = {task.key: task for task in cold(15, shell=plaster).tasks}
        assert tasks["shell_1"].wait_after_min == pytest.approx(60)


class TestClock:
    def test_a_coat_left_over_a_cold_night_is_waited_for(self) -> None:
        # It gels in 10 h at 23 °C and takes no next coat by eight when the night is at 15 °C: 14 h count for 7.53 h.
        slow = rubber(gel_min=600.0)
        late = MONDAY + timedelta(hours=8)
        warm = cure_calendar(make_plan(brief(rubber=slow)), starts_at=late, hours=HOURS).coats
        chilled = cure_calendar(cold(15, rubber=slow), starts_at=late, hours=HOURS).coats
        # Gelled before eight; setting the gauge blocks takes 14 minutes.
        assert warm[1].starts_at.time() == time(8, 14)
        by_night = chilled[0].earliest_next_at - chilled[0].ends_at
        assert by_night / timedelta(hours=1) == pytest.approx(14 + 10 - 7.530185, abs=0.02)
        assert chilled[1].starts_at > warm[1].starts_at

    def test_a_coat_that_is_followed_the_same_day_is_not(self) -> None:
        warm = cure_calendar(make_plan(brief()), starts_at=MONDAY, hours=HOURS).coats
        chilled = cure_calendar(cold(15), starts_at=MONDAY, hours=HOURS).coats
        assert chilled[1].starts_at == warm[1].starts_at


class TestCastings:
    def test_a_resin_that_cures_longer_than_the_room_is_warm_lies_over_the_night(self) -> None:
        slow = replace(CASTING, resin=replace(CASTING.resin, properties={**CASTING.resin.properties, "demold_min": given(960)}))
        by_day, chilled = make_plan(brief(casting=slow)).casting, cold(15, casting=slow).casting
        assert by_day is not None
        assert chilled is not None
        assert by_day.demold is not None
        assert chilled.demold is not None
        assert by_day.demold.value == pytest.approx(960)
        assert chilled.demold.value > 1200
        assert chilled.cycle.value - by_day.cycle.value == pytest.approx(chilled.demold.value - 960)

    def test_a_quick_resin_does_not(self) -> None:
        quick = cold(15).casting
        assert quick is not None
        assert quick.demold is not None
        assert quick.demold.value == pytest.approx(20)
