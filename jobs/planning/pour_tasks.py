"""The order of the work where the rubber is poured: what gives it its outside is built before the rubber is mixed."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from jobs.planning.brief import PlanBrief
from jobs.planning.pour_results import BoxPlan, ClayPlan
from jobs.planning.rates import rate
from jobs.planning.results import FillPlan, Task
from jobs.planning.sums import fact
from studio.figures import Figure, Given
from studio.workrates import Stage

# The parting of a pour is shaped in clay or lies in the box: no strip is cast for it.
NOT_POURED = frozenset({"parting_strip"})


def clay_order(
    brief: PlanBrief, *, preparation: Iterable[Task], shell: Sequence[Task], pour: Sequence[Task], fill: FillPlan | None,
    clay: ClayPlan,
) -> list[Task]:  # fmt: skip
    """Order a poured blanket: clay over the piece, the shell over the clay, the clay out, the rubber in.

    `pour` are the tasks of the pour itself, `shell` those of the shell pieces; release waits until the clay is out.
    """
    kept = [task for task in preparation if task.key not in NOT_POURED]
    close = rate(brief.rates, "close_gap_min")
    return [
        *(task for task in kept if task.key != "release"),
        Task(key="clay", label="Lay the clay where the rubber will be", stage=Stage.PREPARE,
             minutes=clay.minutes.renamed(key="task_clay", label="Laying the clay")),
        *shell,
        Task(key="clay_out", label="Take the shell off and the clay out, and clean the piece", stage=Stage.PREPARE,
             minutes=clay.minutes_out.renamed(key="task_clay_out", label="Taking the clay out")),
        *(task for task in kept if task.key == "release"),
        *_seating(fill),
        Task(key="close_gap", label="Close the shell over the piece and seal its joints", stage=Stage.PREPARE,
             minutes=_each(close, brief.positions)),
        *pour,
    ]  # fmt: skip


def box_order(
    brief: PlanBrief, *, preparation: Iterable[Task], pour: Sequence[Task], fill: FillPlan | None, box: BoxPlan
) -> list[Task]:
    """Order a block: the piece in its box, then the rubber; of two halves the first is bedded up to the parting."""
    kept = [task for task in preparation if task.key not in NOT_POURED]
    before = [_bedded(brief, task) for task in kept if task.key != "board" or brief.positions > 1]
    return [
        *(task for task in before if task.key != "release"),
        Task(key="box", label="Build the box round the piece and seal its joints", stage=Stage.PREPARE,
             minutes=box.minutes.renamed(key="task_box", label="Building the box")),
        *(task for task in before if task.key == "release"),
        *_seating(fill),
        *pour,
    ]  # fmt: skip


def _bedded(brief: PlanBrief, task: Task) -> Task:
    if task.key != "board":
        return task
    return replace(
        task, label="Bed the piece up to its parting, with keys",
        minutes=_each(rate(brief.rates, "board_min"), 1, key="task_board", label="Bedding the piece"),
    )  # fmt: skip


def _seating(fill: FillPlan | None) -> list[Task]:
    if fill is None:
        return []
    minutes = fill.minutes.renamed(key="task_fill", label="Seating the scrap")
    return [Task(key="fill", label="Seat the scrap, clear of the face", stage=Stage.FILL, minutes=minutes)]


def _each(given: Given, times: int, *, key: str = "task_close_gap", label: str = "Closing the shell") -> Figure:
    return Figure(
        key=key, label=label, value=given.value * times, unit="min", formula="positions × minutes each",
        given=(fact("Positions", times, "1"), given), low=None if given.low is None else given.low * times,
        high=None if given.high is None else given.high * times,
    )  # fmt: skip
