"""Moving what must move and nothing else: tasks put off one after the other, and hands given back to where they were."""

from collections.abc import Collection, Mapping
from dataclasses import replace

from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.layout import Layout
from jobs.scheduling.problem import Problem, in_order
from jobs.scheduling.result import Entry, cost_of, faults_of


def rippled(problem: Problem, stands: Mapping[str, Entry], touched: Collection[str]) -> dict[str, Entry] | None:
    """Lay out the touched tasks anew, each as early as it goes beside all others, then those that have to wait for them.

    Parameters
    ----------
    problem : Problem
        With the news in it.
    stands : mapping of task key to Entry
        Where every task was promised or has begun.
    touched : collection of str
        The tasks that cannot stay where they are.

    Returns
    -------
    dict of task key to Entry, or None
        None when one of them finds no place.
    """
    place = {task.key: number for number, task in enumerate(in_order(problem))}
    entries, out = dict(stands), set(touched)
    while out:
        key = min(out, key=lambda one: place[one])
        behind = {one for one in entries if key in problem.comes_before[one] and problem.task[one].pinned is None}
        made = Layout(
            problem,
            visit_worth=problem.weights.visit,
            entries={one: entry for one, entry in entries.items() if one not in out and one not in behind},
        )
        try:
            made.lay(problem.task[key])
        except NobodyCan:
            return None
        entries[key] = made.entries[key]
        out.remove(key)
        out |= {one for one in behind if _in_the_way(problem, entries[key], entries[one])}
    return entries


def _in_the_way(problem: Problem, now: Entry, behind: Entry) -> bool:
    """Say whether a task that comes after another can no longer stay where it is: it begins too early, or hands are taken."""
    for link in problem.links_to[behind.task]:
        if link.before == now.task and behind.start < now.end + link.least.at(now.end, steps_per_hour=problem.steps_per_hour):
            return True
    return bool(now.start < behind.end and behind.start < now.end and set(now.people) & set(behind.people))


def nearest(problem: Problem, entries: Mapping[str, Entry], promised: Mapping[str, Entry]) -> Mapping[str, Entry]:
    """Return a schedule that costs no more and is as near to the promised one as single steps bring it."""
    return with_same_hands(problem, put_back(problem, with_same_hands(problem, entries, promised), promised), promised)


def with_same_hands(problem: Problem, entries: Mapping[str, Entry], promised: Mapping[str, Entry]) -> Mapping[str, Entry]:
    """Give tasks back to who was to do them, where that breaks and costs nothing; who is in the way takes over in exchange.

    Those that stay where they were come before those that moved.
    """
    best, cost = dict(entries), cost_of(problem, entries).total
    others = [key for key, entry in entries.items() if key in promised and problem.task[key].pinned is None]
    for key in sorted(others, key=lambda one: (promised[one].start != entries[one].start, entries[one].start)):
        was, now = promised[key].people, best[key]
        if was == now.people or len(was) != len(now.people):
            continue
        tried = {**best, key: replace(now, people=was)}
        swapped = dict(zip(_only(was, now.people), _only(now.people, was), strict=True))
        for other in best.values():
            if other.task != key and other.start < now.end and now.start < other.end and set(other.people) & set(swapped):
                tried[other.task] = replace(other, people=tuple(sorted(swapped.get(one, one) for one in other.people)))
        found = cost_of(problem, tried).total
        if found <= cost and _others_hands(tried, promised) < _others_hands(best, promised) and not faults_of(problem, tried):
            best, cost = tried, found
    return best


def put_back(problem: Problem, entries: Mapping[str, Entry], promised: Mapping[str, Entry]) -> Mapping[str, Entry]:
    """Put every task back to where it was promised that can go there by itself, where that makes the whole cheaper."""
    best, cost = dict(entries), cost_of(problem, entries).total
    again = True
    while again:
        again = False
        for key in sorted(best, key=lambda one: best[one].start):
            was = promised.get(key)
            if was is None or best[key].start == was.start or problem.task[key].pinned is not None:
                continue
            tried = {**best, key: was}
            found = cost_of(problem, tried).total
            if found < cost and not faults_of(problem, tried):
                best, cost, again = tried, found, True
    return best


def _others_hands(entries: Mapping[str, Entry], promised: Mapping[str, Entry]) -> tuple[int, int]:
    """Count the tasks that somebody else does than was promised: those that stay where they were, and all."""
    others = [key for key, was in promised.items() if key in entries and entries[key].people != was.people]
    return sum(entries[key].start == promised[key].start for key in others), len(others)


def _only(ones: Collection[str], others: Collection[str]) -> list[str]:
    return sorted(set(ones) - set(others))
