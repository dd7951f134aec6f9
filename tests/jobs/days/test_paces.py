"""How fast a job cures in the room that is expected, checked against the law itself."""

import datetime
import math
from decimal import Decimal

import pytest

from jobs.days.clock import Grid
from jobs.days.inputs import laid_out
from jobs.days.paces import Room, expected_room, paces_of
from jobs.days.plans import planned_jobs
from jobs.models import Job, Plan
from jobs.scheduling.network import lag_at_pace
from materials.models import MaterialProperty
from studio.figures import SourceKind
from studio.models import RoomHour
from studio.workrates import Stage

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)
DAY = 288


def room_of(begins: datetime.datetime, temperatures) -> None:
    for number, value in enumerate(temperatures):
        RoomHour.objects.create(begins_at=begins + number * HOUR, temperature_c=Decimal(value))


def planned(job: Job, **decided):
    Plan.objects.filter(job=job).update(**decided)
    return planned_jobs()[0][0]


class TestPacesOf:
    def test_follow_the_materials_own_law(self, drum, monday) -> None:
        one = planned(drum, temperature_c=23)
        energy = {"value": 55, "source_kind": SourceKind.MEASURED.value}
        MaterialProperty.objects.update_or_create(material_id=one.plan.rubber_id, key="activation_energy_kj_mol", defaults=energy)
        grid = Grid(begins_at=monday)
        room_of(monday, [23] * 8 + [15] * 12)
        MaterialProperty.objects.filter(material_id=one.plan.rubber_id, key="lowest_cure_temp_c").update(
            value=10, low=None, high=None
        )
        one = planned(drum)
        pace = paces_of(one, expected_room(grid, DAY), grid, DAY).by_stage[Stage.COATS]
        # calculated with the Arrhenius law (R = 8.314462618 J/mol K), after ASTM C1074's idea: 8 h at 23 °C and 12 h at
        # 15 °C are 14.454444 h at 23 °C for 55 kJ/mol; an hour at 15 °C counts 0.5378703706.
        assert pace[8] == pytest.approx(0.5378703706, rel=1e-9)
        assert sum(pace[:20]) == pytest.approx(14.454444, rel=1e-7)
        # So a cure of as long is over after 20 h, to the grid.
        lag = lag_at_pace(60 * 14.454444, pace, step_min=5, longest=True)
        assert lag.by_hour[0] == 20 * 12 - 1

    def test_are_as_planned_where_nothing_else_is_known(self, drum, monday) -> None:
        grid = Grid(begins_at=monday)
        assert paces_of(planned(drum), Room(), grid, DAY).by_stage == {}

    def test_take_the_plans_nights_for_hours_that_nobody_entered(self, drum, monday) -> None:
        one = planned(drum, temperature_c=21, night_temperature_c=17)
        grid = Grid(begins_at=monday)
        pace = paces_of(one, Room(), grid, 2 * DAY).by_stage[Stage.COATS]
        # Warm for ten hours from eight on, as the night's own law says; the grid begins at six.
        assert [value < 1 for value in pace[:13]] == [True] * 2 + [False] * 10 + [True]
        assert pace[2] == 1
        # Past what is looked at, waits are as in the mean of the last day.
        assert pace[-1] == pytest.approx(sum(pace[-25:-1]) / 24)

    def test_wait_where_the_room_is_too_cold_and_say_so(self, drum, monday) -> None:
        grid = Grid(begins_at=monday)
        room_of(monday, [21] * 4 + [9] * 6 + [21] * 30)
        found = paces_of(planned(drum), expected_room(grid, DAY), grid, DAY)
        pace = found.by_stage[Stage.COATS]
        assert max(pace[4:10]) < 1e-5
        assert any("6 hours are colder than 15 °C" in said for said in found.doubts)
        # A wait that begins in the cold is longer by it, and a warmer room would never lengthen it.
        cold = lag_at_pace(60, pace, step_min=5, longest=False)
        warm = lag_at_pace(60, tuple(1.0 for _ in pace), step_min=5, longest=False)
        assert cold.at(4, steps_per_hour=1) == (6 + 1) * 12
        assert all(cold.at(hour, steps_per_hour=1) >= warm.at(hour, steps_per_hour=1) for hour in range(24))

    def test_refuse_a_room_in_which_nothing_ever_cures(self, drum, monday) -> None:
        room_of(monday, [8] * 24 * 32)
        laid = laid_out()
        assert not laid.fresh.tasks
        (said,) = [one for one in laid.left_out if one["kind"] == "job"]
        assert (said["job"], said["page"]) == (drum.number, "studio:room_show")
        assert "may never cure" in said["sentence"]


class TestWaits:
    def test_count_no_night_twice(self, drum, monday) -> None:
        # The plan's own waits go through its nights; here the nights come in by the hour instead.
        whole = planned(drum, temperature_c=21, night_temperature_c=17)
        flat = planned(drum, night_temperature_c=None)
        waits = {task.key: task.wait_after_min for task in whole.made.tasks if task.stage is Stage.COATS}
        assert waits == {task.key: task.wait_after_min for task in flat.made.tasks if task.stage is Stage.COATS}
        Plan.objects.filter(job=drum).update(night_temperature_c=17)
        cold = {link.before: link.least for link in laid_out().problem.links}
        Plan.objects.filter(job=drum).update(night_temperature_c=None)
        for link in laid_out().problem.links:
            assert min(cold[link.before].by_hour) >= math.floor(max(link.least.by_hour)) - 1
