"""The constraint model costs what the one rule says, whole and in parts."""

import pytest

from jobs.scheduling.by_hand import list_schedule
from jobs.scheduling.model import Model
from jobs.scheduling.problem import Person, Station
from jobs.scheduling.result import cost_of, faults_of
from jobs.scheduling.solver import solve
from tests.benchmarks.scheduling.instances import DAY, studio_jobs
from tests.jobs.scheduling.builders import days, link, problem, task


class TestObjective:
    @pytest.mark.parametrize("seed", [1, 2, 3])
    def test_of_the_whole_is_the_cost_of_its_schedule(self, seed) -> None:
        made = studio_jobs(1, seed)
        model = Model(made)
        model.hint(list_schedule(made).entries)
        status, solver = solve(model, seconds=10, relaxed=True)
        entries = model.entries(solver.value)
        assert status == "OPTIMAL"
        assert faults_of(made, entries) == []
        assert solver.objective_value == cost_of(made, entries).total

    @pytest.mark.parametrize("seed", [1, 2, 3])
    def test_of_a_part_counts_what_stands_too(self, seed) -> None:
        made = studio_jobs(3, seed)
        base = list_schedule(made).entries
        free = sorted(base, key=lambda key: abs(base[key].start - 2 * DAY))[:12]
        model = Model(made, fixed=base, free=free, near=3 * DAY)
        model.hint(base)
        status, solver = solve(model, seconds=10, relaxed=True)
        entries = model.entries(solver.value)
        assert status == "OPTIMAL"
        assert faults_of(made, entries) == []
        assert all(entries[key] == base[key] for key in base if key not in free)
        assert solver.objective_value == cost_of(made, entries).total <= cost_of(made, base).total


class TestRules:
    def test_keeps_a_place_for_two_beside_what_stands(self) -> None:
        people = tuple(Person(key=key, hours=((0, 30),)) for key in "abc")
        tasks = (task("x.1", 5, station="bench"), task("y.1", 5, station="bench"), task("z.1", 5, station="bench"))
        made = problem(tasks, people=people, stations=(Station(key="bench", capacity=2),), horizon=30)
        base = list_schedule(made).entries
        for free in (["z.1"], ["x.1", "z.1"], ["x.1", "y.1", "z.1"]):
            model = Model(made, fixed=base, free=free)
            _, solver = solve(model, seconds=5)
            assert faults_of(made, model.entries(solver.value)) == []

    def test_pins_a_start_outside_of_hours_as_a_visit(self) -> None:
        ann = Person(key="ann", hours=days(2))
        made = problem((task("a.1", 2, pinned=3), task("a.2", 1)), (link("a.1", "a.2", 1),), people=(ann,), horizon=48)
        model = Model(made)
        _, solver = solve(model, seconds=5)
        entries = model.entries(solver.value)
        assert entries["a.1"].start == 3
        assert cost_of(made, entries).visits == made.weights.visit
        assert solver.objective_value == cost_of(made, entries).total

    def test_prices_a_window_that_is_missed_by_one_step(self) -> None:
        ann = Person(key="ann", hours=((0, 1), (4, 6)))
        for most, broken in ((2, 1), (3, 0)):
            made = problem((task("a.1"), task("a.2")), (link("a.1", "a.2", 1, most, 30),), people=(ann,), horizon=5)
            model = Model(made)
            _, solver = solve(model, seconds=5)
            entries = model.entries(solver.value)
            assert cost_of(made, entries).breaches == 30 * broken
            assert solver.objective_value == cost_of(made, entries).total

    def test_finds_nothing_where_a_window_cannot_be_kept(self) -> None:
        ann = Person(key="ann", hours=days(2))
        made = problem((task("a.1", 8), task("a.2", 1)), (link("a.1", "a.2", 1, 10),), people=(ann,), horizon=48)
        assert solve(Model(made), seconds=5)[0] == "INFEASIBLE"
