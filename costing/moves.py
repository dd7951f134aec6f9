"""The states of a quote and the moves between them: one table."""

from dataclasses import dataclass

from costing.models import Quote
from jobs.models import Job

State = Quote.State


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A way from one state to another; `back` marks the correction of a mark, `job_to` what becomes of the job."""

    to: str
    label: str
    back: bool = False
    job_to: str = ""


MOVES: dict[str, tuple[Move, ...]] = {
    State.OFFERED: (
        Move(to=State.ACCEPTED, label="The client accepts", job_to=Job.State.AGREED),
        Move(to=State.DECLINED, label="The client declines", job_to=Job.State.DECLINED),
        Move(to=State.WITHDRAWN, label="Withdraw the quote", job_to=Job.State.ENQUIRY),
    ),
    State.ACCEPTED: (Move(to=State.OFFERED, label="Marked by mistake: back to offered", back=True, job_to=Job.State.QUOTED),),
    State.DECLINED: (Move(to=State.OFFERED, label="Marked by mistake: back to offered", back=True, job_to=Job.State.QUOTED),),
    State.WITHDRAWN: (Move(to=State.OFFERED, label="Offer it again", back=True, job_to=Job.State.QUOTED),),
    State.SUPERSEDED: (),
}

TONES: dict[str, str] = {
    State.OFFERED: "look",
    State.ACCEPTED: "done",
    State.DECLINED: "quiet",
    State.WITHDRAWN: "quiet",
    State.SUPERSEDED: "quiet",
}


def moves_from(state: str) -> tuple[Move, ...]:
    """Return the moves that a state allows."""
    return MOVES.get(state, ())


def move_to(state: str, target: str) -> Move | None:
    """Return the move from one state to another, or None when there is none."""
    return next((move for move in moves_from(state) if move.to == target), None)
