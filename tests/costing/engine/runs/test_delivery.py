import pytest
from hypothesis import given as examples
from hypothesis import strategies as st

from costing.engine.errors import EngineError
from costing.engine.estimate import make_estimate
from costing.engine.labour import RunHours, run_hours, task_hours
from costing.engine.runs.delivery import deliver, delivery_parts
from costing.engine.runs.learning import NONE, Learning
from costing.engine.runs.practice import hands_h, hours_of_number, mean_hours, total_hours
from costing.engine.shares import Share
from jobs.planning.plan import make_plan
from studio.figures import Figure
from tests.costing.engine.builders import box_plan, brief, given
from tests.jobs.planning.builders import brief as plan_brief


def figure(key: str, value: float, unit: str) -> Figure:
    return Figure(key=key, label=key, value=value, unit=unit, formula="typed")


HOURS = RunHours(
    each_h=figure("each", 2, "h"), startup_h=figure("start", 0.5, "h"), per_day=figure("per_day", 4, "1"),
    machine_h=figure("machine", 0.5, "h"),
)  # fmt: skip
NINETY = Learning(percent=90)


class TestPractice:
    # exact: half an hour of turning stays, an hour and a half of handwork falls to 0.9 of itself on average of two.
    def test_leaves_the_frame_its_pace(self) -> None:
        assert mean_hours(2, HOURS, NINETY).value == pytest.approx(0.5 + 1.5 * 0.9)
        assert hours_of_number(2, HOURS, NINETY).value == pytest.approx(0.5 + 1.5 * 0.8)
        assert total_hours(2, HOURS, NINETY).value == pytest.approx(2 * (0.5 + 1.35))

    def test_first_casting_takes_the_planned_hours(self) -> None:
        assert mean_hours(1, HOURS, NINETY).value == hours_of_number(1, HOURS, NINETY).value == 2

    def test_without_learning_is_the_plain_figure(self) -> None:
        assert mean_hours(7, HOURS, NONE) is HOURS.each_h

    def test_of_a_plan_knows_what_the_frame_does(self) -> None:
        casting = box_plan().casting
        assert casting is not None
        tasks = tuple(task for task in task_hours(box_plan().tasks) if task.share is Share.RUN)
        hours = run_hours(casting, tasks)
        assert hours.machine_h is not None
        # exact: 12 minutes a skin less 4 of mixing, for each skin.
        assert hours.machine_h.value == pytest.approx(casting.skins * 8 / 60)
        assert hours.by_hand_h + hours.by_machine_h == pytest.approx(hours.each_h.value)

    def test_typed_minutes_keep_the_frames_share(self) -> None:
        plan = make_plan(plan_brief(minutes_overrides={"castings": 100.0}))
        assert plan.casting is not None
        hours = run_hours(plan.casting, tuple(task for task in task_hours(plan.tasks) if task.share is Share.RUN))
        assert hours.machine_h is not None
        share = plan.casting.skins * 8 / plan.casting.minutes_each.value
        assert hours.machine_h.value == pytest.approx(100 / 60 / plan.casting.count * share)


class TestDeliver:
    # exact: four a day, so five leave the mold on day 2; five take 10 h and two starts 1 h: at 4 h a day that is day 3.
    def test_is_as_slow_as_the_slower(self) -> None:
        found = deliver(5, hours=HOURS, learning=NONE, bench_h=given(4, "h"))
        assert (found.cast_day.value, found.ready_day.value) == (2, 3)
        assert found.waits_for_hands
        fast = deliver(5, hours=HOURS, learning=NONE, bench_h=given(16, "h"))
        assert (fast.cast_day.value, fast.ready_day.value) == (2, 2)
        assert not fast.waits_for_hands

    @examples(st.integers(1, 300), st.floats(51, 100), st.floats(1, 40))
    def test_more_castings_are_never_ready_sooner_nor_practice_later(self, n: int, percent: float, bench: float) -> None:
        learning = Learning(percent=percent)
        here = deliver(n, hours=HOURS, learning=learning, bench_h=given(bench, "h"))
        assert deliver(n + 1, hours=HOURS, learning=learning, bench_h=given(bench, "h")).ready_day.value >= here.ready_day.value
        assert here.ready_day.value <= deliver(n, hours=HOURS, learning=NONE, bench_h=given(bench, "h")).ready_day.value

    def test_parts_begin_with_one_and_end_with_all(self) -> None:
        assert delivery_parts(10) == (1, 3, 5, 8, 10)
        assert delivery_parts(1) == (1,)
        assert delivery_parts(2) == (1, 2)

    def test_refuses_a_bench_where_nobody_is(self) -> None:
        with pytest.raises(EngineError, match="Nobody has hours"):
            deliver(5, hours=HOURS, learning=NONE, bench_h=given(0, "h"))
        with pytest.raises(EngineError, match="one casting"):
            deliver(0, hours=HOURS, learning=NONE, bench_h=given(8, "h"))

    def test_hands_of_the_planned_run_are_the_planned_hours(self) -> None:
        estimate = make_estimate(brief())
        assert estimate.run is not None
        casting = box_plan().casting
        assert casting is not None
        hours = run_hours(casting, tuple(task for task in task_hours(box_plan().tasks) if task.share is Share.RUN))
        whole = hands_h(casting.count, hours, NONE) + hours.startup_h.value * casting.days.value
        assert whole == pytest.approx(estimate.run.quantity * estimate.run.each.hours.value)
