"""Who does which task of a job, as the days in use say."""

from collections.abc import Mapping, Sequence

from costing.engine.frontier.takes import Hand
from jobs.models import Job, Timetable
from studio.figures import Given, Source, SourceKind


def hands_of(job: Job) -> Mapping[str, Sequence[Hand]]:
    """Return the people of each task of a job by the task's key; nobody where no days are in use or none are named.

    A task in several parts is shared out by how long each part lasts, a part with several people evenly among them.
    """
    timetable = Timetable.objects.in_use()
    if timetable is None:
        return {}
    spent: dict[str, dict[int, float]] = {}
    people = {}
    for entry in timetable.entries.filter(job=job).prefetch_related("people"):
        named = list(entry.people.all())
        for person in named:
            people[person.pk] = person
            minutes = (entry.ends_at - entry.starts_at).total_seconds() / 60 / len(named)
            shares = spent.setdefault(entry.plan_key, {})
            shares[person.pk] = shares.get(person.pk, 0.0) + minutes
    own = {
        pk: Given(
            label=f"Rate of {person.name}", value=float(person.rate_per_h), unit="money/h",
            source=Source(kind=SourceKind.OWN, text="people of the studio"),
        )
        for pk, person in people.items()
    }  # fmt: skip
    return {
        key: tuple(
            Hand(name=people[pk].name, share=minutes / sum(shares.values()), rate=own[pk]) for pk, minutes in shares.items()
        )
        for key, shares in spent.items()
    }
