"""Handing timetables and questions about days to the worker."""

from jobs import claims
from jobs.models import DaysQuestion, Timetable
from studio.handover import hand_over


def push(timetable_id: int) -> bool:
    """Queue the search; False where the broker cannot be reached: the row then waits for the sweep."""
    from jobs.tasks import find_timetable

    return hand_over(find_timetable, timetable_id, what="timetable")


def push_question(question_id: int) -> bool:
    """Queue a question about days, as `push` does."""
    from jobs.tasks import answer_days_question

    return hand_over(answer_days_question, question_id, what="question about days")


def queue(timetable: Timetable) -> None:
    """Let the worker have a timetable as soon as the transaction is kept."""
    claims.queue(timetable, push)


def queue_question(question: DaysQuestion) -> None:
    """Let the worker have a question as soon as the transaction is kept."""
    claims.queue(question, push_question)
