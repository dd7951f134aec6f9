"""At which steps a task can begin, by who is there and what else stands already."""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from jobs.scheduling.layout import able
from jobs.scheduling.problem import Person, Problem, Span, Task
from jobs.scheduling.result import Entry, within


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """One person who could do a task: first steps within their hours, and those for which they would come in."""

    key: str
    usual: tuple[Span, ...]
    extra: tuple[Span, ...]

    def among(self, starts: tuple[Span, ...]) -> "Hand":
        """Return the same person for those of some first steps alone."""
        return Hand(key=self.key, usual=both(self.usual, starts), extra=both(self.extra, starts))


class Room:
    """What tasks that stand already leave free.

    Parameters
    ----------
    problem : Problem
        Everything.
    fixed : mapping of task key to Entry
        The tasks that stand.
    """

    def __init__(self, problem: Problem, fixed: Mapping[str, Entry]) -> None:
        self.problem, self.fixed = problem, fixed
        busy: dict[str, list[Span]] = {person.key: [] for person in problem.people}
        used: dict[str, list[Span]] = {station.key: [] for station in problem.stations}
        for key, entry in fixed.items():
            for person in entry.people:
                busy[person].append((entry.start, entry.end))
            task = problem.task[key]
            if task.station is not None:
                used[task.station].append((entry.start, entry.start + task.station_steps))
        self.busy = {key: sorted(spans) for key, spans in busy.items()}
        full = {station.key: _full(used[station.key], station.capacity) for station in problem.stations}
        self.used = used
        self._hours = {person.key: without(sorted(person.hours), self.busy[person.key]) for person in problem.people}
        self._visits = {person.key: without(sorted(person.visits), self.busy[person.key]) for person in problem.people}
        # What holds a station may do so beyond the last day.
        ever = problem.horizon + max((task.station_steps for task in problem.tasks), default=0)
        self._places = {key: without(((0, ever),), spans) for key, spans in full.items()}

    def hands(self, task: Task, first: int, last: int) -> list[Hand]:
        """Return who could do a task and begin it from `first` to `last`."""
        return [self._hand(person, task, first, last) for person in able(self.problem, task)]

    def reach(self, task: Task) -> Span:
        """Return the first and the last step at which a task can begin by its opening, the horizon and the tasks that stand."""
        problem = self.problem
        if task.pinned is not None:
            return task.pinned, task.pinned
        first = max(task.opens, problem.order[task.order].opens)
        last = problem.horizon - task.steps
        for link in problem.links_to[task.key]:
            if link.before in self.fixed:
                end = self.fixed[link.before].end
                first = max(first, end + link.least.at(end, steps_per_hour=problem.steps_per_hour))
        for link in problem.links_from[task.key]:
            if link.after in self.fixed:
                last = min(last, self.fixed[link.after].start - min(link.least.by_hour) - task.steps)
        return first, last

    def _hand(self, person: Person, task: Task, first: int, last: int) -> Hand:
        if task.pinned is not None:
            spans: tuple[Span, ...] = ((task.pinned, task.pinned),)
            end = task.pinned + task.steps
            busy = any(opens < end and task.pinned < closes for opens, closes in self.busy[person.key])
            if not task.begun and (busy or not person.is_trained(task, end)):
                spans = ()
            usual = within(person.hours, task.pinned, end)
            return Hand(key=person.key, usual=spans if usual else (), extra=() if usual else spans)
        last = min(last, person.latest_end(task, self.problem.horizon) - task.steps)
        usual_spans = starts_in(self._hours[person.key], task.steps, first, last)
        extra_spans = () if task.by_day else starts_in(self._visits[person.key], task.steps, first, last)
        if task.station is not None:
            there = starts_in(self._places[task.station], task.station_steps, first, last)
            usual_spans, extra_spans = both(usual_spans, there), both(extra_spans, there)
        return Hand(key=person.key, usual=usual_spans, extra=extra_spans)


def starts_in(spans: Sequence[Span], steps: int, first: int, last: int) -> tuple[Span, ...]:
    """Return the steps at which a task can begin so that it ends within one of some spans, which are in order."""
    found: list[Span] = []
    for place in range(max(bisect_left(spans, (first, 0)) - 1, 0), len(spans)):
        opens, closes = spans[place]
        if opens > last:
            break
        begin, end = max(opens, first), min(closes - steps, last)
        if begin <= end:
            found.append((begin, end))
    return tuple(found)


def without(spans: Iterable[Span], taken: list[Span]) -> tuple[Span, ...]:
    """Return what is left of stretches when others are taken from them; all in order."""
    left: list[Span] = []
    for opens, closes in spans:
        begin = opens
        for start, end in taken:
            if end <= begin:
                continue
            if start >= closes:
                break
            if start > begin:
                left.append((begin, start))
            begin = end
        if begin < closes:
            left.append((begin, closes))
    return tuple(left)


def both(ones: tuple[Span, ...], others: tuple[Span, ...]) -> tuple[Span, ...]:
    """Return the steps that lie in both, ends included; each in order and apart."""
    found: list[Span] = []
    place = 0
    for opens, closes in ones:
        while place < len(others) and others[place][1] < opens:
            place += 1
        for start, end in islice(others, place, None):
            if start > closes:
                break
            found.append((max(opens, start), min(closes, end)))
    return tuple(found)


def joined(spans: Iterable[Span]) -> list[Span]:
    """Return stretches with those that overlap or touch made one, in order."""
    found: list[Span] = []
    for opens, closes in sorted(spans):
        if found and opens <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], closes))
        else:
            found.append((opens, closes))
    return found


def levels(spans: list[Span], capacity: int) -> list[list[Span]]:
    """Return when at least one, two and so on of some stretches are held, up to what a place holds."""
    return [_full(spans, level) for level in range(1, capacity + 1)] if spans else []


def _full(used: list[Span], capacity: int) -> list[Span]:
    """Return the stretches in which a place has no room left."""
    edges = sorted([(start, 1) for start, _ in used] + [(end, -1) for _, end in used])
    found: list[Span] = []
    there, since = 0, 0
    for moment, change in edges:
        if there >= capacity and moment > since:
            found.append((since, moment))
        there, since = there + change, moment
    return found
