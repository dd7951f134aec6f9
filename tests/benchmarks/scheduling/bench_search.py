"""The search beside the list, the plain constraint solver and a mixed-integer program, on the same jobs in the same run.

It prints ratios to the list's cost and asserts no time; all of it takes about nine minutes.
`pytest -m benchmark -s tests/benchmarks/scheduling/bench_search.py`;
HANDLAID_BENCH_SIZES=1,3,5 chooses sizes, HANDLAID_BENCH_SEEDS=2 how many instances of each.
"""

import os
import time

import pytest

from jobs.scheduling.by_hand import list_schedule
from jobs.scheduling.model import Model
from jobs.scheduling.replan import News, replan
from jobs.scheduling.result import Schedule, faults_of
from jobs.scheduling.search import Effort, best_schedule
from jobs.scheduling.solver import solve
from tests.benchmarks.scheduling.instances import HOUR, studio_jobs
from tests.benchmarks.scheduling.peers import mixed_integer, plain_solver
from tests.benchmarks.scheduling.real_plans import real_jobs
from tests.outside.test_scheduling_job_shops import shop

# Seconds a size may take: the studio waits so long at most.
SECONDS = {1: 2.0, 3: 5.0, 5: 8.0, 10: 30.0, 20: 30.0, 40: 30.0}
SIZES = [int(size) for size in os.environ.get("HANDLAID_BENCH_SIZES", "1,3,5,10,20,40").split(",")]
SEEDS = range(1, 1 + int(os.environ.get("HANDLAID_BENCH_SEEDS", "2")))
MIP_JOBS = 3


@pytest.mark.benchmark
@pytest.mark.parametrize("jobs", SIZES)
def test_search(jobs: int) -> None:
    for seed in SEEDS:
        problem, seconds = studio_jobs(jobs, seed), SECONDS[jobs]
        plain = list_schedule(problem)
        told: list[tuple[float, Schedule]] = []
        began = time.monotonic()
        found = best_schedule(
            problem,
            Effort(seconds=seconds),
            report=lambda one, began=began, told=told: told.append((time.monotonic() - began, one)),
        )
        took = time.monotonic() - began
        assert faults_of(problem, found.entries) == []
        assert found.cost.total <= plain.cost.total
        better = next((at for at, one in told if one.cost.total < plain.cost.total), None)
        print(f"\n{jobs} jobs, {len(problem.tasks)} tasks, seed {seed}: list 1, {_broken(plain)}")  # noqa: T201
        first = "never" if better is None else f"{better:.2f} s"
        gap = f"gap {100 * (found.gap or 0):.1f} %: {found.reason}"
        ratio = f"{_ratio(found.cost.total, plain)} in {took:.1f} s"
        print(f"  search {ratio}, {_broken(found)}, first better after {first}, {gap}")  # noqa: T201
        cost, took, status = plain_solver(problem, seconds)
        print(f"  plain CP-SAT {_ratio(cost, plain)} in {took:.1f} s, {status}")  # noqa: T201
        if jobs <= MIP_JOBS:
            priced, took, status = mixed_integer(problem, seconds * 2)
            own = found.cost.total - found.cost.sessions - found.cost.uneven
            told_mip = "nothing" if priced is None else f"{priced / own:.3f} of the search's cost without sessions and evenness"
            print(f"  HiGHS MIP {told_mip} in {took:.1f} s, {status}")  # noqa: T201


@pytest.mark.benchmark
def test_five_jobs_of_whole_plans() -> None:
    problem, told = real_jobs(), list[tuple[float, Schedule]]()
    began = time.monotonic()
    found = best_schedule(problem, Effort(seconds=30), report=lambda one: told.append((time.monotonic() - began, one)))
    took = time.monotonic() - began
    plain = list_schedule(problem)
    assert faults_of(problem, found.entries) == []
    assert found.cost.total <= plain.cost.total
    better = next((at for at, one in told if one.cost.total < plain.cost.total), None)
    first = "never" if better is None else f"{better:.2f} s"
    print(f"\n5 whole plans, {len(problem.tasks)} tasks: list 1, {_broken(plain)}, first answer after {told[0][0]:.2f} s")  # noqa: T201
    gap = f"gap {100 * (found.gap or 0):.1f} %: {found.reason}"
    print(f"  search {_ratio(found.cost.total, plain)} in {took:.1f} s, {_broken(found)}, first better after {first}, {gap}")  # noqa: T201
    cost, took, status = plain_solver(problem, 30)
    print(f"  plain CP-SAT {_ratio(cost, plain)} in {took:.1f} s, {status}")  # noqa: T201


@pytest.mark.benchmark
def test_one_late_coat_among_ten_jobs() -> None:
    for seed in SEEDS:
        problem = studio_jobs(10, seed)
        plan = best_schedule(problem, Effort(seconds=8))
        coats = sorted((entry for key, entry in plan.entries.items() if "coat1" in key), key=lambda entry: entry.start)
        coat = coats[len(coats) // 3]
        began = time.monotonic()
        found = replan(problem, plan.entries, News(now=coat.start, not_before={coat.task: coat.start + 3 * HOUR}))
        took = time.monotonic() - began
        assert faults_of(found.problem, found.schedule.entries) == []
        later = sum(now > was for was, now in found.ends.values())
        moved = f"{len(found.moved)} of {len(found.problem.before)} tasks moved, {later} of {len(found.ends)} jobs end later"
        print(f"\nseed {seed}: {coat.task} three hours late, planned anew in {took:.2f} s: {moved}")  # noqa: T201


@pytest.mark.benchmark
def test_a_published_job_shop_of_ten_by_ten() -> None:
    # Published: H. Fisher, G. L. Thompson, 1963: ft10, whose optimum 930 was proved 26 years later.
    problem, optimum = shop("ft10")
    began = time.monotonic()
    model = Model(problem)
    status, solver = solve(model, seconds=30, workers=2)
    assert status != "OPTIMAL" or solver.objective_value == optimum == 930
    took = time.monotonic() - began
    print(f"\nft10: span {solver.objective_value:.0f}, bound {solver.best_objective_bound:.0f}, {status} in {took:.1f} s")  # noqa: T201


def _broken(one: Schedule) -> str:
    return f"{len(one.breaches)} windows broken, {one.cost.late} for lateness"


def _ratio(cost: int | None, plain: Schedule) -> str:
    return "nothing" if cost is None else f"{cost / plain.cost.total:.3f}"
