"""What is to be laid out in time: tasks with their waits, people with their hours, stations. Pure values on a grid of minutes.

Time counts in steps of `Problem.step_min` minutes from the beginning of the horizon; a day's clock, its zone and its change to
summer time are turned into steps where rows become values, so every step is equally long here.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from jobs.scheduling.errors import BadProblem

Span = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lag:
    """A wait in steps that depends on when it begins: one value for each hour of the horizon, or one for all.

    Past its last hour the last value holds.
    """

    by_hour: tuple[int, ...]

    @classmethod
    def of(cls, steps: int) -> "Lag":
        """Return a wait that is the same at every hour."""
        return cls(by_hour=(steps,))

    @property
    def constant(self) -> int | None:
        """Return its one value, None where it changes by the hour."""
        return self.by_hour[0] if len(set(self.by_hour)) == 1 else None

    def at(self, step: int, *, steps_per_hour: int) -> int:
        """Return the wait that begins at a step."""
        return self.by_hour[min(max(step, 0) // steps_per_hour, len(self.by_hour) - 1)]

    def beside(self, other: "Lag") -> list[tuple[int, int]]:
        """Return both values of every hour in which either changes."""
        long = max(len(self.by_hour), len(other.by_hour))
        return [(self.at(hour, steps_per_hour=1), other.at(hour, steps_per_hour=1)) for hour in range(long)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """What must lie between the end of one task and the start of another.

    `least` is the shortest wait (gel, cure). `most` is the longest (the recoat window); when it is broken, `breach` is what
    that costs and `remedy` what has to be done then. A window with `breach` 0 may not be broken at all.
    """

    before: str
    after: str
    least: Lag = Lag(by_hour=(0,))
    most: Lag | None = None
    breach: int = 0
    remedy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One job to be laid out: when it may begin, the day it is promised for, and how much that day weighs."""

    key: str
    label: str = ""
    opens: int = 0
    due: int | None = None
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece of work that hands are on without a break.

    `steps` is how long it takes with `people` at it. `holds` is for how long it holds its station from its start, where that
    goes on when hands are free already (a mold turns until the resin has set). `skill` names what each of them must be trained
    for. `session` names the material that is mixed, where a cup can serve several jobs back to back. `by_day` keeps it out of
    hours at home. `pinned` holds its start, `held_by` its people. What has `begun` is as it is: no rule is kept by its people's
    hours and training, nor between it and others that have begun.
    """

    key: str
    order: str
    steps: int
    label: str = ""
    people: int = 1
    skill: str = ""
    station: str | None = None
    holds: int | None = None
    session: str = ""
    by_day: bool = False
    opens: int = 0
    pinned: int | None = None
    held_by: tuple[str, ...] = ()
    begun: bool = False

    @property
    def station_steps(self) -> int:
        """How many steps it holds its station."""
        return self.steps if self.holds is None else self.holds

    def taking(self, steps: int) -> "Task":
        """Return the same task taking so long; its station is held for as long afterwards as before."""
        return replace(self, steps=steps, holds=None if self.holds is None else self.holds - self.steps + steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody with hours at the bench, hours in which a visit is possible but costs, and what they are trained for.

    `until` tells when training lapses: the step by which a task that wants it must be over; what is not in it does not lapse.
    """

    key: str
    label: str = ""
    hours: tuple[Span, ...] = ()
    visits: tuple[Span, ...] = ()
    skills: frozenset[str] = frozenset()
    until: Mapping[str, int] = field(default_factory=dict)

    def is_trained(self, task: Task, end: int = 0) -> bool:
        """Say whether they may do a task that ends then; of one that ends at once, whether they ever may."""
        return not task.skill or (task.skill in self.skills and end <= self.until.get(task.skill, end))

    def latest_end(self, task: Task, horizon: int) -> int:
        """Return the last step at which a task of theirs may end."""
        return min(horizon, self.until.get(task.skill, horizon)) if task.skill else horizon


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A place that only so many tasks can use at once."""

    key: str
    label: str = ""
    capacity: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What each thing costs that a schedule should have little of; the cost of a schedule is their sum.

    `late` counts for each step after the day promised times the job's own weight, `lead` for each step from a job's opening to
    its end, `span` for each step until the last job ends, `visit` for each task that somebody comes in for, `session` for each
    mixing, `moved` for each task that leaves its promised place, `uneven` for each whole hour of work that the busiest person
    has more than the least busy. In usual studios each outweighs those after it.
    """

    late: int = 20
    lead: int = 1
    span: int = 1
    visit: int = 120
    session: int = 12
    moved: int = 4
    uneven: int = 1


@dataclass(frozen=True, kw_only=True)
class Problem:
    """All open jobs together.

    `horizon` is the number of steps that are looked at. `before` are the starts of a plan that was promised already, by task:
    moving them costs.
    """

    orders: tuple[Order, ...]
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    people: tuple[Person, ...]
    stations: tuple[Station, ...] = ()
    horizon: int
    step_min: int = 5
    weights: Weights = field(default_factory=Weights)
    before: Mapping[str, int] = field(default_factory=dict)

    @property
    def steps_per_hour(self) -> int:
        """How many steps an hour has."""
        return 60 // self.step_min

    @cached_property
    def task(self) -> Mapping[str, Task]:
        """The tasks by key."""
        return {task.key: task for task in self.tasks}

    @cached_property
    def person(self) -> Mapping[str, Person]:
        """The people by key."""
        return {person.key: person for person in self.people}

    @cached_property
    def usual(self) -> Mapping[str, tuple[Span, ...]]:
        """Each person's hours, in order."""
        return {person.key: tuple(sorted(person.hours)) for person in self.people}

    @cached_property
    def order(self) -> Mapping[str, Order]:
        """The jobs by key."""
        return {order.key: order for order in self.orders}

    @cached_property
    def links_to(self) -> Mapping[str, tuple[Link, ...]]:
        """The links that end at a task."""
        found: dict[str, list[Link]] = {task.key: [] for task in self.tasks}
        for link in self.links:
            found[link.after].append(link)
        return {key: tuple(links) for key, links in found.items()}

    @cached_property
    def links_from(self) -> Mapping[str, tuple[Link, ...]]:
        """The links that begin at a task."""
        found: dict[str, list[Link]] = {task.key: [] for task in self.tasks}
        for link in self.links:
            found[link.before].append(link)
        return {key: tuple(links) for key, links in found.items()}

    @cached_property
    def comes_before(self) -> Mapping[str, frozenset[str]]:
        """All that each task waits for, at once or through others."""
        found: dict[str, frozenset[str]] = {}
        for task in in_order(self):
            direct = [link.before for link in self.links_to[task.key]]
            found[task.key] = frozenset(direct).union(*(found[key] for key in direct))
        return found

    @cached_property
    def tasks_of(self) -> Mapping[str, tuple[Task, ...]]:
        """The tasks of each job, in the order given."""
        return {order.key: tuple(task for task in self.tasks if task.order == order.key) for order in self.orders}


def in_order(problem: Problem) -> tuple[Task, ...]:
    """Return the tasks so that each stands after all that it waits for; refuses a ring."""
    waiting = {task.key: len(problem.links_to[task.key]) for task in problem.tasks}
    ready = [task.key for task in problem.tasks if not waiting[task.key]]
    done: list[Task] = []
    while ready:
        key = ready.pop(0)
        done.append(problem.task[key])
        for link in problem.links_from[key]:
            waiting[link.after] -= 1
            if not waiting[link.after]:
                ready.append(link.after)
    if len(done) != len(problem.tasks):
        raise BadProblem("Tasks wait for each other in a ring; one of them must come first.")
    return tuple(done)
