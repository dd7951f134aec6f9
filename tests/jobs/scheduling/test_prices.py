"""Prices never bound what a schedule costs too high, and never strike out what the best one does."""

import time

import pytest
from hypothesis import given as drawn
from hypothesis import settings

from jobs.scheduling.model_sessions import fewest_sessions, sessions_floor
from jobs.scheduling.prices import Prices
from jobs.scheduling.problem import Person, Station
from jobs.scheduling.result import cost_of
from jobs.scheduling.search import Effort, best_schedule
from tests.benchmarks.scheduling.instances import studio_jobs
from tests.jobs.scheduling.builders import link, problem, task
from tests.jobs.scheduling.test_search import coats


def priced_of(made, cost: int):
    most = cost - made.weights.session * sessions_floor(made)
    prices = Prices(made, most=most)
    bound = prices.rise(until=time.monotonic() + 60, rounds=60)
    found = prices.priced(most=most)
    assert found.bound == pytest.approx(bound, abs=1e-6)
    return found


class TestPrices:
    @settings(max_examples=6, deadline=None)
    @drawn(coats())
    def test_leave_in_what_the_best_schedule_does(self, made) -> None:
        best = best_schedule(made, Effort(seconds=0.3, workers=1))
        found = priced_of(made, best.cost.total)
        assert found.bound + made.weights.session * sessions_floor(made, found) <= best.cost.total + 1e-3
        for key, entry in best.entries.items():
            assert any(opens <= entry.start <= closes for opens, closes in found.starts(key))

    def test_are_paid_where_people_are_few(self) -> None:
        # By hand: two jobs of four hours for one person end at 4 and 8, the last at 8: 20; alone both end at 4: 12.
        ann = Person(key="ann", hours=((0, 30),))
        made = problem((task("a.1", 4), task("b.1", 4)), people=(ann,))
        assert 17 < priced_of(made, 20).bound <= 20 + 1e-6

    def test_are_paid_for_a_place_that_is_held(self) -> None:
        people = tuple(Person(key=key, hours=((0, 30),)) for key in "abc")
        tasks = (task("x.1", 1, station="frame", holds=5), task("y.1", 1, station="frame", holds=5))
        made = problem(tasks, people=people, stations=(Station(key="frame"),))
        # By hand: ends at 1 and 6, the last at 6; alone both end at 1, which is 3.
        assert 9 < priced_of(made, 13).bound <= 13 + 1e-6

    def test_take_pinned_work_out_of_what_there_is(self) -> None:
        ann = Person(key="ann", hours=((0, 30),))
        made = problem((task("a.1", 4, pinned=0, held_by=("ann",)), task("b.1", 4)), people=(ann,))
        cost = best_schedule(made, Effort(seconds=1)).cost.total
        assert cost - 1 < priced_of(made, cost).bound <= cost + 1e-6

    @pytest.mark.parametrize(("seed", "best"), [(1, 8001), (4, 8342)])
    def test_bound_studio_jobs_closely(self, seed, best) -> None:
        # What the search proves best of these three jobs in some seconds.
        made = studio_jobs(3, seed)
        found = priced_of(made, best)
        assert 0.94 * best < found.bound + made.weights.session * sum(fewest_sessions(made).values()) <= best
        # Most starts are struck out.
        struck = sum(closes - opens + 1 for one in made.tasks for opens, closes in found.starts(one.key))
        assert struck < 0.5 * sum(len(more) for _, more in found.more.values())


class TestSessionsFloor:
    def test_counts_what_cannot_follow_at_that_cost(self) -> None:
        ann = Person(key="ann", hours=((0, 40),))
        tasks = (task("a.1", session="r"), task("b.1", session="r"), task("b.2"))
        made = problem(tasks, (link("b.1", "b.2", 20),), people=(ann,))
        near = best_schedule(made, Effort(seconds=1))
        assert cost_of(made, near.entries).sessions == made.weights.session
        assert sessions_floor(made, priced_of(made, near.cost.total)) == 1
