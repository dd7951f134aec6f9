"""Jobs of a studio from whole plans: pieces of several sizes, molds cast in runs, on the hours of a small team."""

from dataclasses import replace
from functools import cache

from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan
from jobs.scheduling.network import Bench, network_of
from jobs.scheduling.problem import Link, Order, Person, Problem, Station, Task
from studio.workrates import Stage
from tests.jobs.planning.builders import CASTING, RESIN, SHELL, box_takeoff, brief, given

DAY = 288
# Length of the piece [m], positions, castings of the run, molds.
PIECES = ((0.5, 2, 30, 1), (0.3, 1, 12, 1), (0.8, 2, 30, 2), (0.4, 1, 20, 1), (0.6, 1, 30, 1))
BENCH = Bench(stations={"rotating frame": "frame", "vacuum chamber": "chamber"}, skills={Stage.SHELL: "resin"})


@cache
def plan_of(long: float, positions: int, castings: int, molds: int) -> MoldPlan:
    """Return the plan of one piece: a box laid by hand in coats, with a laminated shell and a run of castings."""
    whole = brief(
        takeoff=box_takeoff(0.6 * long, 0.4 * long, long),
        positions=positions,
        shell=SHELL,
        casting=replace(CASTING, resin=RESIN, count=castings),
        temperature_c=given(21, "degC"),
    )
    return make_plan(replace(whole, molds=molds))


def real_jobs(jobs: int = 5, days: int = 120) -> Problem:
    """Return so many jobs of whole plans, two days apart, promised six to nine weeks after they begin."""
    orders: list[Order] = []
    tasks: list[Task] = []
    links: list[Link] = []
    for number in range(jobs):
        long, positions, castings, molds = PIECES[number % len(PIECES)]
        opens = 2 * number * DAY
        orders.append(
            Order(
                key=f"j{number}", label=f"Job {number}", opens=opens, due=opens + (42 + 5 * number) * DAY, weight=1 + number % 2
            )
        )
        plan = plan_of(long, positions, castings, molds)
        made = network_of(plan, order=f"j{number}", rubber=("rubber-a", "rubber-b")[number % 2], bench=BENCH, molds=molds)
        tasks += made.tasks
        links += made.links
    workdays = [day for day in range(days) if day % 7 < 5]
    people = tuple(
        Person(
            key=key,
            hours=tuple((day * DAY + 12 * opens, day * DAY + 12 * closes) for day in workdays),
            visits=tuple((day * DAY + 12 * closes + 12, day * DAY + 12 * 22) for day in workdays),
            skills=frozenset({"resin"} if key != "cleo" else ()),
        )
        for key, opens, closes in (("ann", 8, 16), ("ben", 9, 17), ("cleo", 8, 13))
    )
    return Problem(
        orders=tuple(orders), tasks=tuple(tasks), links=tuple(links), people=people,
        stations=(Station(key="frame"), Station(key="chamber")), horizon=days * DAY,
    )  # fmt: skip
