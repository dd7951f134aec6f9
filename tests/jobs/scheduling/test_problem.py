"""Problems that contradict themselves are refused with a sentence."""

import pytest

from jobs.scheduling.checking import check_problem
from jobs.scheduling.errors import BadProblem
from jobs.scheduling.problem import Lag, Person, in_order
from tests.jobs.scheduling.builders import link, problem, task


class TestLag:
    def test_holds_its_last_value(self) -> None:
        lag = Lag(by_hour=(4, 6))
        assert [lag.at(step, steps_per_hour=12) for step in (0, 11, 12, 1000)] == [4, 4, 6, 6]
        assert lag.constant is None
        assert Lag.of(3).constant == 3


class TestCheckProblem:
    @pytest.mark.parametrize(
        ("tasks", "links", "words"),
        [
            ((task("a.1"), task("a.1")), (), "listed twice"),
            ((task("a.1", 0),), (), "must take some time"),
            ((task("a.1", station="oven"),), (), "station"),
            ((task("a.1"),), (link("a.1", "a.2"),), "not listed"),
            ((task("a.1"), task("a.2")), (link("a.1", "a.2", 5, 3),), "closes before it opens"),
            ((task("a.1"), task("a.2")), (link("a.1", "a.2"), link("a.2", "a.1")), "ring"),
            ((task("a.1", pinned=200),), (), "outside of the days"),
            ((task("a.1", pinned=2, held_by=("zoe",)),), (), "people who are not there"),
            ((task("a.1", pinned=2), task("a.2", pinned=4)), (link("a.1", "a.2", 3),), "has set"),
            ((task("a.1", pinned=2), task("a.2", pinned=9)), (link("a.1", "a.2", 3, 4),), "after its window"),
            ((task("a.1", 3, holds=2),), (), "for as long as hands are at it"),
            ((task("a.1", begun=True),), (), "say when, and who"),
            ((task("a.1", skill="resin", pinned=2, held_by=("ann",)),), (), "not trained for resin by then"),
            ((task("a.1", 3, pinned=2, held_by=("ann",)), task("a.2", pinned=4, held_by=("ann",))), (), "at once"),
        ],
    )
    def test_says_what_contradicts(self, tasks, links, words) -> None:
        with pytest.raises(BadProblem, match=words):
            check_problem(problem(tasks, links))

    def test_refuses_a_grid_that_does_not_divide_an_hour(self) -> None:
        with pytest.raises(BadProblem, match="divide an hour"):
            check_problem(problem((task("a.1"),), step_min=7))

    @pytest.mark.parametrize("hours", [((0, 5), (4, 9)), ((5, 3),)])
    def test_refuses_hours_that_overlap_or_end_before_they_begin(self, hours) -> None:
        with pytest.raises(BadProblem, match="hours of ann"):
            check_problem(problem((task("a.1"),), people=(Person(key="ann", hours=hours),)))

    def test_takes_what_has_begun_as_it_is(self) -> None:
        more = {"begun": True, "held_by": ("ann",)}
        tasks = (task("a.1", 3, pinned=2, skill="resin", **more), task("a.2", 3, pinned=4, **more))
        check_problem(problem(tasks, (link("a.1", "a.2", 1),)))

    def test_takes_what_is_in_order(self) -> None:
        ann = Person(key="ann", hours=((0, 9),))
        check_problem(problem((task("a.1"), task("a.2")), (link("a.1", "a.2", 1, 3),), people=(ann,)))


class TestTraining:
    def test_lapses(self) -> None:
        ann = Person(key="ann", skills=frozenset({"resin"}), until={"resin": 8})
        work = task("a.1", 2, skill="resin")
        assert [ann.is_trained(work, end) for end in (0, 8, 9)] == [True, True, False]
        assert (ann.latest_end(work, 50), ann.latest_end(task("a.2"), 50)) == (8, 50)
        assert not ann.is_trained(task("a.3", skill="plaster"))


class TestTaking:
    def test_holds_the_station_as_long_afterwards_as_before(self) -> None:
        assert (task("a.1", 2, holds=5).taking(4).station_steps, task("a.1", 2).taking(4).station_steps) == (7, 4)


class TestInOrder:
    def test_puts_each_task_after_all_that_it_waits_for(self) -> None:
        made = problem((task("a.3"), task("a.1"), task("a.2")), (link("a.1", "a.2"), link("a.2", "a.3")))
        assert [one.key for one in in_order(made)] == ["a.1", "a.2", "a.3"]
        assert made.comes_before["a.3"] == {"a.1", "a.2"}
