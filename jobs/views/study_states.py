"""How far the study of a plan's shape is, in words; what `jobs/_study_state.html` shows."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from jobs.models import PieceStudy, Plan
from jobs.studies.asking import wanted_study

# What each step has found, and what goes on after it, in their order.
STEPS: Mapping[str, tuple[str, str]] = {
    "measured": ("Read", "Ways of holding it are being looked for."),
    "positions": ("Ways of holding it", "Distances around it are being measured."),
    "gauges": ("Gauge blocks", "Its triangles are being sorted."),
    "tree": ("Sorted", "Distances around it are being measured."),
    "field": ("Distances around it", "The blanket is being laid over it."),
    "coated": ("The blanket’s outside", "Pulls that need little fill are being looked for."),
    "division": ("Shell", "More ways of dividing the shell are being looked for."),
    "scrap": ("Room for scrap", "More ways of dividing the shell are being looked for."),
    "pictures": ("Pictures", "It is being kept."),
    "walls": ("Walls over it and inside it", "It is being kept."),
    "kept": ("Kept", "The figures are being written down."),
}
FIRST = "It is being read."


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A number that is known after a step."""

    label: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLine:
    """One step that is done."""

    words: str
    known: tuple[Known, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyState:
    """The study that a plan waits for: `row` None when none is asked for, `reason` why it was refused or cannot be asked."""

    row: PieceStudy | None
    reason: str
    lines: tuple[StepLine, ...]
    now: str

    @property
    def busy(self) -> bool:
        """Say whether the worker has it, or will."""
        return self.row is not None and self.row.busy

    @property
    def refused(self) -> bool:
        """Say whether it was tried in vain."""
        return self.row is not None and self.row.state == PieceStudy.State.REFUSED


def study_state(plan: Plan) -> StudyState:
    """Return how far the study of a kept plan's shape is; reads one row and changes none."""
    row, reason = wanted_study(plan)
    steps = row.steps if row is not None else []
    told = [step for step in steps if step.get("step") in STEPS]
    return StudyState(
        row=row,
        reason=row.reason if row is not None else reason,
        lines=tuple(StepLine(words=STEPS[step["step"]][0], known=_known(step)) for step in told if _known(step)),
        now=STEPS[told[-1]["step"]][1] if told else FIRST,
    )


def _known(step: Mapping[str, Any]) -> tuple[Known, ...]:
    kind = step.get("step")
    if kind == "measured":
        return (
            Known(label="triangles", value=step["triangles"], unit="1"),
            Known(label="area", value=step["area_m2"], unit="m2"),
        )
    if kind == "positions":
        return (Known(label="positions", value=step["positions"], unit="1"),)
    if kind == "gauges":
        return (Known(label="spots", value=step["gauges"], unit="1"),)
    if kind == "division":
        return (
            Known(label="pieces", value=step["pieces"], unit="1"), Known(label="fill", value=step["fill_l"], unit="L"),
            Known(label="parting", value=step["parting_m"], unit="m"),
        )  # fmt: skip
    if kind == "scrap":
        return (Known(label="room", value=step["room_l"], unit="L"),)
    return ()
