"""Adding and changing jobs."""

import datetime

from django.db import IntegrityError, transaction
from django.db.models import Max

from jobs.errors import JobsError, MoveNotAllowed
from jobs.models import Client, Job, Piece, Plan
from jobs.moves import move_to
from jobs.services.reserving import follow_state
from studio.models import Account, StudioProfile

FIRST_NUMBER = 101
_TRIES = 20


def add_job(
    *,
    title: str,
    client: Client,
    piece_name: str,
    promised_on: datetime.date | None = None,
    note: str = "",
    by: Account | None = None,
) -> Job:
    """Add a job under the next number, with its piece and a plan at the studio's usual values."""
    profile = StudioProfile.objects.current()
    for _ in range(_TRIES):
        try:
            # The unique number decides who was first when two people add a job in the same moment.
            with transaction.atomic():
                job = Job.objects.create(number=_next_number(), title=title, client=client, promised_on=promised_on, note=note)
                Piece.objects.create(job=job, name=piece_name or title)
                Plan.objects.create(job=job, temperature_c=profile.workshop_temp_c, changed_by=by)
        except IntegrityError as error:
            if not _number_was_taken(error):
                raise
        else:
            return job
    raise JobsError("Many jobs are being added at once; add this one again.")


def _next_number() -> int:
    highest: int | None = Job.objects.aggregate(highest=Max("number"))["highest"]
    return max(highest or 0, FIRST_NUMBER - 1) + 1


def _number_was_taken(error: IntegrityError) -> bool:
    return "number" in str(error)


@transaction.atomic
def change_job(
    *,
    job: Job,
    title: str,
    client: Client,
    piece_name: str,
    promised_on: datetime.date | None,
    note: str,
) -> Job:
    """Change what a job is called, whose it is and when it is promised."""
    job.title, job.client, job.promised_on, job.note = title, client, promised_on, note
    job.save(update_fields=["title", "client", "promised_on", "note"])
    Piece.objects.filter(job=job).update(name=piece_name)
    return job


@transaction.atomic
def move_job(*, job: Job, to: str, by: Account | None = None) -> str:
    """Move a job to another state and return the state it came from; what the shelf holds for it follows."""
    fresh = Job.objects.select_for_update().get(pk=job.pk)
    if move_to(fresh.state, to) is None:
        raise MoveNotAllowed(
            f"Job {fresh.number} is “{fresh.get_state_display()}” now and cannot go to "
            f"“{dict(Job.State.choices).get(to, 'that state')}”; choose one of the moves shown."
        )
    came_from: str = fresh.state
    fresh.state = to
    fresh.save(update_fields=["state"])
    job.state = to
    follow_state(job=job, came_from=came_from, by=by)
    return came_from


@transaction.atomic
def set_start(*, job: Job, starts_at: datetime.datetime | None) -> Job:
    """Say when the work on a job starts, or take that back."""
    job.starts_at = starts_at
    job.save(update_fields=["starts_at"])
    return job
