"""When each task can begin at the earliest and at the latest, by what waits for what."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jobs.planning.results import Task

_SAME_MIN = 1e-6
# A plan of a few dozen tasks settles in two or three rounds; what does not in so many contradicts itself.
MOST_ROUNDS = 200
MOST_TRIED = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkTimes:
    """Earliest and latest begin of each task in minutes from the start, and the tasks whose window cannot be kept at all."""

    earliest: dict[str, float]
    latest: dict[str, float]
    broken: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Gap:
    """One task begins at least so many minutes after another begins; a window is a gap of less than nought, turned round."""

    before: str
    after: str
    minutes: float


def network_times(tasks: Sequence[Task], *, elapsed_min: Mapping[str, float] | None = None) -> NetworkTimes:
    """Compute the earliest and the latest begin of each task.

    Parameters
    ----------
    tasks : sequence of Task
        Each after those it waits for. A task takes its minutes divided by its people; what waits for it begins after its
        `wait_after_min` and, where it has a `latest_next_min`, no later than that after its end.
    elapsed_min : mapping, optional
        Minutes that a task takes by the clock where these are not its hands-on minutes by its people.

    Returns
    -------
    NetworkTimes
        Minutes round the clock from the start of the first task, with as many hands and machines as are wanted: nobody
        sleeps in it. `latest` leaves the end where it is and keeps every window. Windows that cannot be kept even so are
        left out of the reckoning, and their tasks stand in `broken`.

    Notes
    -----
    A forward and a backward pass over a network with least and most lags (critical path method; the passes are repeated
    because a window pulls an earlier task later).
    """
    lasts = {task.key: task.minutes.value / max(task.people, 1) for task in tasks} | dict(elapsed_min or {})
    by_key = {task.key: task for task in tasks}
    pairs = [(by_key[before], task) for task in tasks for before in task.waits_for]
    waits = [_Gap(before.key, task.key, lasts[before.key] + before.wait_after_min) for before, task in pairs]
    windows = [
        _Gap(task.key, before.key, -(lasts[before.key] + before.latest_next_min))
        for before, task in pairs
        if before.latest_next_min is not None
    ]
    kept, earliest = _kept_windows(tasks, waits, windows)
    end = max((earliest[task.key] + lasts[task.key] + task.wait_after_min for task in tasks), default=0.0)
    latest = {task.key: end - lasts[task.key] - task.wait_after_min for task in tasks}
    _pull_earlier(latest, [*waits, *kept])
    keeps = set(kept)
    broken = tuple(dict.fromkeys(window.after for window in windows if window not in keeps))
    return NetworkTimes(earliest=earliest, latest=latest, broken=broken)


def _kept_windows(tasks: Sequence[Task], waits: list[_Gap], windows: list[_Gap]) -> tuple[list[_Gap], dict[str, float]]:
    """Return the windows that can be kept together and the earliest times that keep them."""
    possible = _one_by_one(tasks, waits, windows)
    found = _push_later(tasks, waits, possible)
    if found is not None:
        return possible, found
    # Each could be kept by itself; those that come later give way.
    kept: list[_Gap] = []
    for window in possible[:MOST_TRIED]:
        if _push_later(tasks, waits, [*kept, window]) is not None:
            kept.append(window)
    return kept, _push_later(tasks, waits, kept) or {}


def _one_by_one(tasks: Sequence[Task], waits: list[_Gap], windows: list[_Gap]) -> list[_Gap]:
    """Leave out each window that the waits between its two tasks alone make impossible."""
    place = {task.key: number for number, task in enumerate(tasks)}
    into: dict[str, list[_Gap]] = {task.key: [] for task in tasks}
    for gap in waits:
        into[gap.after].append(gap)

    def longest(start: str, end: str) -> float:
        after = {start: 0.0}
        for task in tasks[place[start] + 1 : place[end] + 1]:
            reached = [after[gap.before] + gap.minutes for gap in into[task.key] if gap.before in after]
            if reached:
                after[task.key] = max(reached)
        return after[end]

    # A window is turned round: it goes from the later task back to the earlier.
    return [window for window in windows if longest(window.after, window.before) <= -window.minutes + _SAME_MIN]


def _push_later(tasks: Sequence[Task], waits: list[_Gap], windows: list[_Gap]) -> dict[str, float] | None:
    """Return the earliest times that keep all gaps, or None when some of them contradict each other."""
    times = {task.key: 0.0 for task in tasks}
    # Waits in order and windows against it, so that one round carries a time all the way.
    gaps = [*waits, *reversed(windows)]
    for _ in range(min(len(tasks), MOST_ROUNDS) + 1):
        moved = False
        for gap in gaps:
            wanted = times[gap.before] + gap.minutes
            if wanted > times[gap.after] + _SAME_MIN:
                times[gap.after], moved = wanted, True
        if not moved:
            return times
    return None


def _pull_earlier(times: dict[str, float], gaps: list[_Gap]) -> None:
    """Pull tasks earlier until every gap is kept; there are times that keep them all, so that this ends."""
    backward, moved = gaps[::-1], True
    while moved:
        moved = False
        for gap in backward:
            wanted = times[gap.after] - gap.minutes
            if wanted < times[gap.before] - _SAME_MIN:
                times[gap.before], moved = wanted, True
