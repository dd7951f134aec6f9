"""Placing one task after another by hand: who and what is free when, and looking ahead so that no window closes unseen."""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.problem import Link, Person, Problem, Span, Task
from jobs.scheduling.result import Entry

NEVER = 1 << 60
# So often a chain of windows is pushed later before one of them is given up.
_PUSHES = 40


class Free:
    """The stretches in which a person or a place is free, in order and apart from each other."""

    def __init__(self, spans: tuple[Span, ...]) -> None:
        self.spans = sorted(spans)
        self._closes = [closes for _, closes in self.spans]

    def next(self, ready: int, steps: int) -> int:
        """Return the first step from `ready` on at which so many steps are free together, NEVER if there is none."""
        place = bisect_right(self._closes, ready + steps - 1)
        for opens, closes in self.spans[place:]:
            start = max(opens, ready)
            if start + steps <= closes:
                return start
        return NEVER

    def take(self, start: int, end: int) -> None:
        """Take a stretch away."""
        place = bisect_right(self._closes, start)
        while place < len(self.spans) and self.spans[place][0] < end:
            opens, closes = self.spans[place]
            left = [span for span in ((opens, min(closes, start)), (max(opens, end), closes)) if span[0] < span[1]]
            self.spans[place : place + 1] = left
            self._closes[place : place + 1] = [span[1] for span in left]
            place += len(left)


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a task could go."""

    start: int
    people: tuple[str, ...]


class Layout:
    """A schedule in the making.

    Parameters
    ----------
    problem : Problem
        Everything.
    visit_worth : int, optional
        How many steps earlier a task must get for somebody to come in outside of hours; nobody comes if not given.
    look_ahead : bool
        Whether a task waits until those behind it can follow within their windows.
    entries : mapping of task key to Entry, optional
        What stands already.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        visit_worth: int | None = None,
        look_ahead: bool = False,
        entries: Mapping[str, Entry] | None = None,
    ) -> None:
        self.problem, self.visit_worth, self.look_ahead = problem, visit_worth, look_ahead
        self.entries: dict[str, Entry] = {}
        self._usual = {person.key: Free(person.hours) for person in problem.people}
        self._extra = {person.key: Free(person.visits) for person in problem.people}
        # What holds a station may do so beyond the last day.
        ever = problem.horizon + max((task.station_steps for task in problem.tasks), default=0)
        self._slots = {station.key: [Free(((0, ever),)) for _ in range(station.capacity)] for station in problem.stations}
        self._load = {person.key: 0 for person in problem.people}
        for entry in sorted((entries or {}).values(), key=lambda one: one.start):
            self._put(problem.task[entry.task], entry.start, entry.people)

    def hold(self, task: Task) -> None:
        """Put a pinned task where it is pinned."""
        start = task.pinned or 0
        people = task.held_by
        if not people:
            hands = sorted(able(self.problem, task), key=lambda one: self._at(one, start, task))
            people = tuple(person.key for person in hands[: task.people])
        self._put(task, start, people)

    def lay(self, task: Task) -> None:
        """Put a task, and with `look_ahead` those that hang on it by windows, as early as they go."""
        if task.key in self.entries:
            return
        chain = self._chain(task)
        spots = self._follow(chain)
        for one, spot in zip(chain, spots, strict=True):
            self._put(one, spot.start, spot.people)

    def ready_at(self, task: Task) -> int:
        """Return the first step that all it waits for allows."""
        ready = max(task.opens, self.problem.order[task.order].opens)
        for link in self.problem.links_to[task.key]:
            if link.before in self.entries:
                ready = max(ready, self._after(link, self.entries[link.before].end))
        return ready

    def _at(self, person: Person, start: int, task: Task) -> int:
        """Rank people for a pinned task: there in their hours, there for a visit, elsewhere, no longer trained."""
        if not person.is_trained(task, start + task.steps):
            return 3
        if self._usual[person.key].next(start, task.steps) == start:
            return 0
        return 1 if self._extra[person.key].next(start, task.steps) == start else 2

    def _after(self, link: Link, end: int) -> int:
        return end + link.least.at(end, steps_per_hour=self.problem.steps_per_hour)

    def _chain(self, task: Task) -> list[Task]:
        """Return the task and what follows it window by window, as far as nothing else is waited for."""
        chain = [task]
        while self.look_ahead:
            following = [link for link in self.problem.links_from[chain[-1].key] if link.most is not None]
            if len(following) != 1:
                break
            after = self.problem.task[following[0].after]
            others = [link.before for link in self.problem.links_to[after.key] if link.before != chain[-1].key]
            if after.key in self.entries or any(key not in self.entries for key in others):
                break
            chain.append(after)
        return chain

    def _follow(self, chain: list[Task]) -> list[_Spot]:
        """Place a chain so that its windows are kept; one that cannot be, or takes too many pushes, is given up."""
        given_up: set[int] = set()
        while True:
            found = self._pushed(chain, given_up)
            if not isinstance(found, int):
                return found
            given_up.add(found)

    def _pushed(self, chain: list[Task], given_up: set[int]) -> list[_Spot] | int:
        """Place a chain, pushing tasks later until the windows after them are kept; or return the window to give up."""
        least = [self.ready_at(task) for task in chain]
        spots: list[_Spot] = []
        pushes, last = 0, 0
        while len(spots) < len(chain):
            place = len(spots)
            task, ready = chain[place], least[place]
            link = self._between(chain[place - 1], task) if place else None
            if link is not None:
                ready = max(ready, self._after(link, spots[-1].start + chain[place - 1].steps))
            spot = self._spot(task, ready)
            if link is not None and place not in given_up:
                opens = self._opens(link, spots[-1].start + chain[place - 1].steps, spot)
                if opens is not None:
                    if pushes == _PUSHES:
                        return place
                    pushes, last = pushes + 1, place
                    least[place - 1] = max(opens - chain[place - 1].steps, least[place - 1] + 1)
                    spots.pop()
                    continue
            if spot is None:
                if not last:
                    raise self._none(task)
                return last
            spots.append(spot)
        return spots

    def _opens(self, link: Link, end: int, spot: _Spot | None) -> int | None:
        """Return when the task before should end for the next to be within its window; None when it is already."""
        assert link.most is not None
        most = link.most.at(end, steps_per_hour=self.problem.steps_per_hour)
        if spot is not None and spot.start <= end + most:
            return None
        return end + 1 if spot is None else max(spot.start - most, end + 1)

    def _between(self, before: Task, after: Task) -> Link:
        return next(link for link in self.problem.links_to[after.key] if link.before == before.key)

    def _none(self, task: Task) -> NobodyCan:
        return NobodyCan(
            f"“{task.label or task.key}” finds no time: nobody who can do it has {task.steps * self.problem.step_min} min "
            "together within the days that were looked at. Enter longer hours, train somebody, or divide the work."
        )

    def _put(self, task: Task, start: int, people: tuple[str, ...]) -> None:
        end = start + task.steps
        self.entries[task.key] = Entry(task=task.key, start=start, end=end, people=tuple(sorted(people)))
        for key in people:
            self._usual[key].take(start, end)
            self._extra[key].take(start, end)
            self._load[key] += task.steps
        if task.station is not None:
            slots = self._slots[task.station]
            free = next((slot for slot in slots if slot.next(start, task.station_steps) == start), slots[0])
            free.take(start, start + task.station_steps)

    def _spot(self, task: Task, ready: int) -> _Spot | None:
        hands = able(self.problem, task)
        usual = self._first(task, hands, ready, visits=False)
        if self.visit_worth is None or task.by_day:
            return usual
        early = self._first(task, hands, ready, visits=True)
        if early is not None and (usual is None or usual.start - early.start >= self.visit_worth):
            return early
        return usual

    def _first(self, task: Task, hands: list[Person], ready: int, *, visits: bool) -> _Spot | None:
        moment, steps = ready, task.steps
        slots = self._slots[task.station] if task.station is not None else []
        while moment + steps <= self.problem.horizon:
            starts = {person.key: self._next(person, task, moment, visits=visits) for person in hands}
            latest = sorted(starts.values())[task.people - 1]
            if slots:
                latest = max(latest, min(slot.next(max(latest, moment), task.station_steps) for slot in slots))
            if latest >= NEVER or latest + steps > self.problem.horizon:
                return None
            free = [key for key, start in starts.items() if start == latest]
            if latest == moment and len(free) >= task.people:
                return _Spot(moment, tuple(sorted(free, key=lambda key: self._load[key])[: task.people]))
            moment = latest
        return None

    def _next(self, person: Person, task: Task, ready: int, *, visits: bool) -> int:
        start = self._usual[person.key].next(ready, task.steps)
        if visits:
            start = min(start, self._extra[person.key].next(ready, task.steps))
        return start if person.is_trained(task, start + task.steps) else NEVER


def able(problem: Problem, task: Task) -> list[Person]:
    """Return the people who may do a task."""
    if task.held_by:
        return [problem.person[key] for key in task.held_by]
    found = [person for person in problem.people if person.is_trained(task)]
    if len(found) < task.people:
        what = f" trained for {task.skill}" if task.skill else ""
        raise NobodyCan(f"“{task.label or task.key}” wants {task.people} people{what}; enter them under Studio, People.")
    return found
