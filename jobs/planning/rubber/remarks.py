"""What the laying and curing of the rubber wants the mold maker to look at."""

from collections.abc import Iterator, Sequence

from jobs.planning.brief import PlanBrief
from jobs.planning.results import Task
from materials.properties import Chemistry
from materials.science.kinetics import lowest_temperature
from studio.figures import Figure, Remark


def laying_remarks(brief: PlanBrief, tasks: Sequence[Task], broken: tuple[str, ...]) -> Iterator[Remark]:
    """Yield what is to be said of cold nights, of windows that cannot be kept, and of coats that meet between positions.

    `broken` are the keys of tasks whose window for the next work cannot be kept.
    """
    yield from _of_nights(brief)
    if broken:
        names = "; ".join(task.label for task in tasks if task.key in broken)
        yield Remark(
            key="window",
            text=f"Even with hands at any hour the next work cannot begin before the window closes, after: {names}. "
            "Take a slower rubber, more people, or less work between the two.",
            tone="stop",
        )
    if brief.positions > 1 and brief.rubber.chemistry is Chemistry.POLYURETHANE:
        yield Remark(
            key="positions_meet",
            text="Coats of one position are past their window when the next position's meet them: abrade the edge and test the "
            "bond, or lay polyurethane in one position.",
            tone="stop",
        )


def _of_nights(brief: PlanBrief) -> Iterator[Remark]:
    night = brief.night_temperature_c
    if night is None:
        return
    lowest = lowest_temperature(brief.rubber)
    if night.value < lowest.value:
        below = Figure(
            key="night_below", label="Night is colder than the lowest curing temperature by", value=lowest.value - night.value,
            unit="K", formula="lowest curing temperature − night", given=(lowest, night),
        )  # fmt: skip
        text = (
            "At night the room is colder than this rubber is known to cure in; those hours count as nothing. Keep it warm, "
            "or wait through the day before calling it soft."
        )
        yield Remark(key="night_cold", text=text, figures=(below,))
