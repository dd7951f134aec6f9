"""Marking a quote accepted, declined or withdrawn, and undoing a mark made by mistake."""

from django.db import transaction
from django.utils import timezone

from costing.errors import MoveNotAllowed
from costing.models import Quote
from costing.moves import move_to
from costing.services.job_state import bring_job
from costing.services.numbering import lock_numbers
from jobs.models import Job
from studio.models import Account

WORK_HAS_BEGUN = (Job.State.WORKING, Job.State.DELIVERED)


@transaction.atomic
def move_quote(*, quote: Quote, to: str, by: Account) -> Quote:
    """Move a quote to another state by the table of moves; the job follows where its own moves allow."""
    lock_numbers()
    fresh: Quote = Quote.objects.select_related("job").get(pk=quote.pk)
    move = move_to(fresh.state, to)
    if move is None:
        wanted = dict(Quote.State.choices).get(to, "that state")
        raise MoveNotAllowed(
            f"{fresh} is {fresh.get_state_display()} and cannot become “{wanted}”; choose one of the moves shown."
        )
    if move.back:
        _check_way_back(fresh)
    fresh.state = to
    fresh.state_changed_by, fresh.state_changed_at = by, timezone.now()
    fresh.save(update_fields=["state", "state_changed_by", "state_changed_at"])
    bring_job(job=fresh.job, to=move.job_to, by=by)
    return fresh


def _check_way_back(quote: Quote) -> None:
    newer = Quote.objects.filter(job=quote.job, number=quote.number, version__gt=quote.version).order_by("-version").first()
    if newer is not None:
        raise MoveNotAllowed(f"{newer} has taken its place; go on with that one.")
    if Quote.objects.standing().filter(job=quote.job).exclude(pk=quote.pk).exists():
        raise MoveNotAllowed("This job has another quote that still stands; withdraw that one first.")
    if quote.state == Quote.State.ACCEPTED and quote.job.state in WORK_HAS_BEGUN:
        raise MoveNotAllowed(
            "The work on this job has begun, so its acceptance stays. If the mark is wrong, move the job back to agreed first."
        )
