"""The states of a job and the moves between them: one table."""

from dataclasses import dataclass

from jobs.models.job import Job

State = Job.State


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A way from one state to another; `label` is the words on the button, `back` marks a correction."""

    to: str
    label: str
    back: bool = False


MOVES: dict[str, tuple[Move, ...]] = {
    State.ENQUIRY: (
        Move(to=State.QUOTED, label="A quote has gone out"),
        Move(to=State.AGREED, label="The client has agreed"),
        Move(to=State.DECLINED, label="Decline the job"),
    ),
    State.QUOTED: (
        Move(to=State.AGREED, label="The client has agreed"),
        Move(to=State.DECLINED, label="Decline the job"),
        Move(to=State.ENQUIRY, label="Back to enquiry", back=True),
    ),
    State.AGREED: (
        Move(to=State.WORKING, label="Work has begun"),
        Move(to=State.DECLINED, label="Decline the job"),
        Move(to=State.QUOTED, label="Back to quoted", back=True),
    ),
    State.WORKING: (
        Move(to=State.DELIVERED, label="Everything is delivered"),
        Move(to=State.AGREED, label="Back to agreed", back=True),
    ),
    State.DELIVERED: (Move(to=State.WORKING, label="Open it again", back=True),),
    State.DECLINED: (Move(to=State.ENQUIRY, label="Take it up again", back=True),),
}

TONES: dict[str, str] = {
    State.ENQUIRY: "quiet",
    State.QUOTED: "quiet",
    State.AGREED: "look",
    State.WORKING: "look",
    State.DELIVERED: "done",
    State.DECLINED: "quiet",
}


def moves_from(state: str) -> tuple[Move, ...]:
    """Return the moves that a state allows."""
    return MOVES.get(state, ())


def move_to(state: str, target: str) -> Move | None:
    """Return the move from one state to another, or None when there is none."""
    return next((move for move in moves_from(state) if move.to == target), None)
