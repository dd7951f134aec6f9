"""Made-up jobs of a studio of three: coats with windows, shells, castings on one rotating frame; 5 minutes to a step."""

import random

from jobs.scheduling.problem import Lag, Link, Order, Person, Problem, Station, Task

HOUR = 12
DAY = 24 * HOUR


def studio_jobs(jobs: int, seed: int) -> Problem:
    """Return so many jobs of 16 to 19 tasks each.

    They come in over 0.7 days a job, about a third more work at first than three people do in their hours, and are promised
    9 to 16 days later, a day more for every three jobs.
    """
    source = random.Random(seed)
    days = max(30, 14 + 3 * jobs)
    made = _Jobs()
    for number in range(jobs):
        opens = source.randint(0, max(1, round(0.7 * jobs))) * DAY
        due = opens + source.randint(9, 16 + jobs // 3) * DAY
        made.orders.append(
            Order(key=f"j{number}", label=f"Job {number}", opens=opens, due=due, weight=source.choice((1, 1, 2, 3)))
        )
        _job(made, f"j{number}", source)
    return Problem(
        orders=tuple(made.orders),
        tasks=tuple(made.tasks),
        links=tuple(made.links),
        people=tuple(_person(number, days) for number in range(3)),
        stations=(Station(key="frame"), Station(key="bench")),
        horizon=days * DAY,
    )


def _person(number: int, days: int) -> Person:
    begins = 8 if number % 2 == 0 else 9
    workdays = [day for day in range(days) if day % 7 < 5]
    hours = tuple((day * DAY + begins * HOUR, day * DAY + (begins + 8) * HOUR) for day in workdays)
    evenings = {(day * DAY + 18 * HOUR, day * DAY + 22 * HOUR) for day in workdays}
    weekends = {(day * DAY + 10 * HOUR, day * DAY + 12 * HOUR) for day in range(days) if day % 7 >= 5}
    return Person(
        key=f"p{number}",
        hours=hours,
        visits=tuple(sorted(evenings | weekends)),
        skills=frozenset({"resin"} if number < 2 else ()),
    )


class _Jobs:
    def __init__(self) -> None:
        self.orders: list[Order] = []
        self.tasks: list[Task] = []
        self.links: list[Link] = []
        self.wait: tuple[int, int | None, int] = (0, None, 0)

    def add(self, task: Task, *, least: int, most: int | None = None, breach: int = 0) -> None:
        """Add a task behind the last of its job; the waits are those after it."""
        if self.tasks and self.tasks[-1].order == task.order:
            wait, window, price = self.wait
            self.links.append(
                Link(before=self.tasks[-1].key, after=task.key, least=Lag.of(wait),
                     most=None if window is None else Lag.of(window), breach=price, remedy="abrade")
            )  # fmt: skip
        self.tasks.append(task)
        self.wait = (least, most, breach)


def _job(made: _Jobs, key: str, source: random.Random) -> None:
    def task(name: str, shortest: int, longest: int, **more: object) -> Task:
        return Task(key=f"{key}.{name}", order=key, steps=source.randint(shortest, longest), label=f"{key} {name}", **more)

    made.add(task("prepare", 8, 24), least=6)
    made.add(task("release", 3, 8), least=6)
    coats, rubber = source.randint(4, 6), source.choice(("rubber-a", "rubber-b"))
    for coat in range(coats):
        gel = source.randint(10, 30)
        window = gel + source.choice((60, 120, 260))
        laid = task(f"coat{coat}", 6, 16, session=rubber, people=1 if source.random() < 0.85 else 2)
        if coat == coats - 1:
            made.add(laid, least=16 * HOUR)
        else:
            made.add(laid, least=gel, most=window, breach=source.choice((300, 600)))
    for shell in range(source.randint(2, 3)):
        place = "bench" if source.random() < 0.3 else None
        skill = "resin" if source.random() < 0.3 else ""
        made.add(task(f"shell{shell}", 18, 36, station=place, skill=skill), least=HOUR * source.randint(2, 6))
    made.add(task("open", 8, 16), least=HOUR * source.choice((1, 24, 48)))
    for casting in range(source.randint(3, 6)):
        made.add(task(f"cast{casting}", 10, 20, station="frame", by_day=True), least=6)
    made.add(task("finish", 12, 30), least=0)
    made.add(task("pack", 3, 9), least=0)
