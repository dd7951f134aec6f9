"""Small schedules beside the best of every schedule there is, counted out by other rules than the model's."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest

from jobs.scheduling.problem import Lag, Link, Order, Person, Problem, Station, Task, Weights
from jobs.scheduling.result import faults_of
from jobs.scheduling.search import Effort, best_schedule
from tests.jobs.scheduling.builders import link, task

Spot = tuple[int, tuple[str, ...]]


def every(problem: Problem, laid: dict[str, Spot], left: list[Task]) -> Iterator[dict[str, Spot]]:
    """Yield every schedule that keeps hours, skills, places and least waits, one step after the other."""
    if not left:
        yield dict(laid)
        return
    one, *others = left
    for start in range(max(one.opens, problem.order[one.order].opens), problem.horizon - one.steps + 1):
        steps = set(range(start, start + one.steps))
        for names in combinations([person.key for person in problem.people], one.people):
            if all(fits(problem, laid, one, steps, name) for name in names) and waits(problem, laid, one, start):
                laid[one.key] = (start, names)
                yield from every(problem, laid, others)
                del laid[one.key]


def steps_of(problem: Problem, key: str, spot: Spot) -> set[int]:
    return set(range(spot[0], spot[0] + problem.task[key].steps))


def fits(problem: Problem, laid: dict[str, Spot], one: Task, steps: set[int], name: str) -> bool:
    person = problem.person[name]
    spans = person.hours + (() if one.by_day else person.visits)
    there = any(steps <= set(range(*span)) for span in spans)
    for key, spot in laid.items():
        other = problem.task[key]
        if name in spot[1] and steps & steps_of(problem, key, spot):
            return False
        # A place is held from each start on for as long as it turns, whoever has hands free by then.
        if one.station is not None and other.station == one.station:
            here = set(range(min(steps), min(steps) + (one.holds or one.steps)))
            if here & set(range(spot[0], spot[0] + (other.holds or other.steps))):
                return False
    lapses = person.until.get(one.skill, problem.horizon)
    return there and (not one.skill or (one.skill in person.skills and max(steps) < lapses))


def lag(problem: Problem, wait: Lag, end: int) -> int:
    hour = end * problem.step_min // 60
    return wait.by_hour[hour] if hour < len(wait.by_hour) else wait.by_hour[-1]


def waits(problem: Problem, laid: dict[str, Spot], one: Task, start: int) -> bool:
    for wait in problem.links:
        if wait.after == one.key:
            end = laid[wait.before][0] + problem.task[wait.before].steps
            if start < end + lag(problem, wait.least, end):
                return False
            if wait.most is not None and not wait.breach and start > end + lag(problem, wait.most, end):
                return False
    return True


def price(problem: Problem, laid: dict[str, Spot]) -> int:
    """Price a schedule from the words of the weights."""
    weights, total = problem.weights, 0
    ends = {key: spot[0] + problem.task[key].steps for key, spot in laid.items()}
    for order in problem.orders:
        done = max(ends[one.key] for one in problem.tasks if one.order == order.key)
        total += weights.lead * (done - order.opens)
        total += weights.late * order.weight * max(0, done - order.due) if order.due is not None else 0
    total += weights.span * max(ends.values())
    for wait in problem.links:
        if wait.most is not None and laid[wait.after][0] > ends[wait.before] + lag(problem, wait.most, ends[wait.before]):
            total += wait.breach
    for key, (_, names) in laid.items():
        hours = [problem.person[name].hours for name in names]
        usual = all(any(steps_of(problem, key, laid[key]) <= set(range(*span)) for span in spans) for spans in hours)
        total += 0 if usual else weights.visit
    mixed = [key for key in laid if problem.task[key].session]
    follows = [
        one for one in mixed
        if any(ends[other] == laid[one][0] and laid[other][1] == laid[one][1]
               and problem.task[other].session == problem.task[one].session for other in mixed)
    ]  # fmt: skip
    total += weights.session * (len(mixed) - len(follows))
    work = {person.key: 0 for person in problem.people}
    for key, (_, names) in laid.items():
        for name in names:
            work[name] += problem.task[key].steps
    spread = (max(work.values()) - min(work.values())) * problem.step_min // 60
    return total + weights.uneven * spread


ANN = Person(key="ann", hours=((0, 5), (9, 14)), visits=((6, 8),), skills=frozenset({"resin"}))
BEN = Person(key="ben", hours=((1, 5), (9, 13)))
WEIGHTS = Weights(late=5, lead=1, span=1, visit=3, session=2, uneven=1)


def two(*tasks: Task, links: tuple[Link, ...], **more: object) -> Problem:
    orders = (Order(key="a", due=7, weight=2), Order(key="b", opens=1, due=9))
    return Problem(
        orders=orders, tasks=tasks, links=links, people=(ANN, BEN), stations=(Station(key="frame"),), horizon=14,
        step_min=more.pop("step_min", 60), weights=more.pop("weights", WEIGHTS), **more,
    )  # fmt: skip


CASTS = two(
    task("a.1", 1, station="frame", holds=4),
    task("a.2", 1, station="frame", holds=2),
    task("b.1", 2, station="frame", holds=3),
    task("b.2", 1),
    links=(link("a.1", "a.2", 2), link("b.1", "b.2", 1)),
)
TRAINED = two(
    task("a.1", 2), task("a.2", 2, skill="resin"), task("b.1", 1, skill="resin"), task("b.2", 2, people=2),
    links=(link("a.1", "a.2", 1), link("b.1", "b.2", 1)),
)  # fmt: skip
SKILLED = (replace(ANN, until={"resin": 8}), replace(BEN, skills=frozenset({"resin"}), until={"resin": 3}))
CASES = {
    "a window over the night": two(
        task("a.1", 2), task("a.2", 2), task("b.1", 2), task("b.2", 1), links=(link("a.1", "a.2", 2, 3, 9), link("b.1", "b.2", 1))
    ),
    "a window that may not be broken": two(task("a.1", 3), task("a.2", 2), task("b.1", 2), links=(link("a.1", "a.2", 1, 2),)),
    "two people at a coat": two(
        task("a.1", 2, people=2),
        task("a.2", 1),
        task("b.1", 2),
        task("b.2", 2, people=2),
        links=(link("a.1", "a.2", 1, 4, 9), link("b.1", "b.2", 2)),
    ),
    "one frame and one skill": two(
        task("a.1", 2, station="frame"),
        task("a.2", 1, skill="resin"),
        task("b.1", 2, station="frame", by_day=True),
        task("b.2", 1, skill="resin"),
        links=(link("a.1", "a.2", 1), link("b.1", "b.2", 0)),
    ),
    "a rubber that is mixed once": two(
        task("a.1", 1, session="r"),
        task("a.2", 2),
        task("b.1", 1, session="r"),
        task("b.2", 1, session="r"),
        links=(link("a.1", "a.2", 1, 2, 9), link("b.1", "b.2", 1)),
    ),
    "a room that cools by the hour": two(
        task("a.1", 1),
        task("a.2", 2),
        task("b.1", 2),
        task("b.2", 1),
        links=(
            Link(before="a.1", after="a.2", least=Lag(by_hour=(1, 2, 2, 3)), most=Lag(by_hour=(2, 3, 3, 4)), breach=9),
            Link(before="b.1", after="b.2", least=Lag(by_hour=(0, 0, 0, 4, 4, 1))),
        ),
    ),
    "half hours": two(
        task("a.1", 1),
        task("a.2", 2),
        task("b.1", 3),
        step_min=30,
        links=(Link(before="a.1", after="a.2", least=Lag(by_hour=(2, 5, 1)), most=Lag(by_hour=(3, 6, 2)), breach=9),),
    ),
    "a pinned entry": two(
        task("a.1", 2), task("a.2", 2, pinned=6, held_by=("ann",)), task("b.1", 3), links=(link("a.1", "a.2", 1),)
    ),
    "a coat that fills another's wait": two(
        task("a.1", 1, session="r"),
        task("a.2", 1, session="r"),
        task("b.1", 1, session="r"),
        links=(link("a.1", "a.2", 1, 4, 9),),
    ),
    "a mold that turns on": CASTS,
    "training that lapses": replace(TRAINED, people=SKILLED),
    "what was promised": two(
        task("a.1", 2),
        task("a.2", 1),
        task("b.1", 2),
        links=(link("a.1", "a.2", 1),),
        before={"a.1": 2, "b.1": 2},
        weights=Weights(late=5, lead=1, span=1, visit=3, session=2, moved=4, uneven=1),
    ),
}


def around(problem: Problem, pins: dict[str, Spot]) -> Iterator[dict[str, Spot]]:
    """Yield every schedule around pinned entries."""
    free = [one for one in problem.tasks if one.key not in pins]
    for laid in every(problem, dict(pins), free):
        if all(waits(problem, laid, problem.task[key], laid[key][0]) for key in pins):
            yield laid


@pytest.mark.parametrize("name", CASES)
def test_finds_the_best_of_all(name: str) -> None:
    problem = CASES[name]
    pins = {one.key: (one.pinned, one.held_by) for one in problem.tasks if one.pinned is not None}
    schedules = list(around(problem, pins))
    moved = [sum(one[key][0] != start for key, start in problem.before.items()) * problem.weights.moved for one in schedules]
    best = min(price(problem, one) + more for one, more in zip(schedules, moved, strict=True))
    found = best_schedule(problem, Effort(seconds=5))
    laid = {key: (entry.start, entry.people) for key, entry in found.entries.items()}
    own = price(problem, laid) + sum(laid[key][0] != start for key, start in problem.before.items()) * problem.weights.moved
    assert len(schedules) > 20
    assert faults_of(problem, found.entries) == []
    assert found.cost.total == own == best
    assert found.bound == best
