"""Handing timetables and questions about days to the worker."""

from functools import partial

from django.db import transaction
from django.utils import timezone

from jobs.claims import PUSH_AGAIN_AFTER
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
    Timetable.objects.filter(pk=timetable.pk).update(due_at=timezone.now() + PUSH_AGAIN_AFTER)
    transaction.on_commit(partial(_push_kept, timetable.pk))


def queue_question(question: DaysQuestion) -> None:
    """Let the worker have a question as soon as the transaction is kept."""
    DaysQuestion.objects.filter(pk=question.pk).update(due_at=timezone.now() + PUSH_AGAIN_AFTER)
    transaction.on_commit(partial(_push_question_kept, question.pk))


def _push_kept(timetable_id: int) -> None:
    push(timetable_id)


def _push_question_kept(question_id: int) -> None:
    push_question(question_id)
