"""What a plan advises of its blanket, beside what was decided: wall, air, gauge blocks, stretch, and how it stands."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.planning.advice.air import air_remarks, plan_air
from jobs.planning.advice.stand import plan_stand, stand_remarks
from jobs.planning.advice.stretch import plan_stretch, stretch_remarks
from jobs.planning.advice.wall import advise_wall, wall_remarks
from jobs.planning.brief import PlanBrief
from jobs.planning.results import AirPlan, Coat, GaugePlan, StandPlan, WallAdvice
from jobs.planning.rubber.gauges import plan_gauges
from studio.figures import Figure, Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class BlanketAdvice:
    """All of it, with the remarks that follow."""

    stand: StandPlan | None
    air: AirPlan
    wall: WallAdvice | None
    gauges: GaugePlan | None
    stretch: Figure | None
    remarks: tuple[Remark, ...]


def advise_blanket(brief: PlanBrief, coats: Sequence[Coat]) -> BlanketAdvice:
    """Work out what a blanket of these coats wants."""
    stand, air, wall, stretch = plan_stand(brief), plan_air(brief, coats), advise_wall(brief, coats), plan_stretch(brief)
    return BlanketAdvice(
        stand=stand, air=air, wall=wall, gauges=plan_gauges(brief), stretch=stretch,
        remarks=(
            *air_remarks(air, coats), *wall_remarks(brief, wall), *stand_remarks(brief, stand),
            *stretch_remarks(brief, stretch),
        ),
    )  # fmt: skip
