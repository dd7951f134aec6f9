"""What the costing app refuses; each message says what the person can change."""

from studio.errors import StudioError


class CostingError(StudioError):
    """Base of every refusal of this app."""


class TermsChangedMeanwhile(CostingError):
    """Somebody else kept other terms after the page was opened."""


class NothingToPutBack(CostingError):
    """There are no earlier terms to go back to."""


class PriceHasMoved(CostingError):
    """The price is no longer what the person saw before freezing it."""


class VersionTaken(CostingError):
    """The job got a quote or a version after the page was opened."""


class QuoteIsAgreed(CostingError):
    """A job whose quote is accepted gets no further version."""


class MoveNotAllowed(CostingError):
    """A quote cannot go from its state to the one asked for."""


class QuoteTooLong(CostingError):
    """A quote has more lines than can be printed."""


class LinkOpensNothing(CostingError):
    """A token is not known, or was revoked."""


class LinkRanOut(CostingError):
    """A client's link is past its last day."""


class QuoteReplaced(CostingError):
    """A later version has taken the place of the quote that a link opens."""


class QuoteTakenBack(CostingError):
    """The studio has withdrawn the quote that a link opens."""


class LinkRefused(CostingError):
    """A link cannot be made for this quote, or not with this last day."""


class AnswerRefused(CostingError):
    """A client's answer cannot be taken."""


class PaymentRefused(CostingError):
    """A payment cannot be asked for, marked or undone."""


class OptionRefused(CostingError):
    """An option cannot be added, changed, moved or brought back."""


class AdoptionRefused(CostingError):
    """A learnt rate cannot be taken over or put back."""
