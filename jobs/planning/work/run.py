"""Work on the castings of the run."""

import math

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import CastingPlan, Task
from jobs.planning.sums import count, scaled
from jobs.planning.work.work import ROTATING_FRAME, and_more, times
from materials.science.casting import molds_kept_going
from studio.figures import Figure, high_end, low_end
from studio.workrates import Stage

CASTINGS = "castings"


def run_tasks(brief: PlanBrief, casting: CastingPlan, *, after: tuple[str, ...]) -> list[Task]:
    """List the casting days, the castings, and their finishing, trimming and packing, one after another."""
    run = count("run", "Castings in the run", casting.count, formula="as decided")
    at_mold = scaled(casting.minutes_each, casting.count, key="task_castings", label="Casting the run", unit="min",
                     formula="castings × minutes each", given=(run,))  # fmt: skip
    surface = scaled(brief.takeoff.area, casting.count, key="run_area", label="Surface of the run", unit="m2",
                     formula="surface × castings", given=(run,))  # fmt: skip
    finishing = rate(brief.rates, "finish_min_per_m2")
    startup = rate(brief.rates, "casting_startup_h")
    days = Figure(
        key="task_casting_days", label="Starting and closing casting days", value=60 * casting.days.value * startup.value,
        unit="min", formula="casting days × starting and closing one", given=(casting.days, startup),
        low=60 * casting.days.value * low_end(startup), high=60 * casting.days.value * high_end(startup),
    )  # fmt: skip
    tasks = [
        Task(key="casting_days", label="Start and close the casting days", stage=Stage.CAST, minutes=days, waits_for=after),
        # Turning parts and curing resin are watched.
        Task(key=CASTINGS, label="Cast the run", stage=Stage.CAST, minutes=at_mold, station=ROTATING_FRAME,
             waits_for=("casting_days",), unattended=False),
    ]  # fmt: skip
    if brief.seam_length_m is not None and brief.seam_length_m.value > 0:
        length = Figure(key="run_seam", label="Seam of the run", value=brief.seam_length_m.value * casting.count,
                        unit="m", formula="seam × castings", given=(brief.seam_length_m, run))  # fmt: skip
        trim = rate(brief.rates, "seam_min_per_m")
        minutes = times("trim", "Trimming seams", trim, length, "length × minutes per metre")
        tasks.append(
            Task(key="trim", label="Trim the seams of the castings", stage=Stage.FINISH, minutes=minutes, waits_for=(CASTINGS,))
        )
    tasks.append(
        Task(key="finishing", label="Patch and finish the castings", stage=Stage.FINISH, waits_for=(tasks[-1].key,),
             minutes=and_more(times("finishing", "Finishing", finishing, surface, "surface × minutes per area"),
                              rate(brief.rates, "finish_each_min"), "castings × minutes each", run))
    )  # fmt: skip
    packing = times("packing", "Packing", rate(brief.rates, "packing_min"), run, "castings × minutes each")
    tasks.append(Task(key="packing", label="Pack the castings", stage=Stage.FINISH, minutes=packing, waits_for=(tasks[-1].key,)))
    return tasks


def run_elapsed_min(brief: PlanBrief, casting: CastingPlan) -> float:
    """Return how long the molds are busy with the run round the clock, those that one person keeps going side by side [min]."""
    kept = molds_kept_going(brief.molds, active_min=casting.minutes_each.value, cycle_min=casting.cycle.value)
    return math.ceil(casting.count / kept) * casting.cycle.value
