"""By which working day castings are ready: the mold's pace and that of the hands, whichever is slower."""

import math
from dataclasses import dataclass

from costing.engine.errors import EngineError
from costing.engine.labour import RunHours
from costing.engine.runs.learning import Learning
from costing.engine.runs.practice import hands_h
from studio.figures import Figure, Given


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """The first castings of a run: the working day on which the last of them leaves the mold, and that on which all are ready."""

    castings: int
    cast_day: Figure
    ready_day: Figure

    @property
    def waits_for_hands(self) -> bool:
        """Say whether finishing is slower than the mold."""
        return self.ready_day.value > self.cast_day.value


def delivery_parts(quantity: int) -> tuple[int, ...]:
    """Return into which parts a delivery may be split: the first casting, about a quarter, half, three quarters, all."""
    return tuple(sorted({1, *(max(1, math.ceil(quantity * share / 4)) for share in (1, 2, 3, 4))}))


def deliver(castings: int, *, hours: RunHours, learning: Learning, bench_h: Given) -> Part:
    """Return when the first castings of a run are ready, in working days from the first casting.

    Parameters
    ----------
    castings : int
        How many of them, one or more.
    hours : RunHours
        Castings a day, hours of one casting and of starting a day.
    learning : Learning
        How practice shortens the handwork; the mold's own pace stays.
    bench_h : Given
        Hours at the bench of a working day, all who work on the run together. [h]

    Notes
    -----
    Cast by day castings ÷ castings a day. Ready by day (handwork with practice + starting the days) ÷ bench hours, and no sooner
    than cast. All bench hours are taken to go into this run.
    """
    if castings < 1:
        raise EngineError("Ask for one casting or more.")
    if bench_h.value <= 0:
        raise EngineError("Nobody has hours at the bench, so no day can be said; enter working hours under Studio, People.")
    per_day = max(hours.per_day.value, 1.0)
    count = Given(label="Castings", value=castings, unit="1")
    days = math.ceil(castings / per_day - 1e-9)
    cast = Figure(
        key=f"cast-day-{castings}",
        label=f"Last of {castings} out of the mold on working day",
        value=days,
        unit="1",
        formula="castings ÷ castings a day, rounded up",
        given=(count, hours.per_day),
    )
    work = Figure(
        key=f"delivery-hours-{castings}",
        label=f"Hours of work on {castings}",
        value=hands_h(castings, hours, learning) + hours.startup_h.value * days,
        unit="h",
        formula="hours of these castings with practice + starting a day × casting days",
        given=(hours.each_h, hours.startup_h, cast),
    )
    ready = Figure(
        key=f"ready-day-{castings}",
        label=f"{castings} ready on working day",
        value=max(days, math.ceil(work.value / bench_h.value - 1e-9)),
        unit="1",
        formula="hours of work ÷ bench hours a day, rounded up, and no sooner than cast",
        given=(work, bench_h, cast),
        note="As if all bench hours went into this run. Day 1 is the day of the first casting.",
    )
    return Part(castings=castings, cast_day=cast, ready_day=ready)
