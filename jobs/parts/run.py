"""What the Shell and Castings pages tell of a plan below their forms: joints, frame, turning, heat, size, life."""

from dataclasses import replace

from jobs.parts.part import PlanPart, part, said
from jobs.planning.results import MoldPlan
from studio.figures import Figure

# No life of a mold is known to a thousandth.
LEAST_PERCENT = 0.1


def shell_parts(made: MoldPlan) -> tuple[PlanPart, ...]:
    """Return the parts of the Shell page."""
    shell = made.shell
    joints = None if shell is None else part("joints", "Laying and closing it", (shell.sessions, shell.catalyst, shell.bolts))
    return said((joints, _on_frame(made)))


def card_parts(made: MoldPlan) -> tuple[PlanPart, ...]:
    """Return what the casting card tells beside the Castings page's parts: the run's hours, and what the frame carries."""
    run = made.casting
    if run is None:
        return ()
    hours = part("run", "The run", (run.minutes_each, run.cycle, run.per_day, run.days, made.resin_total))
    return said((hours, *castings_parts(made), _on_frame(made)))


def _on_frame(made: MoldPlan) -> PlanPart | None:
    frame = made.frame
    if frame is None:
        return None
    return part(
        "frame", "On the rotating frame", (frame.load, frame.limit, frame.imbalance, frame.counterweight, frame.cradle)
    )  # fmt: skip


def castings_parts(made: MoldPlan) -> tuple[PlanPart, ...]:
    """Return the parts of the Castings page."""
    run, frame, life = made.casting, made.frame, made.life
    if run is None:
        return ()
    turns = () if frame is None else (frame.turns_before_gel, frame.ratio)
    lasting = () if life is None else (life.expected, in_percent(life.dies_before_end), life.molds_wanted)
    return said(
        (
            part("turning", "Turning", (run.film_limit, run.film_at_gel, *turns)),
            part("heat", "Heat, and when it comes out", (run.heat_rise, run.demold)),
            part("size", "Size", (run.size, run.oversize, run.warm_loss)),
            part("life", "How long the mold lasts", lasting),
        )
    )


def in_percent(chance: Figure) -> Figure:
    """Return a chance as people say it: of a hundred, and never as closer to nought than anybody can know."""
    if chance.unit != "1":
        return chance
    low, high = (None if end is None else 100 * end for end in (chance.low, chance.high))
    percent = replace(chance, value=100 * chance.value, unit="%", low=low, high=high)
    if percent.value >= LEAST_PERCENT:
        return percent
    return replace(percent, value=LEAST_PERCENT, label=f"{chance.label}, at most", low=None, high=None)
