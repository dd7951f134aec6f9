"""Rows of the costing app."""

from costing.models.quote import Quote, QuoteLine, QuoteSequence
from costing.models.terms import PriceTerms

__all__ = ["PriceTerms", "Quote", "QuoteLine", "QuoteSequence"]
