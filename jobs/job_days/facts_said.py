"""What was said of one task, in sentences."""

from django.utils import timezone

from jobs.job_days.times import said_at, said_span
from jobs.models import TaskFact


def fact_sentences(fact: TaskFact) -> list[str]:
    """Say what is known of a task beyond its plan, each in a sentence without its subject."""
    found = []
    if fact.began_at is not None and fact.ended_at is not None:
        over = fact.ended_at <= timezone.now()
        words = "was done" if over else "was begun and is to be done"
        found.append(f"{words} {said_span(fact.began_at, fact.ended_at)}{_by(fact)}")
    if fact.pinned_at is not None:
        found.append(f"is pinned to {said_at(fact.pinned_at)}{_by(fact)}")
    if fact.not_before_at is not None:
        found.append(f"cannot begin before {said_at(fact.not_before_at)}{f': {fact.why}' if fact.why else ''}")
    return found


def _by(fact: TaskFact) -> str:
    names = [person.name for person in fact.people.all()]
    return f" by {' and '.join(names)}" if names else ""
