"""Marking a quote accepted, declined or withdrawn, and undoing a mark made by mistake."""

from django.db import transaction
from django.utils import timezone

from costing.errors import MoveNotAllowed
from costing.models import Quote, QuoteAnswer, QuoteLink
from costing.moves import move_to
from costing.services.agreement import Said, keep_answer, plan_days, take_answer_back
from costing.services.job_state import bring_job
from costing.services.numbering import lock_numbers
from jobs.models import Job
from studio.models import Account

ANSWERS = {Quote.State.ACCEPTED: QuoteAnswer.Kind.ACCEPTED, Quote.State.DECLINED: QuoteAnswer.Kind.DECLINED}
WORK_HAS_BEGUN = (Job.State.WORKING, Job.State.DELIVERED)


@transaction.atomic
def move_quote(*, quote: Quote, to: str, by: Account | None, said: Said | None = None, link: QuoteLink | None = None) -> Quote:
    """Move a quote to another state by the table of moves; the job follows where its own moves allow.

    An acceptance or refusal is kept as an answer, of what was `said` through a `link` or told to the studio. With an
    acceptance the stock is reserved as the job is agreed, days are proposed and the first payment is asked for; taking
    the mark back undoes all of it.
    """
    lock_numbers()
    fresh: Quote = Quote.objects.select_related("job__client").get(pk=quote.pk)
    move = move_to(fresh.state, to)
    if move is None:
        wanted = dict(Quote.State.choices).get(to, "that state")
        raise MoveNotAllowed(
            f"{fresh} is {fresh.get_state_display()} and cannot become “{wanted}”; choose one of the moves shown."
        )
    if move.back:
        _check_way_back(fresh)
        take_answer_back(quote=fresh, by=by)
    fresh.state = to
    fresh.state_changed_by, fresh.state_changed_at = by, timezone.now()
    fresh.save(update_fields=["state", "state_changed_by", "state_changed_at"])
    if to in ANSWERS:
        keep_answer(quote=fresh, kind=ANSWERS[Quote.State(to)], said=said or Said(), link=link, by=by)
    came_from = Job.objects.values_list("state", flat=True).get(pk=fresh.job_id)
    bring_job(job=fresh.job, to=move.job_to, by=by)
    plan_days(quote=fresh, came_from=came_from, by=by)
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
