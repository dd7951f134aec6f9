"""Why a job cannot be done by its day: the fewest rules that contradict each other, in a sentence, and what each remedy does."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from jobs.scheduling.bounds import part_of
from jobs.scheduling.domains import Room
from jobs.scheduling.problem import Link, Problem, Task
from jobs.scheduling.remedies import Remedy, remedies_for
from jobs.scheduling.result import Entry

Clock = Callable[[int], str]
_SECONDS = 2.0


class Rule(StrEnum):
    """A kind of rule that a schedule must keep."""

    DAY = "day"
    WAIT = "wait"
    WINDOW = "window"
    HOURS = "hours"
    OTHERS = "others"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One rule of those that contradict each other: of which kind, and of which task (the later one of a wait or a window)."""

    rule: Rule
    task: str = ""
    before: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """Why a job's day cannot be kept: a sentence, the fewest rules that contradict each other, remedies with effects."""

    order: str
    sentence: str
    causes: tuple[Cause, ...]
    remedies: tuple[Remedy, ...]


def explain(problem: Problem, entries: Mapping[str, Entry], order: str, *, clock: Clock) -> Explanation | None:
    """Say why a job cannot be done by its day with every window kept.

    Parameters
    ----------
    problem : Problem
        All open jobs.
    entries : mapping of task key to Entry
        The present plan; the other jobs stay where it has them.
    order : str
        The job's key.
    clock : callable
        Writes a step as a day and time.

    Returns
    -------
    Explanation or None
        None where the job has no day, or where its day can be kept.
    """
    due = problem.order[order].due
    if due is None:
        return None
    part = part_of(problem, {order})
    others = {key: entry for key, entry in entries.items() if problem.task[key].order != order}
    alone = _Rules(part, problem, {})
    causes = alone.contradiction(alone.causes)
    rules = alone
    if causes is None:
        rules = _Rules(part, problem, others)
        causes = rules.contradiction(rules.causes)
    if causes is None:
        return None
    return Explanation(
        order=order,
        sentence=_sentence(problem, rules, causes, due, clock),
        causes=tuple(causes),
        remedies=remedies_for(problem, entries, order, clock=clock),
    )


class _Rules:
    """One job under rules that can be left out one by one."""

    def __init__(self, part: Problem, problem: Problem, others: Mapping[str, Entry]) -> None:
        self.part = part
        self._empty = Room(problem, {})
        self._beside = Room(problem, others) if others else None
        self.causes = self._every()

    def contradiction(self, causes: Collection[Cause]) -> list[Cause] | None:
        """Return the fewest of some rules that contradict each other, by leaving out one after the other; None if none do."""
        found = self._core(causes)
        if found is None:
            return None
        for cause in list(found):
            fewer = self._core([one for one in found if one != cause])
            if fewer is not None:
                found = fewer
        return found

    def last_end(self, causes: Collection[Cause], task: str, *, earliest: bool = False) -> int | None:
        """Return the latest (or earliest) end of a task under some rules."""
        model, starts, _ = self._model(causes, assume=False)
        end = starts[task] + self.part.task[task].steps
        if earliest:
            model.minimize(end)
        else:
            model.maximize(end)
        status, solver = self._solve(model)
        return int(solver.value(end)) if status in ("OPTIMAL", "FEASIBLE") else None

    def earliest_done(self, causes: Collection[Cause]) -> int | None:
        """Return the earliest end of the job under some rules."""
        model, starts, _ = self._model(causes, assume=False)
        done = model.new_int_var(0, self.part.horizon, "done")
        for task in self.part.tasks:
            model.add(done >= starts[task.key] + task.steps)
        model.minimize(done)
        status, solver = self._solve(model)
        return int(solver.value(done)) if status in ("OPTIMAL", "FEASIBLE") else None

    def _every(self) -> list[Cause]:
        found = [Cause(rule=Rule.DAY)]
        for link in self.part.links:
            found.append(Cause(rule=Rule.WAIT, task=link.after, before=link.before))
            if link.most is not None:
                found.append(Cause(rule=Rule.WINDOW, task=link.after, before=link.before))
        for task in self.part.tasks:
            found.append(Cause(rule=Rule.HOURS, task=task.key))
            if self._beside is not None:
                found.append(Cause(rule=Rule.OTHERS, task=task.key))
        return found

    def _core(self, causes: Collection[Cause]) -> list[Cause] | None:
        model, _, literals = self._model(causes, assume=True)
        model.add_assumptions(list(literals.values()))
        status, solver = self._solve(model)
        if status != "INFEASIBLE":
            return None
        wanted = set(solver.sufficient_assumptions_for_infeasibility())
        return [cause for cause, literal in literals.items() if literal.index in wanted]

    def _solve(self, model: Any) -> tuple[str, Any]:
        from ortools.sat.python import cp_model

        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_time_in_seconds = _SECONDS
        return solver.status_name(solver.solve(model)), solver

    def _model(self, causes: Collection[Cause], *, assume: bool) -> tuple[Any, dict[str, Any], dict[Cause, Any]]:
        from ortools.sat.python import cp_model

        model, part = cp_model.CpModel(), self.part
        literals = {cause: model.new_bool_var(f"{cause.rule}_{cause.before}_{cause.task}") for cause in causes}
        if not assume:
            for literal in literals.values():
                model.add(literal == 1)
        starts: dict[str, Any] = {}
        for task in part.tasks:
            starts[task.key] = self._start(model, task, literals)
        for link in part.links:
            self._link(model, link, starts, literals)
        day = literals.get(Cause(rule=Rule.DAY))
        if day is not None:
            for task in part.tasks:
                model.add(starts[task.key] + task.steps <= (part.order[task.order].due or 0)).only_enforce_if(day)
        return model, starts, literals

    def _start(self, model: Any, task: Task, literals: Mapping[Cause, Any]) -> Any:
        from ortools.sat.python import cp_model

        first, last = self._empty.reach(task)
        start = model.new_int_var(first, last, f"start_{task.key}")
        for rule, room in ((Rule.HOURS, self._empty), (Rule.OTHERS, self._beside)):
            literal = literals.get(Cause(rule=rule, task=task.key))
            if literal is None or room is None:
                continue
            present = []
            for hand in room.hands(task, first, last):
                there = model.new_bool_var(f"{rule}_{task.key}_{hand.key}")
                spans = [list(span) for span in (*hand.usual, *hand.extra)]
                model.add_linear_expression_in_domain(start, cp_model.Domain.from_intervals(spans)).only_enforce_if(there)
                present.append(there)
            model.add(sum(present) >= task.people).only_enforce_if(literal)
        return start

    def _link(self, model: Any, link: Link, starts: Mapping[str, Any], literals: Mapping[Cause, Any]) -> None:
        # Where a wait changes by the hour, its shortest and its longest over the horizon: what contradicts even so, does.
        before = self.part.task[link.before]
        end = starts[link.before] + before.steps
        wait = literals.get(Cause(rule=Rule.WAIT, task=link.after, before=link.before))
        if wait is not None:
            model.add(starts[link.after] >= end + min(link.least.by_hour)).only_enforce_if(wait)
        window = literals.get(Cause(rule=Rule.WINDOW, task=link.after, before=link.before))
        if window is not None and link.most is not None:
            model.add(starts[link.after] <= end + max(link.most.by_hour)).only_enforce_if(window)


def _sentence(problem: Problem, rules: _Rules, causes: list[Cause], due: int, clock: Clock) -> str:
    """Write what contradicts: the window that closes unseen where there is one, else the earliest end."""
    name = problem.order[rules.part.orders[0].key].label or rules.part.orders[0].key
    blocked = {cause.task: cause.rule for cause in causes if cause.rule in (Rule.HOURS, Rule.OTHERS)}
    for cause in causes:
        if cause.rule is not Rule.WINDOW or cause.task not in blocked:
            continue
        kept = [one for one in causes if one != cause and one.task != cause.task]
        end = rules.last_end(kept, cause.before)
        link = next(one for one in rules.part.links_to[cause.task] if one.before == cause.before)
        if end is None or link.most is None:
            continue
        closes = end + max(link.most.by_hour)
        why = "nobody works then" if blocked[cause.task] is Rule.HOURS else "everybody who could is at other jobs"
        return (
            f"For “{name}” to be done by {clock(due)}, the window after “{_name(problem, cause.before)}” closes "
            f"{clock(closes)} at the latest, and {why} to begin “{_name(problem, cause.task)}”."
        )
    without_day = [cause for cause in rules.causes if cause.rule is not Rule.DAY]
    done = rules.earliest_done(without_day)
    if done is None:
        return f"The windows of “{name}” cannot all be kept on any day that was looked at."
    others = any(cause.rule is Rule.OTHERS for cause in causes)
    beside = "beside the other jobs" if others else "even if nobody had anything else to do"
    return (
        f"“{name}” is done {clock(done)} at the earliest {beside}: its work and waits take so long, and it is promised for "
        f"{clock(due)}."
    )


def _name(problem: Problem, key: str) -> str:
    return problem.task[key].label or key
