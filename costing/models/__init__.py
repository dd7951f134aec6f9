"""Rows of the costing app."""

from costing.models.quote import Quote, QuoteLine
from costing.models.terms import PriceTerms

__all__ = ["PriceTerms", "Quote", "QuoteLine"]
