"""What could be done for a job that misses its day or a window, each remedy tried and its effect told."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from jobs.scheduling.by_hand import reinserted
from jobs.scheduling.domains import joined
from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.model import Model
from jobs.scheduling.problem import Lag, Link, Person, Problem
from jobs.scheduling.result import Entry, breaches_of, is_visit
from jobs.scheduling.solver import SOLVED, solve

_SECONDS = 0.5
_EVENING_H = 4
_SLOWER = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One remedy: what it is, what it does in a sentence, the job's end in steps, how late that is, and windows broken."""

    key: str
    label: str
    effect: str
    end: int
    late: int
    breaches: int

    @property
    def helps(self) -> bool:
        """Whether the day and every window are kept with it."""
        return self.late == 0 and self.breaches == 0


def remedies_for(
    problem: Problem, entries: Mapping[str, Entry], order: str, *, clock: Callable[[int], str]
) -> tuple[Remedy, ...]:
    """Try each remedy for a job beside the others, which stay where they are; those that help come first.

    Parameters
    ----------
    problem : Problem
        All open jobs.
    entries : mapping of task key to Entry
        The present plan.
    order : str
        The job's key.
    clock : callable
        Writes a step as a day and time.
    """
    day = 24 * problem.steps_per_hour
    tries = {
        "evening": ("Come in for an evening visit", _evenings(problem)),
        "day_more": ("Promise it a day later", _later(problem, order, day)),
        "second_person": ("Have one more person there", _helped(problem)),
        "earlier": ("Begin a day earlier", _earlier(problem, order, day)),
        "slower": (f"Use a slower catalyst: waits and windows {_SLOWER:g} times as long", _slower(problem, order)),
    }
    found = []
    for key, (label, changed) in tries.items():
        if changed is None:
            continue
        made = _tried(changed, entries, order)
        if made is not None:
            found.append(_remedy(changed, made, order, key, label, clock))
    return tuple(sorted(found, key=lambda one: (not one.helps, one.late, one.breaches)))


def _remedy(problem: Problem, made: Mapping[str, Entry], order: str, key: str, label: str, clock: Callable[[int], str]) -> Remedy:
    own = [made[task.key] for task in problem.tasks_of[order]]
    end = max(entry.end for entry in own)
    late = max(0, end - (problem.order[order].due or end))
    breaches = sum(problem.task[breach.link.after].order == order for breach in breaches_of(problem, made))
    visits = sum(is_visit(problem, entry) for entry in own)
    kept = "the day is kept" if not late else f"{_hours(problem, late)} late"
    windows = (
        "every window is kept" if not breaches else f"{breaches} windows are broken" if breaches > 1 else "one window is broken"
    )
    visiting = f", {visits} visits outside of hours" if visits > 1 else ", one visit outside of hours" if visits else ""
    return Remedy(
        key=key, label=label, effect=f"Done {clock(end)}: {kept}, {windows}{visiting}.", end=end, late=late, breaches=breaches
    )


def _tried(problem: Problem, entries: Mapping[str, Entry], order: str) -> Mapping[str, Entry] | None:
    try:
        start = reinserted(problem, entries, [order], visit_worth=problem.weights.visit)
    except NobodyCan:
        return None
    if start is None:
        return None
    model = Model(problem, fixed=start, free={task.key for task in problem.tasks_of[order]})
    model.hint(start)
    status, solver = solve(model, seconds=_SECONDS)
    return model.entries(solver.value) if status in SOLVED else start


def _evenings(problem: Problem) -> Problem:
    long = _EVENING_H * problem.steps_per_hour
    return replace(
        problem,
        people=tuple(
            replace(
                person,
                visits=tuple(
                    joined((*person.visits, *((closes, min(closes + long, problem.horizon)) for _, closes in person.hours)))
                ),
            )
            for person in problem.people
        ),
    )


def _later(problem: Problem, order: str, day: int) -> Problem | None:
    due = problem.order[order].due
    if due is None:
        return None
    return replace(problem, orders=tuple(replace(one, due=due + day) if one.key == order else one for one in problem.orders))


def _helped(problem: Problem) -> Problem:
    skills = frozenset(skill for person in problem.people for skill in person.skills)
    most = max(problem.people, key=lambda person: sum(closes - opens for opens, closes in person.hours))
    helper = Person(key="helper", label="One more person", hours=most.hours, visits=(), skills=skills)
    return replace(problem, people=(*problem.people, helper))


def _earlier(problem: Problem, order: str, day: int) -> Problem | None:
    opens = problem.order[order].opens
    if opens < day or any(task.pinned is not None for task in problem.tasks_of[order]):
        return None
    return replace(
        problem,
        orders=tuple(replace(one, opens=opens - day) if one.key == order else one for one in problem.orders),
        tasks=tuple(replace(task, opens=max(0, task.opens - day)) if task.order == order else task for task in problem.tasks),
    )


def _slower(problem: Problem, order: str) -> Problem | None:
    slowed = tuple(_slowed(problem, link) if problem.task[link.after].order == order else link for link in problem.links)
    return None if slowed == problem.links else replace(problem, links=slowed)


def _slowed(problem: Problem, link: Link) -> Link:
    """Stretch the wait and the window after a material that is mixed."""
    if not problem.task[link.before].session or link.most is None:
        return link
    return replace(
        link,
        least=Lag(by_hour=tuple(round(steps * _SLOWER) for steps in link.least.by_hour)),
        most=Lag(by_hour=tuple(round(steps * _SLOWER) for steps in link.most.by_hour)),
    )


def _hours(problem: Problem, steps: int) -> str:
    return f"{steps / problem.steps_per_hour:.0f} h" if steps >= problem.steps_per_hour else f"{steps * problem.step_min} min"
