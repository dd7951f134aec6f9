"""Handing timetables to the worker: a row that is due waits for the sweep."""

from django.utils import timezone

from jobs.models import Timetable


def queue(timetable: Timetable) -> None:
    """Let the worker have a timetable from now on."""
    Timetable.objects.filter(pk=timetable.pk).update(due_at=timezone.now())
