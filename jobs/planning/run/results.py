"""What a run wants of its mold: how it hangs on the frame, and how long it lasts."""

from dataclasses import dataclass

from studio.figures import Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class FramePlan:
    """The closed mold on the rotating frame: load (kg), imbalance (kg·m), counterweight, turns before gel, the ratio taken."""

    load: Figure
    limit: Figure
    imbalance: Figure
    counterweight: Figure
    cradle: Figure
    turns_before_gel: Figure | None
    ratio: Figure | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LifePlan:
    """How long the mold lasts: castings expected, the chance (0 to 1) that it dies within the run, molds wanted."""

    expected: Figure
    dies_before_end: Figure
    molds_wanted: Figure
