"""The search for days beside the thread that writes down what it finds."""

import threading
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from jobs.days.inputs import LaidOut
from jobs.scheduling.by_hand import insert, list_schedule
from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.layout import Layout
from jobs.scheduling.problem import Problem
from jobs.scheduling.replan import Moved, moved_between, replan
from jobs.scheduling.result import Entry, Schedule, ends_of, held_entries, schedule_of
from jobs.scheduling.ripples import with_same_hands
from jobs.scheduling.search import Effort, best_schedule

# What is left of the time for the news themselves, so that the whole answer comes within it.
_NEWS_SHARE = 0.9


@dataclass(frozen=True, kw_only=True)
class Found:
    """What came of a search: the problem it solved, the schedule, what moved, and each job's end before, in steps."""

    problem: Problem
    schedule: Schedule
    list_cost: int | None
    moved: tuple[Moved, ...] = ()
    ends_before: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Better:
    """A better answer, and after how many seconds it came."""

    schedule: Schedule
    seconds: float


class Looking:
    """One search in a thread of its own: it touches no rows, so that no lock of theirs ever waits for it.

    Parameters
    ----------
    laid : LaidOut
        What is laid out.
    seconds : float
        How long to look.
    news : bool
        Whether the timetable in use is to change as little as can be.

    Attributes
    ----------
    list_cost : int or None
        What a plain list costs, once that is known and where it finds a place for everything.
    """

    def __init__(self, laid: LaidOut, *, seconds: float, news: bool) -> None:
        self._laid, self._seconds, self._news = laid, seconds, news
        self._began = time.monotonic()
        self._stopped, self._lock = threading.Event(), threading.Lock()
        self._better: list[Better] = []
        self.list_cost: int | None = None
        self._found: Found | None = None
        self._error: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name="looking-for-days", daemon=True)
        self._thread.start()

    def is_over(self, within_s: float) -> bool:
        """Wait so long for the end; say whether it came."""
        self._thread.join(within_s)
        return not self._thread.is_alive()

    def stop(self) -> None:
        """Ask it to end with the best that it has."""
        self._stopped.set()

    def better(self) -> list[Better]:
        """Return the better answers that came since this was asked last."""
        with self._lock:
            new, self._better = self._better, []
        return new

    def found(self) -> Found:
        """Return what was found once it is over, or raise what ended it."""
        self._thread.join()
        if self._error is not None:
            raise self._error
        assert self._found is not None
        return self._found

    def _run(self) -> None:
        try:
            # What a plain list costs is known first, so that every answer on the way can be set beside it.
            self.list_cost = _list_cost(self._laid.fresh)
            self._found = self._after_news() if self._news else self._anew()
        except BaseException as error:
            self._error = error

    def _anew(self) -> Found:
        laid, problem = self._laid, self._laid.fresh
        found = best_schedule(
            problem, Effort(seconds=self._seconds), report=self._told, stop=self._stopped.is_set, start=_start(laid)
        )
        # Of two people who can do it alike, the one who was told so keeps it.
        entries = with_same_hands(problem, found.entries, laid.promised)
        schedule = schedule_of(problem, entries, bound=found.bound, reason=found.reason)
        moved = moved_between(problem, laid.news, schedule.entries, laid.promised)
        return Found(
            problem=problem, schedule=schedule, list_cost=self.list_cost, moved=self._known(moved),
            ends_before=ends_of(laid.problem, laid.promised),
        )  # fmt: skip

    def _after_news(self) -> Found:
        laid = self._laid
        promised = whole_promise(laid)
        effort = Effort(seconds=_NEWS_SHARE * self._seconds)
        made = replan(laid.problem, promised, laid.news, effort=effort, stop=self._stopped.is_set)
        return Found(
            problem=made.problem, schedule=made.schedule, list_cost=_list_cost(made.problem), moved=self._known(made.moved),
            ends_before=ends_of(laid.problem, laid.promised),
        )  # fmt: skip

    def _known(self, moved: Iterable[Moved]) -> tuple[Moved, ...]:
        """Leave out the jobs that the timetable in use does not have as they are planned now."""
        return tuple(one for one in moved if self._laid.problem.task[one.task].order not in self._laid.new)

    def _told(self, schedule: Schedule) -> None:
        # Called by whichever solver found it.
        with self._lock:
            self._better.append(Better(schedule=schedule, seconds=time.monotonic() - self._began))


def whole_promise(laid: LaidOut) -> dict[str, Entry]:
    """Return the timetable in use with what it does not have laid beside it, by hand, where the others leave room.

    Raises
    ------
    NobodyCan
        When something finds no place.
    """
    promised = dict(laid.promised)
    if not laid.new:
        return promised
    fresh = laid.fresh
    stands = held_entries(fresh)
    made = Layout(fresh, visit_worth=fresh.weights.visit, look_ahead=True, entries={**promised, **stands})
    for task in fresh.tasks:
        if task.pinned is not None and task.key not in made.entries:
            made.hold(task)
    days = {order.key: fresh.horizon if order.due is None else order.due for order in fresh.orders}
    insert(fresh, made, sorted(laid.new, key=lambda key: (days[key], key)))
    return {**{key: entry for key, entry in made.entries.items() if fresh.task[key].order in laid.new}, **promised}


def _start(laid: LaidOut) -> Mapping[str, Entry] | None:
    """Return the timetable in use as a schedule to begin with; the search leaves it where it breaks a rule."""
    if laid.new or not laid.promised:
        return None
    return {**laid.promised, **held_entries(laid.fresh)}


def _list_cost(problem: Problem) -> int | None:
    """Return what a plain list costs; None where it finds no place for something that a search may place."""
    try:
        return list_schedule(problem).cost.total
    except NobodyCan:
        return None
