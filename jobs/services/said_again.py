"""What was said of a task and forgotten: kept for one step back, and said again."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from jobs.days import facts
from jobs.errors import FactRefused
from jobs.models import Job, TaskFact
from studio.models import Account, Person

_MOMENTS = ("pinned_at", "not_before_at", "began_at", "ended_at")


def remembered(fact: TaskFact) -> dict[str, Any]:
    """Return what a fact says, in a form that a session keeps."""
    moments = {name: getattr(fact, name) for name in _MOMENTS}
    return {
        "job": fact.job_id,
        "task_key": fact.task_key,
        "why": fact.why,
        "people": [person.pk for person in fact.people.all()],
        **{name: moment.isoformat() if moment else "" for name, moment in moments.items()},
    }


@transaction.atomic
def say_again(*, job: Job, said: Mapping[str, Any], by: Account | None) -> None:
    """Say of a task what was forgotten, but for a pin whose time has passed meanwhile."""
    key = str(said["task_key"])
    moments = {name: datetime.datetime.fromisoformat(said[name]) if said[name] else None for name in _MOMENTS}
    people = list(Person.objects.filter(pk__in=said["people"]))
    if moments["began_at"] is not None:
        began_at, ended_at = moments["began_at"], moments["ended_at"]
        facts.say_begun(job=job, task_key=key, began_at=began_at, ended_at=ended_at, people=people, by=by)
        return
    pinned_at = moments["pinned_at"]
    if moments["not_before_at"] is not None:
        facts.keep_waiting(job=job, task_key=key, until=moments["not_before_at"], why=said["why"], by=by)
    elif pinned_at is not None and pinned_at <= timezone.now():
        raise FactRefused("The time that it was pinned to has passed meanwhile, so there is nothing to say again.")
    if pinned_at is not None and pinned_at > timezone.now():
        facts.pin(job=job, task_key=key, at=pinned_at, people=people, by=by)
