"""What every search must keep, whatever it finds."""

import time

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.scheduling.by_hand import list_schedule
from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.model import Model
from jobs.scheduling.problem import Lag, Link, Person, Problem, Station
from jobs.scheduling.result import faults_of
from jobs.scheduling.search import Effort, best_schedule
from jobs.scheduling.solver import race
from tests.benchmarks.scheduling.instances import studio_jobs
from tests.jobs.scheduling.builders import days, link, problem, task

ANN = Person(
    key="ann", hours=days(6), visits=tuple((24 * day + 18, 24 * day + 21) for day in range(6)), skills=frozenset({"resin"})
)
BEN = Person(key="ben", hours=days(6, 10, 18), skills=frozenset({"resin"}), until={"resin": 36})


@st.composite
def coats(draw: st.DrawFn) -> Problem:
    """Two jobs of three coats, an hour to a step; some want training, and some hold the frame for longer than hands."""
    tasks, links = [], []
    for job in "ab":
        for coat in range(3):
            steps, people = draw(st.integers(1, 4)), draw(st.sampled_from((1, 1, 2)))
            place = draw(st.sampled_from((None, None, "frame")))
            tasks.append(
                task(
                    f"{job}.{coat}", steps, people=people, session="r", station=place,
                    holds=steps + draw(st.integers(0, 9)) if place else None,
                    skill=draw(st.sampled_from(("", "resin"))) if people == 1 else "",
                )
            )  # fmt: skip
        for coat in range(2):
            least = [draw(st.integers(0, 5)) for _ in range(draw(st.sampled_from((1, 24))))]
            most = tuple(max(least) + draw(st.integers(1, 14)) for _ in range(1))
            links.append(
                Link(
                    before=f"{job}.{coat}",
                    after=f"{job}.{coat + 1}",
                    least=Lag(by_hour=tuple(least)),
                    most=Lag(by_hour=most),
                    breach=60,
                )
            )
    return problem(
        tuple(tasks), tuple(links), people=(ANN, BEN), due=draw(st.integers(20, 60)), horizon=144,
        stations=(Station(key="frame", capacity=draw(st.sampled_from((1, 2)))),),
    )  # fmt: skip


class TestEverySearch:
    @settings(max_examples=12, deadline=None)
    @drawn(coats())
    def test_breaks_no_rule_and_costs_no_more_than_the_list(self, made) -> None:
        found = best_schedule(made, Effort(seconds=0.3, workers=1))
        assert faults_of(made, found.entries) == []
        assert found.cost.total <= list_schedule(made).cost.total
        assert found.bound is not None
        assert found.bound <= found.cost.total
        assert found.reason

    @settings(max_examples=6, deadline=None)
    @drawn(coats(), st.integers(1, 3))
    def test_is_never_dearer_in_a_warmer_room(self, made, sooner) -> None:
        # Only the least waits get shorter: every schedule of the colder room is one of the warmer room too.
        warmer = Problem(
            orders=made.orders, tasks=made.tasks, people=made.people, horizon=made.horizon, step_min=60, stations=made.stations,
            links=tuple(
                Link(before=one.before, after=one.after, most=one.most, breach=one.breach,
                     least=Lag(by_hour=tuple(max(0, steps - sooner) for steps in one.least.by_hour)))
                for one in made.links
            ),
        )  # fmt: skip
        cold, warm = (best_schedule(one, Effort(seconds=2)) for one in (made, warmer))
        assert cold.bound == cold.cost.total
        assert warm.cost.total <= cold.cost.total


class TestLargerProblems:
    def test_gets_better_and_says_how_far_from_the_bound(self) -> None:
        made = studio_jobs(8, 1)
        told: list[int] = []
        found = best_schedule(made, Effort(seconds=0.4), report=lambda one: told.append(one.cost.total))
        assert faults_of(made, found.entries) == []
        assert told == sorted(told, reverse=True)
        assert told[0] == list_schedule(made).cost.total
        assert found.cost.total == told[-1] < told[0]
        assert found.gap is not None
        assert 0 < found.gap < 1

    @pytest.mark.parametrize("jobs", [5, 7])
    def test_ends_when_it_is_told_to(self, jobs) -> None:
        # Five jobs are in the middle of a proof by then, seven among their parts.
        made, began = studio_jobs(jobs, 1), time.monotonic()
        found = best_schedule(made, Effort(seconds=20), stop=lambda: time.monotonic() > began + 0.3)
        assert faults_of(made, found.entries) == []
        assert time.monotonic() - began < 10

    def test_stops_a_proof_that_goes_on(self) -> None:
        model, began = Model(studio_jobs(5, 1)), time.monotonic()
        race(model, seconds=20, stop=lambda: time.monotonic() > began + 0.3)
        assert time.monotonic() - began < 10

    def test_begins_with_what_it_is_given(self) -> None:
        made = studio_jobs(2, 1)
        first = best_schedule(made, Effort(seconds=0.5)).entries
        told: list[int] = []
        best_schedule(made, Effort(seconds=0.05), start=first, report=lambda one: told.append(one.cost.total))
        assert told[0] <= list_schedule(made).cost.total


class TestProved:
    @pytest.mark.parametrize("seed", [1, 2])
    def test_one_job_is_proved_best(self, seed) -> None:
        found = best_schedule(studio_jobs(1, seed), Effort(seconds=5))
        assert found.bound == found.cost.total
        assert found.reason.startswith("Proved")

    def test_nothing_to_do_costs_nothing(self) -> None:
        assert best_schedule(problem(()), Effort(seconds=1)).cost.total == 0

    def test_says_when_nothing_keeps_all_rules(self) -> None:
        ann = Person(key="ann", hours=days(2))
        made = problem((task("a.1", 8), task("a.2", 1)), (link("a.1", "a.2", 1, 10),), people=(ann,), horizon=48)
        with pytest.raises(NobodyCan, match="No schedule keeps"):
            best_schedule(made, Effort(seconds=2))
