"""Small problems for the scheduling tests, an hour to a step unless said otherwise."""

from typing import Any

from jobs.scheduling.problem import Lag, Link, Order, Person, Problem, Station, Task, Weights

# Nothing costs but what a test names.
FREE = Weights(late=0, lead=0, span=0, visit=0, session=0, moved=0, uneven=0)


def task(key: str, steps: int = 1, **more: Any) -> Task:
    """Return a task of the job that its key begins with."""
    return Task(key=key, order=key.split(".", maxsplit=1)[0], steps=steps, label=key, **more)


def link(before: str, after: str, least: int = 0, most: int | None = None, breach: int = 0) -> Link:
    """Return a wait."""
    return Link(before=before, after=after, least=Lag.of(least), most=None if most is None else Lag.of(most), breach=breach)


def problem(
    tasks: tuple[Task, ...],
    links: tuple[Link, ...] = (),
    *,
    people: tuple[Person, ...] = (Person(key="ann", hours=((0, 100),)),),
    due: int | None = None,
    horizon: int = 100,
    step_min: int = 60,
    stations: tuple[Station, ...] = (),
    weights: Weights | None = None,
    **more: Any,
) -> Problem:
    """Return a problem with one job for each beginning of a key."""
    orders = tuple(Order(key=key, label=key.upper(), due=due) for key in dict.fromkeys(one.order for one in tasks))
    return Problem(
        orders=orders, tasks=tasks, links=links, people=people, stations=stations, horizon=horizon, step_min=step_min,
        weights=weights or Weights(), **more,
    )  # fmt: skip


def days(count: int, opens: int = 8, closes: int = 16) -> tuple[tuple[int, int], ...]:
    """Return the same hours on so many days, an hour to a step."""
    return tuple((24 * day + opens, 24 * day + closes) for day in range(count))
