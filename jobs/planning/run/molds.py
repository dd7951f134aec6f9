"""More than one mold of a piece: what is multiplied, and which work is done again for each of them.

Coats, mixes, fill and shell are planned for one mold; materials to have at hand, tasks and totals are those of all molds.
"""

from collections.abc import Iterator
from dataclasses import replace

from jobs.planning.brief import PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.results import Task
from jobs.planning.sums import count, scaled
from jobs.planning.work.before import PATCH
from jobs.planning.work.tasks import overridden
from studio.figures import Figure
from studio.workrates import Stage

MOST_MOLDS = 20
_ONCE_STAGES = frozenset({Stage.CLIENT, Stage.CAST, Stage.FINISH})
# The piece is tested, cleaned, mended and sealed once; released again before every mold.
_ONCE_KEYS = frozenset({PATCH, "prepare", "seal"})


def check_molds(brief: PlanBrief) -> None:
    """Refuse a number of molds that cannot be planned.

    Raises
    ------
    BadBrief
        Outside 1 to 20 molds.
    """
    if not 1 <= brief.molds <= MOST_MOLDS:
        raise BadBrief(f"One to {MOST_MOLDS} molds are made of a piece.")


def for_one(brief: PlanBrief) -> PlanBrief:
    """Return the brief with the scrap that one mold may take: the molds share what is at hand."""
    scrap = brief.scrap
    if scrap is None or brief.molds == 1:
        return brief
    at_hand = scrap.available_g
    share = replace(at_hand, label=f"{at_hand.label}, for one of {brief.molds} molds", value=at_hand.value / brief.molds)
    return replace(brief, scrap=replace(scrap, available_g=share))


def of_all(figure: Figure, molds: int) -> Figure:
    """Return a figure of one mold for all of them; unchanged where there is one."""
    if molds == 1:
        return figure
    number = count("molds", "Molds", molds, formula="as decided")
    each = figure.renamed(key=f"{figure.key}_each", label=f"{figure.label}, one mold")
    return scaled(
        each, molds, key=figure.key, label=f"{figure.label}, of {molds} molds", unit=figure.unit,
        formula="of one mold × molds", given=(number,), note=figure.note,
    )  # fmt: skip


def every_mold(tasks: tuple[Task, ...], brief: PlanBrief) -> tuple[Task, ...]:
    """Repeat the work on a mold for each further one, which begins when the piece is out of the mold before it.

    Minutes typed for a task count for its repetitions too, unless these have minutes of their own.
    """
    if brief.molds == 1:
        return tasks
    first = [task for task in tasks if not done_once(key=task.key, stage=task.stage)]
    cast = [task for task in tasks if task.stage in (Stage.CAST, Stage.FINISH)]
    done = [task for task in tasks if task not in cast]
    for number in range(2, brief.molds + 1):
        done.extend(overridden(task, brief) for task in _again(first, number, tasks))
    return (*done, *(_after_all(task, {task.key for task in first}, brief.molds) for task in cast))


def key_of(key: str, mold: int) -> str:
    """Return the key of a task as it is done for a mold."""
    return key if mold == 1 else f"{key}_mold_{mold}"


def done_once(*, key: str, stage: Stage) -> bool:
    """Say whether a task is done once however many molds are made: with the client, on the piece itself, on castings."""
    return stage in _ONCE_STAGES or key in _ONCE_KEYS


def _again(first: list[Task], number: int, tasks: tuple[Task, ...]) -> Iterator[Task]:
    own, every = {task.key for task in first}, {task.key: task for task in tasks}
    again = {key_of(key, number) for key in own}
    frees = next((task.key for task in first if task.stage is Stage.OPEN), first[-1].key if first else "")
    for task in first:
        waits = tuple(dict.fromkeys(_waits(task, own, every, number)))
        # What waits only for work on the piece is the first that wants it free again.
        if task.waits_for and again.isdisjoint(waits):
            waits = (*waits, key_of(frees, number - 1))
        key, label = key_of(task.key, number), f"{task.label}, mold {number}"
        minutes = task.minutes.renamed(key=f"{task.minutes.key}_mold_{number}", label=task.minutes.label)
        yield replace(task, key=key, label=label, waits_for=waits, minutes=minutes)


def _waits(task: Task, own: set[str], every: dict[str, Task], number: int) -> Iterator[str]:
    """Name what a repeated task waits for: the repetitions, also of what was before a task that is done once."""
    for key in task.waits_for:
        if key in own:
            yield key_of(key, number)
        else:
            yield key
            yield from (found for found in _waits(every[key], own, every, number) if found not in every)


def _after_all(task: Task, own: set[str], molds: int) -> Task:
    more = [key_of(key, number) for number in range(2, molds + 1) for key in task.waits_for if key in own]
    return replace(task, waits_for=(*task.waits_for, *more))
