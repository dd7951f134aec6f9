"""Rows of the costing app."""

from costing.models.client_link import QuoteAnswer, QuoteLink
from costing.models.learning import RateAdoption
from costing.models.options import OfferOption, QuoteOption
from costing.models.payments import PaymentRequest
from costing.models.quote import Quote, QuoteLine, QuoteSequence
from costing.models.terms import PriceTerms

__all__ = [
    "OfferOption",
    "PaymentRequest",
    "PriceTerms",
    "Quote",
    "QuoteAnswer",
    "QuoteLine",
    "QuoteLink",
    "QuoteOption",
    "QuoteSequence",
    "RateAdoption",
]
