"""What follows from an answer: kept once, the options and totals agreed, the first payment asked for, the days planned.

Call inside a transaction that holds the lock on the numbers of quotes.
"""

from dataclasses import dataclass

from django.utils import timezone

from costing.models import Quote, QuoteAnswer, QuoteLink
from costing.services.agreed import totals_agreed
from costing.services.payments import ask_first, cancel_unpaid
from jobs.days.asking import ask_after_news
from jobs.models import Job
from studio.models import Account

LONGEST_NAME, MOST_WORDS = 120, 2000
AGREED = ("agreed_net", "agreed_tax", "agreed_gross")


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What somebody said to a quote: their name, a few words, the options chosen."""

    name: str = ""
    words: str = ""
    positions: tuple[int, ...] = ()


def keep_answer(*, quote: Quote, kind: str, said: Said, link: QuoteLink | None, by: Account | None) -> QuoteAnswer:
    """Keep the answer to a quote; after an acceptance, what was agreed and the first request for payment too."""
    accepted = kind == QuoteAnswer.Kind.ACCEPTED
    positions = sorted(set(said.positions)) if accepted else []
    totals = totals_agreed(quote, positions)
    answer: QuoteAnswer = QuoteAnswer.objects.create(
        quote=quote,
        link=link,
        kind=kind,
        name=(said.name.strip() or _client_of(quote))[:LONGEST_NAME],
        words=said.words.strip()[:MOST_WORDS],
        option_positions=positions,
        gross=totals.gross,
        answered_at=timezone.now(),
    )
    if accepted:
        quote.options.filter(position__in=positions).update(chosen=True)
        quote.agreed_net, quote.agreed_tax, quote.agreed_gross = totals.net, totals.tax, totals.gross
        quote.save(update_fields=["agreed_net", "agreed_tax", "agreed_gross"])
        ask_first(quote=quote, gross=totals.gross, by=by)
    return answer


def take_answer_back(*, quote: Quote, by: Account | None) -> None:
    """Undo what an answer brought with it; refused when a payment has come."""
    cancel_unpaid(quote=quote, by=by)
    QuoteAnswer.objects.filter(quote=quote, taken_back_at=None).update(taken_back_at=timezone.now())
    quote.options.filter(chosen=True).update(chosen=False)
    for name in AGREED:
        setattr(quote, name, None)
    quote.save(update_fields=AGREED)


def plan_days(*, quote: Quote, came_from: str, by: Account | None) -> None:
    """Have days proposed when a job came to be agreed or is agreed no more; people use or put by what is proposed."""
    now = Job.objects.values_list("state", flat=True).get(pk=quote.job_id)
    if now == came_from:
        return
    if now == Job.State.AGREED:
        ask_after_news(by=by, sentence=f"Job {quote.job.number} is agreed, by {_spoken(quote)}.")
    elif came_from == Job.State.AGREED:
        ask_after_news(by=by, sentence=f"Job {quote.job.number} is not agreed any more.")


def _client_of(quote: Quote) -> str:
    client = quote.job.client
    return client.contact or client.name


def _spoken(quote: Quote) -> str:
    name = str(quote)
    return name[:1].lower() + name[1:]
