"""A plan's tasks become tasks and waits on the grid."""

import math
from dataclasses import replace

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan
from jobs.scheduling.checking import check_problem
from jobs.scheduling.errors import BadProblem
from jobs.scheduling.network import REMEDY, Bench, lag_at_pace, network_of
from jobs.scheduling.problem import Order, Person, Problem, Station
from jobs.scheduling.result import faults_of
from jobs.scheduling.search import Effort, best_schedule
from studio.workrates import Stage
from tests.jobs.planning.builders import CASTING, RESIN, SHELL, brief

BENCH = Bench(stations={"rotating frame": "frame"})


@pytest.fixture(scope="module")
def plan() -> MoldPlan:
    return make_plan(brief(positions=2, shell=SHELL, casting=replace(CASTING, resin=RESIN)))


class TestNetworkOf:
    def test_keeps_the_work_on_the_grid(self, plan) -> None:
        made = network_of(plan, order="j", rubber="r", bench=BENCH)
        for task in plan.tasks:
            own = [one for one in made.tasks if one.key == f"j:{task.key}" or one.key.startswith(f"j:{task.key}#")]
            least = task.minutes.value / task.people
            assert sum(one.steps for one in own) * 5 >= least - 1e-6
            assert sum(one.steps for one in own) * 5 < least + 5 * (len(own) + 1) + 5
            assert all(one.steps * 5 <= BENCH.stretch_min for one in own)
            assert all(one.people == task.people for one in own)

    def test_keeps_waits_and_windows(self, plan) -> None:
        made = network_of(plan, order="j", rubber="r", bench=BENCH)
        first = next(task for task in plan.tasks if task.key.startswith("coat_1"))
        after = [link for link in made.links if link.before == f"j:{first.key}"]
        assert after
        for link in after:
            assert link.least.constant == math.ceil(first.wait_after_min / 5)
            if first.latest_next_min is not None:
                assert link.most is not None
                assert link.most.constant == math.floor(first.latest_next_min / 5)
                assert link.remedy == REMEDY
        assert {task.session for task in made.tasks if ":coat_" in task.key} == {"r"}

    def test_divides_the_run_into_castings_on_the_frame(self, plan) -> None:
        assert plan.casting is not None
        made = network_of(plan, order="j", rubber="r", bench=BENCH, molds=2)
        casts = [task for task in made.tasks if task.key.startswith("j:castings")]
        assert len(casts) == min(plan.casting.count, 24)
        assert all(task.by_day for task in casts)
        # By hand: the mold turns until its last skin has set, which the cycle is without the cure before it is opened.
        assert plan.casting.demold is not None
        turns = math.ceil((plan.casting.cycle.value - plan.casting.demold.value) / 5)
        assert {task.station_steps for task in casts} == {turns}
        assert math.ceil(plan.casting.minutes_each.value / 5) <= turns
        after = {link.after for link in made.links if link.before == casts[0].key}
        # The second mold is cast beside the first; the third casting waits for the first mold.
        assert after & {task.key for task in casts} == {casts[2].key}

    def test_can_be_laid_out(self, plan) -> None:
        made = network_of(plan, order="j", rubber="r", bench=BENCH)
        people = tuple(
            Person(key=key, hours=tuple((288 * day + 96, 288 * day + 204) for day in range(30))) for key in ("ann", "ben")
        )
        problem = Problem(
            orders=(Order(key="j", due=288 * 20),), tasks=made.tasks, links=made.links, people=people,
            stations=(Station(key="frame"),), horizon=288 * 30,
        )  # fmt: skip
        check_problem(problem)
        assert faults_of(problem, best_schedule(problem, Effort(seconds=0.3)).entries) == []

    def test_refuses_a_run_without_a_mold(self, plan) -> None:
        with pytest.raises(BadProblem, match="one mold at least"):
            network_of(plan, order="j", rubber="r", molds=0)

    def test_shifts_waits_with_the_room(self, plan) -> None:
        colder = Bench(paces={Stage.COATS: (0.5,)})
        key = next(f"j:{task.key}" for task in plan.tasks if task.key.startswith("coat_1"))
        warm, cold = (
            next(link for link in network_of(plan, order="j", rubber="r", bench=one).links if link.before == key)
            for one in (BENCH, colder)
        )
        assert warm.least.constant is not None
        assert cold.least.constant in (2 * warm.least.constant - 1, 2 * warm.least.constant)


class TestLagAtPace:
    def test_adds_ages_over_hours(self) -> None:
        # By hand: 90 min at half pace for an hour (30), full pace for an hour (60): over after 2 h; begun an hour later, 90 min.
        lag = lag_at_pace(90, (0.5, 1.0, 1.0), step_min=5, longest=False)
        assert lag.by_hour == (24, 18, 18)
        # A window is taken at its shortest within the hour: begun at its end, when the room is warm.
        assert lag_at_pace(90, (0.5, 1.0, 1.0), step_min=5, longest=True).constant == 18

    def test_refuses_a_room_in_which_nothing_cures(self) -> None:
        with pytest.raises(BadProblem, match="some pace"):
            lag_at_pace(90, (1.0, 0.0), step_min=5, longest=False)

    @settings(max_examples=40, deadline=None)
    @drawn(
        st.floats(0, 3000),
        st.lists(st.floats(0.1, 3), min_size=1, max_size=12),
        st.lists(st.floats(1, 2), min_size=12, max_size=12),
    )
    def test_is_never_longer_in_a_warmer_room(self, minutes, paces, more) -> None:
        warmer = tuple(pace * factor for pace, factor in zip(paces, more, strict=False))
        for longest in (False, True):
            cold = lag_at_pace(minutes, tuple(paces), step_min=5, longest=longest)
            warm = lag_at_pace(minutes, warmer, step_min=5, longest=longest)
            assert all(warm.at(hour, steps_per_hour=1) <= cold.at(hour, steps_per_hour=1) for hour in range(len(paces)))
