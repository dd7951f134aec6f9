"""Whose hour it is on a job: what an hour and the rubber count now, what somebody tries, and keeping a rate for the job."""

from collections.abc import Mapping
from decimal import Decimal

from django.db import transaction

from costing.engine.brief import Terms
from costing.engine.frontier.reading import Reading, Stance, charged_hour, employed_hour, labour_rate_from, price_factor
from costing.inputs import terms_of, terms_values
from costing.models import PriceTerms
from costing.services.terms import keep_terms
from jobs.models import Job
from studio.figures import Given, Source, SourceKind
from studio.models import Account, StudioProfile

_PROFILE = Source(kind=SourceKind.OWN, text="the studio's profile")


def standing(reading: Reading, terms: Terms, profile: StudioProfile, rubber_price: Given | None) -> Stance:
    """Return what an hour and material count now, as a job's terms and the studio's profile say."""
    if reading is Reading.OWN:
        value = profile.own_hour_value
        hour = None if value is None else Given(label="An hour of one's own", value=float(value), unit="money/h", source=_PROFILE)
        return Stance(reading=reading, hour=hour, rubber_price=rubber_price)
    if reading is Reading.EMPLOYED:
        return Stance(reading=reading, hour=employed_hour(terms), rubber_price=rubber_price)
    return Stance(reading=reading, hour=charged_hour(terms), factor=price_factor(terms), rubber_price=rubber_price)


def tried(now: Stance, *, hour: Decimal | None, rubber_price: Decimal | None) -> Stance:
    """Return what somebody tries in place of what counts now; None leaves it."""
    labels = {
        Reading.OWN: "An hour of one's own", Reading.EMPLOYED: "An hour with overhead",
        Reading.CLIENT: "An hour as it is charged",
    }  # fmt: skip
    typed_hour = now.hour if hour is None else Given(label=labels[now.reading], value=float(hour), unit="money/h")
    price = now.rubber_price
    if rubber_price is not None:
        price = Given(label=price.label if price else "Price", value=float(rubber_price), unit="money/kg")
    return Stance(reading=now.reading, hour=typed_hour, factor=now.factor, rubber_price=price)


@transaction.atomic
def keep_hour(
    *, job: Job, reading: Reading, hour: Decimal, revision: int, profile: StudioProfile, by: Account
) -> PriceTerms:  # fmt: skip
    """Keep the labour rate of a job at which an hour counts this much in a reading.

    Raises
    ------
    EngineError
        When overhead alone is more than that.
    TermsChangedMeanwhile
        When somebody kept other terms after the page was opened.
    """
    values: Mapping[str, Decimal] = {"labour_rate_per_h": labour_rate_from(reading, hour, terms_values(terms_of(job), profile))}
    return keep_terms(job=job, values=values, revision=revision, by=by)
