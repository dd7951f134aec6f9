"""A tree of waits beside every choice of starts there is."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.scheduling.problem import Lag, Link
from jobs.scheduling.trees import DONE, NEVER, Axis, Costs, Tree
from tests.jobs.scheduling.builders import link, problem, task

SIZE = 8
TASKS = (task("a.1", 1), task("a.2", 2), task("a.3", 1))
Job = tuple[tuple[Link, ...], dict[str, Costs]]


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """A line of three tasks, an hour to a step: one window, one wait that changes by the hour."""
    window = draw(st.sampled_from((None, 2, 3)))
    links = (
        link("a.1", "a.2", 1, window, draw(st.sampled_from((0, 2, 50)))),
        Link(before="a.2", after="a.3", least=Lag(by_hour=tuple(draw(st.lists(st.integers(0, 2), min_size=1, max_size=6))))),
    )
    costs = {one.key: np.array([draw(st.sampled_from((0, 1, 3, 7, NEVER))) for _ in range(SIZE)], dtype=float) for one in TASKS}
    return links, costs | {DONE: np.arange(SIZE, dtype=float) * draw(st.integers(0, 2))}


def every(links: tuple[Link, ...], costs: dict[str, Costs]) -> dict[tuple[int, ...], float]:
    """Price every choice of starts that keeps the waits."""
    found = {}
    for starts in product(range(SIZE), repeat=len(TASKS)):
        at = {one.key: start for one, start in zip(TASKS, starts, strict=True)}
        ends = {one.key: at[one.key] + one.steps for one in TASKS}
        kept = max(ends.values()) < SIZE
        cost = sum(float(costs[key][start]) for key, start in at.items())
        for one in links:
            end = ends[one.before]
            late = one.most is not None and at[one.after] > end + one.most.at(end, steps_per_hour=1)
            kept = kept and at[one.after] >= end + one.least.at(end, steps_per_hour=1) and (not late or one.breach > 0)
            cost += one.breach * late
        if kept and cost < NEVER:
            found[starts] = cost + float(costs[DONE][max(ends.values())])
    return found


class TestTree:
    @settings(max_examples=20, deadline=None)
    @drawn(jobs())
    def test_is_exact_on_a_line(self, job: Job) -> None:
        links, costs = job
        made, choices = problem(TASKS, links), every(*job)
        tree = Tree(made, TASKS, Axis(begin=0, size=SIZE), dict.fromkeys(made.task, 0) | {"a.3": 4})
        total, starts = tree.cheapest(costs)
        least, each = tree.with_each(costs)
        if not choices:
            assert min(total, least) >= NEVER / 2
            return
        assert total == pytest.approx(min(choices.values()))
        assert choices[starts["a.1"], starts["a.2"], starts["a.3"]] == pytest.approx(total)
        for place, one in enumerate(TASKS):
            for start in range(SIZE):
                there = [cost for chosen, cost in choices.items() if chosen[place] == start]
                assert each[one.key][start] == pytest.approx(min(there)) if there else each[one.key][start] >= NEVER / 2

    @settings(max_examples=20, deadline=None)
    @drawn(jobs(), st.integers(0, 5))
    def test_leaves_waits_out_that_close_a_ring_and_costs_no_more_then(self, job: Job, least: int) -> None:
        links, costs = job
        ring = (*links, link("a.1", "a.3", least, least + 1, 3))
        choices = every(ring, costs)
        made = problem(TASKS, ring)
        tree = Tree(made, TASKS, Axis(begin=0, size=SIZE), dict.fromkeys(made.task, 0))
        assert len(tree.hung) == 3
        found, each = tree.with_each(costs)
        for chosen, cost in choices.items():
            assert found <= cost + 1e-6
            assert all(each[one.key][start] <= cost + 1e-6 for one, start in zip(TASKS, chosen, strict=True))
