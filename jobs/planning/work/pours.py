"""The order of the work where the rubber is poured: what gives it its outside is built before the rubber is mixed."""

from collections.abc import Sequence
from dataclasses import replace

from jobs.planning.brief import PlanBrief
from jobs.planning.pours.results import BoxPlan, ClayPlan
from jobs.planning.rates import rate
from jobs.planning.results import Task
from jobs.planning.work.before import CUT_SCRAP, board_task, release_task, turn_task
from jobs.planning.work.rubber import coat_task
from jobs.planning.work.work import Work, as_rated, at_position
from studio.workrates import Stage


def clay_task(clay: ClayPlan, *, after: str) -> Task:
    """Return the laying of the clay that keeps the rubber's place under the shell."""
    return Task(
        key="clay", label="Lay the clay where the rubber will be", stage=Stage.PREPARE, waits_for=(after,),
        minutes=clay.minutes.renamed(key="task_clay", label="Laying the clay"),
    )  # fmt: skip


def poured_tasks(brief: PlanBrief, work: Work, clay: ClayPlan, *, after: str) -> list[Task]:
    """List the work once the shell stands over the clay: the clay out, the piece released, the gap closed and poured."""
    out = Task(
        key="clay_out", label="Take the shell off and the clay out, and clean the piece", stage=Stage.PREPARE,
        waits_for=(after,), minutes=clay.minutes_out.renamed(key="task_clay_out", label="Taking the clay out"),
    )  # fmt: skip
    ready = [out, release_task(brief, work, after=out.key)]
    ready += _seating(work, after=ready[-1].key)
    return [*ready, *_pours(brief, work, after=ready[-1].key, closed=True)]


def block_tasks(brief: PlanBrief, work: Work, box: BoxPlan, *, after: str) -> list[Task]:
    """List the work on a block: its box, the release, scrap seated in it, the pour; of two halves one after the other."""
    build = Task(
        key="box", label="Build the box round the piece and seal its joints", stage=Stage.PREPARE, waits_for=(after,),
        minutes=box.minutes.renamed(key="task_box", label="Building the box"),
    )  # fmt: skip
    ready = [build, release_task(brief, work, after=build.key)]
    ready += _seating(work, after=ready[-1].key)
    return [*ready, *_pours(brief, work, after=ready[-1].key, closed=False)]


def _pours(brief: PlanBrief, work: Work, *, after: str, closed: bool) -> list[Task]:
    """List a pour for each position; each has cured before the piece is turned for the next."""
    tasks: list[Task] = []
    last = after
    for position in range(1, work.positions + 1):
        if position > 1:
            tasks.append(_turned(brief, work, position, after=last, closed=closed))
            last = tasks[-1].key
        if closed and position > 1:
            tasks.append(board_task(brief, position, work.positions, waits_for=(last,)))
            last = tasks[-1].key
        if closed:
            tasks.append(_closing(brief, position, work.positions, after=last))
            last = tasks[-1].key
        tasks.append(coat_task(brief, work, work.coats[0], position, (last,)))
        last = tasks[-1].key
    return tasks


def _turned(brief: PlanBrief, work: Work, position: int, *, after: str, closed: bool) -> Task:
    task = turn_task(brief, work, position, waits_for=(after,))
    # In a block the second half would bond to the first.
    return task if closed else replace(task, label="Turn the block, take the bed out and release the rubber of the first half")


def _closing(brief: PlanBrief, position: int, positions: int, *, after: str) -> Task:
    key = at_position("close_gap", position, positions)
    where = "" if positions == 1 else f", position {position}"
    return Task(
        key=key, label=f"Close the shell over the piece and seal its joints{where}", stage=Stage.PREPARE, waits_for=(after,),
        position=None if positions == 1 else position,
        minutes=as_rated(key, "Closing the shell", rate(brief.rates, "close_gap_min")),
    )  # fmt: skip


def _seating(work: Work, *, after: str) -> Sequence[Task]:
    if work.fill is None:
        return ()
    minutes = work.fill.minutes.renamed(key="task_fill", label="Seating the scrap")
    waits_for = (after, CUT_SCRAP) if work.fill.scrap_mass.value > 0 else (after,)
    return (Task(key="fill", label="Seat the scrap, clear of the face", stage=Stage.FILL, minutes=minutes, waits_for=waits_for),)
