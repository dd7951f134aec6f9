"""Keeping the terms that a job is priced on, and putting earlier ones back."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from costing.errors import NothingToPutBack, TermsChangedMeanwhile
from costing.models import PriceTerms
from jobs.models import Job
from studio.models import Account

FIELDS = (
    "labour_rate_per_h",
    "overhead_per_h",
    "margin_percent",
    "tax_percent",
    "quantity_breaks",
    "extra_label",
    "extra_cost",
    "mold_tax_percent",
    "casting_tax_percent",
    "extra_tax_percent",
    "minimum_charge",
    "rush_percent",
    "discount_percent",
    "discount_label",
    "storage_months",
    "storage_per_month",
    "payment_stages",
    "contingency_percentile",
    "learning_percent",
    "learning_model",
    "spare_molds",
)


def with_values(job: Job, values: Mapping[str, Any]) -> PriceTerms:
    """Return terms that are not kept, to see what a price would be."""
    return PriceTerms(job=job, **{name: values[name] for name in FIELDS if name in values})


@transaction.atomic
def keep_terms(*, job: Job, values: Mapping[str, Any], revision: int, by: Account) -> PriceTerms:
    """Keep terms typed on a page that was opened at a revision; refused when somebody else kept newer ones."""
    terms = _locked(job)
    if terms.revision != revision:
        who = terms.changed_by.name if terms.changed_by else "Somebody"
        raise TermsChangedMeanwhile(
            f"{who} kept other terms at {timezone.localtime(terms.changed_at):%H:%M}, after you opened the page. "
            "What you typed still stands below: keep it again to replace theirs, or load the page to see theirs."
        )
    return _store(terms, {name: values[name] for name in FIELDS if name in values}, by)


@transaction.atomic
def put_back_terms(*, job: Job, by: Account) -> PriceTerms:
    """Put the terms before the last change back; doing it twice brings the change back."""
    terms = _locked(job)
    if terms.previous is None:
        raise NothingToPutBack("There is nothing to put back: these terms were not changed yet.")
    return _store(terms, {name: _plain(name, value) for name, value in terms.previous.items() if name in FIELDS}, by)


def _locked(job: Job) -> PriceTerms:
    PriceTerms.objects.get_or_create(job=job)
    return PriceTerms.objects.select_for_update(of=("self",)).select_related("changed_by").get(job=job)


def _store(terms: PriceTerms, values: Mapping[str, Any], by: Account) -> PriceTerms:
    terms.previous = {name: _kept(getattr(terms, name)) for name in FIELDS}
    for name, value in values.items():
        setattr(terms, name, value)
    terms.revision += 1
    terms.changed_by, terms.changed_at = by, timezone.now()
    terms.save()
    return terms


def _kept(value: Any) -> Any:
    return str(value) if isinstance(value, Decimal) else value


def _plain(name: str, value: Any) -> Any:
    is_number = isinstance(PriceTerms._meta.get_field(name), models.DecimalField)
    return Decimal(value) if is_number and value is not None else value
