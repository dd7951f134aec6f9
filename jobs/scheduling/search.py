"""Searching for a better schedule: from those made by hand, by deciding the whole or a part of it anew."""

import math
import random
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from threading import Lock
from typing import TYPE_CHECKING, Any

from jobs.scheduling.bounds import LOADED, PRICED, Bound, load_floor, sessions_cost, shared_floor
from jobs.scheduling.by_hand import list_schedule, reinserted, starts_by_hand
from jobs.scheduling.checking import check_problem
from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.model import Model
from jobs.scheduling.model_sessions import sessions_floor
from jobs.scheduling.neighbours import jobs_together, part_to_free
from jobs.scheduling.problem import Problem
from jobs.scheduling.result import Entry, Schedule, faults_of, schedule_of
from jobs.scheduling.solver import SOLVED, race, solve

if TYPE_CHECKING:
    from jobs.scheduling.prices import Priced, Prices

# Problems up to this many tasks are decided whole; larger ones in parts.
WHOLE_TASKS = 90
TINY_TASKS, FEW_TASKS = 30, 60
# Shares of the time for a good schedule before a proof is tried, and the longest that may take (s); and how near to the bound
# more tasks must be for a proof to be tried.
_FEW_FIRST, _MORE_FIRST, _NEAR = (0.06, 0.3), (0.3, 1.5), 0.03
_PART_EFFORT = (0.05, 0.2)
_STARTS = 12
# Rounds in search of prices, and the share of the time that a small problem spends on them.
_ROUNDS, _PRICES = 150, 0.1
_LEAST_FOR_PRICES_S = 1.0
# Shares of the time: schedules by hand, and the bound at the end.
_BY_HAND, _BOUND = 0.06, 0.15
_PROVED = "Proved: no schedule costs less."
_OPEN = "All jobs were looked at together, and time ran out before the proof was closed."
_CORE_PROVED = (
    "Days, lead times, visits and windows are proved as good as can be together; what joining mixing sessions could still save "
    "is not known."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How long to look (s), how many solvers at once, and the seed that makes a run repeatable as far as time allows."""

    seconds: float = 30.0
    workers: int = 2
    seed: int = 1


Report = Callable[[Schedule], None]
Stop = Callable[[], bool]


def best_schedule(
    problem: Problem,
    effort: Effort | None = None,
    *,
    report: Report | None = None,
    stop: Stop | None = None,
    start: Mapping[str, Entry] | None = None,
) -> Schedule:
    """Find a schedule of low cost.

    Parameters
    ----------
    problem : Problem
        All open jobs.
    effort : Effort, optional
        How long to look.
    report : callable, optional
        Told each better schedule as it is found; the first is the one made by hand, where it breaks no rule.
    stop : callable, optional
        Asked often; the search ends when it says yes.
    start : mapping of task key to Entry, optional
        A schedule to begin with, where it breaks no rule.

    Returns
    -------
    Schedule
        Breaks no rule and never costs more than the list schedule, where that breaks none; with a bound and its reason.

    Raises
    ------
    BadProblem, NobodyCan
        When the problem contradicts itself; when nobody can do a task, or nothing keeps all that may not be broken.
    """
    # Loading the solver takes longer than small problems do, and only the first time: it is done before the time runs.
    from ortools.sat.python import cp_model  # noqa: F401

    from jobs.scheduling import prices  # noqa: F401

    check_problem(problem)
    return _Search(problem, effort or Effort(), report, stop).run(start)


class _Search:
    """One run: the best so far, the bound, and the time that is left."""

    def __init__(self, problem: Problem, effort: Effort, report: Report | None, stop: Stop | None) -> None:
        self.problem, self.effort, self.report, self._stop = problem, effort, report, stop
        self.began = time.monotonic()
        self.ends_at = self.began + effort.seconds
        self.random = random.Random(effort.seed)  # noqa: S311 - chance for a search, no secret
        self._lock = Lock()
        self.best: Schedule | None = None
        self.bound: Bound | None = None

    def run(self, start: Mapping[str, Entry] | None) -> Schedule:
        if not self.problem.tasks:
            return schedule_of(self.problem, {}, bound=0, reason=_PROVED)
        self._by_hand(start)
        small = len(self.problem.tasks) <= WHOLE_TASKS
        if self.best is None:
            self._whole(None, until=self.ends_at)
        if self.best is None:
            raise NobodyCan(
                "No schedule keeps all that may not be broken: pinned entries, windows that may not be missed, and hours. "
                "Unpin an entry, or enter more hours."
            )
        if small and len(self.problem.tasks) > TINY_TASKS:
            # A good schedule first: proofs are shorter with less to spare.
            share, most = _FEW_FIRST if len(self.problem.tasks) <= FEW_TASKS else _MORE_FIRST
            self._parts(until=self.began + min(share * self.effort.seconds, most))
        if small:
            prices = self._prices(time.monotonic() + _PRICES * self.effort.seconds)
            if len(self.problem.tasks) <= FEW_TASKS or self._gap() <= _NEAR:
                self._whole(prices, until=self.began + (1 - _BOUND) * self.effort.seconds)
        if not self._is_proved():
            self._parts(until=self.began + (1 - _BOUND) * self.effort.seconds)
            self._last_bound()
        bound = self.bound or Bound(value=0, reason="There was no time to look for a bound.")
        value = min(bound.value, self.best.cost.total)
        reason = _PROVED if value >= self.best.cost.total else bound.reason
        return schedule_of(self.problem, self.best.entries, bound=value, reason=reason)

    def _take(self, entries: Mapping[str, Entry]) -> bool:
        """Keep a schedule if it is better than the best and breaks no rule; solvers beside each other hand theirs on."""
        with self._lock:
            return self._taken(entries)

    def _taken(self, entries: Mapping[str, Entry]) -> bool:
        found = schedule_of(self.problem, entries)
        if self.best is not None and found.cost.total >= self.best.cost.total:
            return False
        if faults_of(self.problem, entries):
            return False
        self.best = found
        if self.report is not None:
            self.report(found)
        return True

    def _is_over(self, until: float | None = None) -> bool:
        return time.monotonic() >= (until or self.ends_at) or (self._stop is not None and self._stop())

    def _is_proved(self) -> bool:
        return self.best is not None and self.bound is not None and self.bound.value >= self.best.cost.total

    def _by_hand(self, start: Mapping[str, Entry] | None) -> None:
        if start is not None and not faults_of(self.problem, start):
            self._take(start)
        self._take(list_schedule(self.problem).entries)
        until = self.began + _BY_HAND * self.effort.seconds
        for entries in starts_by_hand(self.problem, self.random, _STARTS):
            self._take(entries)
            if self._is_over(until):
                return
        for _ in range(60 if len(self.problem.orders) > 1 else 0):
            if self._is_over(until):
                return
            self._reinsert()

    def _reinsert(self) -> None:
        """Take a few jobs out of the best and put them back in another order."""
        if self.best is None:
            return
        weights, base = self.problem.weights, self.best.entries
        orders = jobs_together(self.problem, base, self.random.randint(1, 4), self.random)
        worth = self.random.choice(
            (None, weights.visit, weights.visit // 2, weights.visit // 4, weights.visit // max(weights.late, 1))
        )
        entries = reinserted(self.problem, base, orders, visit_worth=worth)
        if entries is not None:
            self._take(entries)

    def _prices(self, until: float) -> "Prices":
        """Find prices for people's and stations' time that tell what every schedule costs at least."""
        from jobs.scheduling.prices import Prices

        assert self.best is not None
        prices = Prices(self.problem, most=self.best.cost.total - self.problem.weights.session * sessions_floor(self.problem))
        prices.rise(until=until, rounds=_ROUNDS, stop=self._stop)
        least = math.ceil(prices.priced(most=prices.most).bound - 1e-3)
        self._bounded(least + self.problem.weights.session * sessions_floor(self.problem), PRICED)
        return prices

    def _bounded(self, value: int, reason: str) -> None:
        if self.bound is None or value > self.bound.value:
            self.bound = Bound(value=value, reason=reason)

    def _gap(self) -> float:
        if self.best is None or self.bound is None:
            return 1.0
        return 1.0 - self.bound.value / max(self.best.cost.total, 1)

    def _whole(self, prices: "Prices | None", *, until: float) -> None:
        """Decide everything at once: first all but sessions and evenness, then, with what that proved, those too."""
        whole = self.problem
        core = replace(whole, weights=replace(whole.weights, session=0, uneven=0))
        least = 0
        for problem, share in ((core, 0.5), (whole, 1.0)):
            left = until - time.monotonic()
            if left <= 0 or self._is_proved() or (self._stop is not None and self._stop()):
                return
            if problem is core and len(whole.orders) == 1:
                continue
            priced, sessions = self._priced(problem, prices)
            if priced is not None:
                least = max(least, math.ceil(priced.bound - 1e-3))
                self._bounded(least + sessions_cost(whole, sessions), PRICED)
            model = Model(problem, priced=priced, core_floor=least or None)
            if self.best is not None:
                model.hint(self.best.entries)
            seconds, told = left * share, self._told(model)
            # The solver's own workers look for better schedules too; where a proof is near, only proofs are wanted.
            if priced is not None:
                workers = 1 if len(problem.orders) == 1 else self.effort.workers
                status, solver, best = race(model, seconds=seconds, workers=workers, told=told, stop=self._stop)
            else:
                status, solver = solve(model, seconds=seconds, workers=self.effort.workers, told=told, stop=self._stop)
                best = solver.best_objective_bound
            if status in SOLVED:
                self._take(model.entries(solver.value))
            if status == "INFEASIBLE":
                return
            proved = math.ceil(best - 1e-6)
            if problem is core:
                least = max(least, proved)
                proved = least + sessions_cost(whole, sessions_floor(whole))
            self._bounded(proved, _CORE_PROVED if status == "OPTIMAL" and problem is core else _OPEN)

    def _priced(self, problem: Problem, prices: "Prices | None") -> "tuple[Priced | None, int]":
        """Return what each start adds, seen from the best schedule so far, and the sessions that there are at least then."""
        fewest = sessions_floor(problem)
        if prices is None or self.best is None:
            return None, fewest
        total = schedule_of(problem, self.best.entries).cost.total
        priced = prices.priced(most=total - problem.weights.session * fewest)
        if problem.weights.session:
            # Fewer joined sessions leave less to spare, and that fewer starts.
            fewest = sessions_floor(problem, priced)
            priced = prices.priced(most=total - problem.weights.session * fewest)
        return priced, fewest

    def _told(self, model: Model) -> Callable[[Any], bool]:
        """Hand each solution on as it is found; say whether to stop."""

        def told(value: Any) -> bool:
            self._take(model.entries(value))
            return self._is_over()

        return told

    def _parts(self, *, until: float) -> None:
        """Free some tasks at a time, several solvers beside each other, and keep what is better."""
        with ThreadPoolExecutor(self.effort.workers) as pool:
            while not self._is_over(until):
                assert self.best is not None
                base = self.best.entries
                parts = [part_to_free(self.problem, base, self.random) for _ in range(self.effort.workers)]
                running = [
                    pool.submit(self._better, base, part, self.random.randrange(1 << 30), self.random.uniform(*_PART_EFFORT))
                    for part in parts
                ]
                while len(self.problem.orders) > 1 and not all(one.done() for one in running):
                    self._reinsert()
                for one in running:
                    entries = one.result()
                    if entries is not None:
                        self._merge(base, entries)

    def _merge(self, base: Mapping[str, Entry], entries: Mapping[str, Entry]) -> None:
        """Take what one part changed over into the best, which another part may have changed meanwhile."""
        assert self.best is not None
        changed = {key: entry for key, entry in entries.items() if entry != base[key]}
        if changed and not self._take({**self.best.entries, **changed}):
            self._take(entries)

    def _better(self, base: Mapping[str, Entry], part: set[str], seed: int, effort: float) -> dict[str, Entry] | None:
        day = 24 * self.problem.steps_per_hour
        model = Model(self.problem, fixed=base, free=part, near=day * (2 + seed % 6))
        model.hint(base)
        status, solver = solve(model, effort=effort, seconds=max(self.ends_at - time.monotonic(), 0.01), seed=seed)
        return model.entries(solver.value) if status in SOLVED else None

    def _last_bound(self) -> None:
        """Bound what is too large to be decided whole: by prices, or by the work against the hours."""
        if self.best is None or self._is_proved():
            return
        # Prices of large problems take most of a second to begin with; what is planned anew in two does without.
        if len(self.problem.tasks) > WHOLE_TASKS and self.ends_at - time.monotonic() >= _LEAST_FOR_PRICES_S:
            self._prices(self.ends_at)
        self._bounded(load_floor(self.problem) + shared_floor(self.problem), LOADED)
