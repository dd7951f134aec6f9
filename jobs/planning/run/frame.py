"""The closed mold on the rotating frame: what it carries, how it is balanced, how it turns."""

from jobs.planning.brief import CastingBrief, PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate
from jobs.planning.results import CastingPlan, ShellPlan
from jobs.planning.run.results import FramePlan
from jobs.planning.run.skins import gel_time
from jobs.planning.shell.lifts import closed_mold
from jobs.planning.sums import fact, scaled, total
from materials.science.turning import FASTEST_RPM, ratio_advice, turns_before_gel, turns_until_repeat
from studio.figures import Figure


def plan_frame(brief: PlanBrief, *, blanket: Figure, shell: ShellPlan | None, casting: CastingPlan | None) -> FramePlan | None:
    """Plan what one frame carries; None when nothing is cast.

    Parameters
    ----------
    brief : PlanBrief
        Its rates say what a frame carries, what a cradle weighs, and how well a mold is centred.
    blanket : Figure
        All rubber of one mold. [g]
    shell, casting : optional
        What else is on the frame.

    Returns
    -------
    FramePlan
        Masses in kg, imbalance in kg·m.

    Raises
    ------
    BadBrief
        When the counterweight has no arm.
    OutsideRange
        When a ratio is not above 0 and up to 50.
    """
    if brief.casting is None or casting is None:
        return None
    closed = closed_mold(blanket=blanket, shell=shell, casting=casting)
    carried = scaled(closed, 0.001, key="frame_mold", label=closed.label, unit="kg", formula="rubber + shell + casting")
    share = rate(brief.rates, "cradle_share_percent")
    cradle = scaled(carried, share.value / 100, key="frame_cradle", label="Cradle", unit="kg",
                    formula="closed mold × share of the cradle", given=(share,))  # fmt: skip
    load = total("frame_load", "On the frame", "kg", (carried, cradle), formula="closed mold with a casting + cradle")
    allowed = rate(brief.rates, "frame_limit_kg")
    limit = Figure(
        key="frame_limit", label="The frame may carry", value=allowed.value, unit="kg", formula="as rated", given=(allowed,),
        low=allowed.low, high=allowed.high, note="The plate on the frame decides.", source=allowed.source,
    )  # fmt: skip
    imbalance = _imbalance(brief, load)
    return FramePlan(
        load=load,
        limit=limit,
        imbalance=imbalance,
        counterweight=_counterweight(brief, imbalance),
        cradle=cradle,
        turns_before_gel=_turns(brief, brief.casting),
        ratio=_ratio(brief, brief.casting),
    )


def _imbalance(brief: PlanBrief, load: Figure) -> Figure:
    share = rate(brief.rates, "frame_offset_percent")
    longest = fact("Longest side of the piece", max(brief.takeoff.box_mm), "mm", brief.takeoff.volume.source)
    per_metre = longest.value / 1000 / 100

    def moment(percent: float | None) -> float | None:
        return None if percent is None else load.value * percent * per_metre

    return Figure(
        key="frame_imbalance", label="Out of balance by", value=load.value * share.value * per_metre, unit="kg*m",
        formula="load × how far its centre is off the axis (share × longest side)", given=(load, share, longest),
        low=moment(share.low), high=moment(share.high),
        note="Until it is balanced by hand: it must stay where it is left, whichever way it is turned.",
    )  # fmt: skip


def _counterweight(brief: PlanBrief, imbalance: Figure) -> Figure:
    arm = rate(brief.rates, "counterweight_arm_mm")
    if arm.value <= 0:
        raise BadBrief("The arm of the counterweight must be more than nought; correct it under Studio, Rates of work.")
    return scaled(
        imbalance, 1000 / arm.value, key="frame_counterweight", label="Counterweight", unit="kg",
        formula="out of balance ÷ arm of the counterweight", given=(arm,),
    )  # fmt: skip


def _turns(brief: PlanBrief, casting: CastingBrief) -> Figure | None:
    gel = gel_time(brief, casting)
    if gel is None or casting.turning_rpm is None or not 0 < casting.turning_rpm.value <= FASTEST_RPM:
        return None
    speed = casting.turning_rpm.value

    def turns(minutes: float | None) -> float | None:
        return None if minutes is None else turns_before_gel(turning_rpm=speed, gel_min=minutes)

    return Figure(
        key="frame_turns", label="Turns before gel", value=turns_before_gel(turning_rpm=speed, gel_min=gel.value), unit="1",
        formula="turns a minute × gel", given=(casting.turning_rpm, gel), low=turns(gel.low), high=turns(gel.high),
        note="Of the slow axis; 15 to 20 at least are usual, to cover the whole mold.",
    )  # fmt: skip


def _ratio(brief: PlanBrief, casting: CastingBrief) -> Figure:
    typed = casting.turning_ratio
    advice = ratio_advice(box_mm=brief.takeoff.box_mm)
    given = advice.ratio if typed is None else typed
    again = turns_until_repeat(ratio=given.value)
    return Figure(
        key="frame_ratio", label="Turns of the inner axis to one of the outer", value=given.value, unit="1",
        formula="as typed" if typed is not None else f"usual for a piece that is {advice.shape}", given=(given,),
        low=given.low, high=given.high, source=given.source,
        note=f"The same track comes again after {again} turns of the outer axis." if again > 1
        else "The same track comes again at every turn of the outer axis.",
    )  # fmt: skip
