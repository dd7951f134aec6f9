"""Numbers of quotes: each given once, however many people freeze at the same moment."""

from django.db.models import Max

from costing.models import Quote, QuoteSequence

FIRST_NUMBER = 1001


def lock_numbers() -> QuoteSequence:
    """Lock the row that gives numbers; call inside a transaction, whose end lets it go.

    Whoever freezes a quote holds this lock, so versions of one number are counted one after the other too.
    """
    QuoteSequence.objects.get_or_create(pk=1, defaults={"last_number": _highest()})
    return QuoteSequence.objects.select_for_update().get(pk=1)


def take_number(sequence: QuoteSequence) -> int:
    """Take the next number from the locked row."""
    sequence.last_number += 1
    sequence.save(update_fields=["last_number"])
    return sequence.last_number


def _highest() -> int:
    highest: int | None = Quote.objects.aggregate(highest=Max("number"))["highest"]
    return max(highest or 0, FIRST_NUMBER - 1)
