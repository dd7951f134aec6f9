"""A client's answer by their private link: taken once, while the quote stands, for the total that they saw."""

from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from costing.errors import AnswerRefused, CostingError
from costing.models import Quote, QuoteAnswer, QuoteLink
from costing.services.agreed import totals_agreed
from costing.services.agreement import Said
from costing.services.numbering import lock_numbers
from costing.services.quote_moves import move_quote
from materials import ledger
from studio.errors import StudioError

STATES = {QuoteAnswer.Kind.ACCEPTED: Quote.State.ACCEPTED, QuoteAnswer.Kind.DECLINED: Quote.State.DECLINED}
OF_THE_STUDIO = "Your answer could not be written down at this moment; nothing was changed. Send it once more in a minute."


def answer_by_link(*, link: QuoteLink, kind: str, said: Said, shown_gross: Decimal | None) -> QuoteAnswer:
    """Take an answer; two windows that send at once are heard one after the other, and the second is refused.

    Raises
    ------
    AnswerRefused
        With a sentence for the client: answered already, replaced, withdrawn, run out, or another total than was shown.
    """
    try:
        return ledger.patiently(lambda: _answer(link, kind, said, shown_gross))
    except CostingError:
        raise
    except StudioError:
        # What the shelf or the job says is no concern of a client's.
        raise AnswerRefused(OF_THE_STUDIO) from None


@transaction.atomic
def _answer(link: QuoteLink, kind: str, said: Said, shown_gross: Decimal | None) -> QuoteAnswer:
    lock_numbers()
    fresh = QuoteLink.objects.select_related("quote__job").get(pk=link.pk)
    if fresh.revoked_at is not None or fresh.expires_at <= timezone.now():
        raise AnswerRefused("This link opens nothing any more. Ask the studio for a new one.")
    quote: Quote = fresh.quote
    _check_open(quote)
    known = set(quote.options.values_list("position", flat=True))
    if not said.name.strip():
        raise AnswerRefused("Write your name, so that the studio knows who answered.")
    if kind == QuoteAnswer.Kind.ACCEPTED:
        if not set(said.positions) <= known:
            raise AnswerRefused("An option that you ticked is not in this quote. Open the quote again and choose anew.")
        if shown_gross != totals_agreed(quote, said.positions).gross:
            raise AnswerRefused("The total is not the one that you were shown. Look at the total below, then accept.")
    move_quote(quote=quote, to=STATES[QuoteAnswer.Kind(kind)], by=None, said=said, link=fresh)
    found: QuoteAnswer = QuoteAnswer.objects.get(quote=quote, taken_back_at=None)
    return found


def _check_open(quote: Quote) -> None:
    if quote.state in {Quote.State.ACCEPTED, Quote.State.DECLINED}:
        raise AnswerRefused(f"This quote is {quote.get_state_display()} already; a second answer was not taken.")
    if quote.state != Quote.State.OFFERED:
        raise AnswerRefused("This quote does not stand any more. Ask the studio for the one that does.")
    if quote.valid_until_on < timezone.localdate():
        raise AnswerRefused("The validity of this quote has ended. Ask the studio whether it still stands.")
