"""The form of a job's terms: what it keeps, what it refuses, and that all of it is put back."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from costing.engine.payments import Moment, StageShare
from costing.forms.terms import TermsForm, initial_of
from costing.inputs import terms_of, terms_values
from costing.models import PriceTerms
from costing.services.terms import FIELDS
from jobs.models import Job
from studio.models import StudioProfile

WHOLE = {
    "labour_rate_per_h": "30", "overhead_per_h": "10", "margin_percent": "25", "tax_percent": "21",
    "quantity_breaks": "1, 2", "extra_label": "Crate", "extra_cost": "40", "mold_tax_percent": "9",
    "casting_tax_percent": "21", "extra_tax_percent": "0", "minimum_charge": "150", "rush_percent": "25",
    "discount_percent": "5", "discount_label": "second order", "storage_months": "6", "storage_per_month": "4",
    "pay_agreed": "25", "pay_opened": "25", "pay_ready": "50", "contingency_percentile": "80",
    "learning_percent": "90", "learning_model": "unit", "spare_molds": "1",
}  # fmt: skip


def form_of(**typed: str) -> TermsForm:
    return TermsForm(typed, profile=StudioProfile())


class TestTermsForm:
    @pytest.mark.parametrize(("said_as", "typed", "kept"), [
        ("price", "40", "40"), ("", "40", "40"), ("cost", "40", "28.57"), ("cost", "66.6667", "40.00"), ("cost", "1900", "95"),
    ])  # fmt: skip
    def test_keeps_a_markup_as_the_margin_it_comes_to(self, said_as: str, typed: str, kept: str) -> None:
        form = form_of(margin_percent=typed, margin_of=said_as)
        assert form.is_valid(), form.errors
        assert form.terms["margin_percent"] == Decimal(kept)

    @pytest.mark.parametrize(("field", "typed"), [
        ("margin_percent", {"margin_percent": "96"}),
        ("margin_percent", {"margin_percent": "1901", "margin_of": "cost"}),
        ("pay_ready", {"pay_agreed": "50", "pay_ready": "49"}),
        ("pay_ready", {"pay_agreed": "0"}),
        ("discount_percent", {"discount_percent": "100"}),
        ("discount_percent", {"discount_label": "friends"}),
        ("contingency_percentile", {"contingency_percentile": "96"}),
        ("learning_percent", {"learning_percent": "49"}),
        ("learning_model", {"learning_model": "magic"}),
        ("rush_percent", {"rush_percent": "301"}),
        ("storage_months", {"storage_months": "1.5"}),
    ])  # fmt: skip
    def test_refuses_what_cannot_be_kept(self, field: str, typed: dict[str, str]) -> None:
        form = form_of(**typed)
        assert not form.is_valid()
        assert list(form.errors) == [field]

    def test_folds_away_what_nothing_is_said_in(self) -> None:
        empty = TermsForm(initial=initial_of(PriceTerms()), profile=StudioProfile())
        assert not any(group.opened for group in empty.groups)
        kept = TermsForm(initial=initial_of(PriceTerms(payment_stages=[["agreed", "100"]])), profile=StudioProfile())
        assert [group.heading for group in kept.groups if group.opened] == ["When the client pays"]


@pytest.mark.django_db
class TestKeepingAll:
    def test_every_term_is_kept_shown_again_and_put_back(self, office: Client, job: Job) -> None:
        def values() -> dict[str, Any]:
            terms = PriceTerms.objects.get(job=job)
            return {name: getattr(terms, name) for name in FIELDS}

        at = f"/jobs/{job.number}/price/"
        office.post(f"{at}keep/", {"quantity_breaks": "1", "revision": "0"})
        empty = values()
        assert office.post(f"{at}keep/", {**WHOLE, "revision": "1"}).status_code == 302
        kept = values()
        assert all(kept[name] != empty[name] for name in FIELDS)
        shown = office.get(at).context["form"]
        sent = {name: shown[name].value() for name in shown.fields}
        again = TermsForm({name: "" if value is None else str(value) for name, value in sent.items()}, profile=StudioProfile())
        assert again.is_valid(), again.errors
        assert again.terms == kept
        office.post(f"{at}back/")
        assert values() == empty
        office.post(f"{at}back/")
        assert values() == kept

    def test_what_is_empty_takes_the_studios_value(self, job: Job) -> None:
        profile = StudioProfile.objects.current()
        profile.minimum_charge, profile.storage_per_month, profile.deposit_covers_special = Decimal(90), Decimal(3), False
        found = terms_values(terms_of(job), profile)
        assert (found.minimum_charge, found.storage_per_month, found.deposit_covers_special) == (90, 3, False)
        assert found.tax_on_mold == found.tax_on_castings == found.tax_on_extra == profile.tax_percent
        assert (found.stages, found.spare_molds, found.learning_percent, found.contingency_percentile) == ((), None, None, None)
        typed = terms_values(PriceTerms(job=job, minimum_charge=Decimal(0), payment_stages=[["ready", "100"]]), profile)
        assert typed.minimum_charge == 0
        assert typed.stages == (StageShare(moment=Moment.READY, percent=Decimal(100)),)
