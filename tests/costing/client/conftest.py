from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.cache import caches
from django.utils import timezone

from costing.models import Quote, QuoteOption
from jobs.models import Job
from tests.factories import QuoteFactory


@pytest.fixture(autouse=True)
def _fresh_counts() -> None:
    caches["default"].clear()


@pytest.fixture
def quote(job: Job) -> Quote:
    """Return a quote of 120 that stands, with options of 50 and 10 before 20 % tax, a deposit of half and the rest."""
    today = timezone.localdate()
    made: Quote = QuoteFactory(job=job, issued_on=today, valid_until_on=today + timedelta(days=20), inner={"hours": "sevenhours"})
    made.content["payments"] = [{"label": "Deposit", "amount": "60.00"}, {"label": "Balance", "amount": "60.00"}]
    made.save()
    Job.objects.filter(pk=job.pk).update(state=Job.State.QUOTED)
    for position, net in ((1, 50), (2, 10)):
        QuoteOption.objects.create(
            quote=made, position=position, text=f"Option no. {position}", quantity=1, unit_price=net, net=net, tax_percent=20,
            tax=Decimal(net) / 5,
        )  # fmt: skip
    made.refresh_from_db()
    return made
