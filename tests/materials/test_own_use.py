"""Use of a day from the studio's own lines, and the reorder point of a material."""

import datetime
import statistics
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from materials import ledger
from materials.models import Lot, Material, Movement
from materials.services.own_use import own_use, reorder_of
from tests.factories import LotFactory, MaterialFactory
from tests.materials.pages import address

pytestmark = pytest.mark.django_db


def _moved(lot: Lot, days_ago: int, mass_g: int, *, back: bool = False) -> Movement:
    """Use a mass of a lot, or put it back, as if it had been so many days ago."""
    act = ledger.return_ if back else ledger.issue
    at = timezone.now() - datetime.timedelta(days=days_ago)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("materials.ledger.writing.timezone.now", lambda: at)
        return act(of=lot, mass_g=Decimal(mass_g), key=f"{lot.pk}-{days_ago}-{back}", by=None)


def _lot(material: Material, days_ago: int) -> Lot:
    lot: Lot = LotFactory(material=material)
    at = timezone.now() - datetime.timedelta(days=days_ago)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("materials.ledger.writing.timezone.now", lambda: at)
        ledger.receive(of=lot, mass_g=Decimal(50_000), key=f"came-{lot.pk}", by=None)
    return lot


class TestOwnUse:
    def test_weeks_with_nothing_count_and_what_came_back_does_not(self) -> None:
        material = MaterialFactory(mix_basis="one_part", lead_days=10, lead_spread_days=2)
        lot = _lot(material, 36)
        for days_ago, mass in ((34, 700), (20, 1400), (13, 350)):
            _moved(lot, days_ago, mass)
        _moved(lot, 12, 140, back=True)
        ledger.reverse(movement=_moved(lot, 3, 9999), key="a mistake", by=None)
        today = timezone.localdate()
        found = own_use([material.pk], today)[material.pk]
        # By hand: five full weeks, the oldest first; what was undone was never used.
        weeks = [700, 0, 1400, 210, 0]
        assert found.weeks == 5
        assert found.mean is not None
        assert found.spread is not None
        assert found.mean.value == pytest.approx(sum(weeks) / 35)
        # Independent: the standard library's sample deviation.
        assert found.spread.value == pytest.approx(statistics.stdev(weeks) / 7**0.5)
        point, _ = reorder_of(material, found)
        assert point is not None
        sigma = (10 * found.spread.value**2 + found.mean.value**2 * 4) ** 0.5
        assert point.point.value == pytest.approx(10 * found.mean.value + statistics.NormalDist().inv_cdf(0.95) * sigma)

    def test_says_what_is_missing(self) -> None:
        young, unknown = MaterialFactory(mix_basis="one_part", lead_days=5), MaterialFactory(mix_basis="one_part")
        _moved(_lot(young, 20), 15, 100)
        found = own_use([young.pk, unknown.pk], timezone.localdate())
        assert (found[young.pk].weeks, found[young.pk].mean) == (2, None)
        assert reorder_of(young, found[young.pk]) == (None, "2 of 4 weeks of own use are there yet.")
        assert "How many days a delivery takes is not known" in reorder_of(unknown, found[unknown.pk])[1]

    def test_as_many_queries_for_many(self, django_assert_num_queries: Any) -> None:
        many = [MaterialFactory(mix_basis="one_part").pk for _ in range(4)]
        for some in (many[:1], many):
            with django_assert_num_queries(2):
                own_use(some, timezone.localdate())


def test_lead_days_are_typed_on_the_form(owner_client: Client) -> None:
    material = MaterialFactory(kind="release", mix_basis="one_part")
    form = {"name": material.name, "chemistry": material.chemistry, "lead_days": "12", "lead_spread_days": "900"}
    refused = owner_client.post(address("material_change", material.pk), form)
    assert refused.status_code == 422
    assert 'value="12"' in refused.content.decode()
    owner_client.post(address("material_change", material.pk), {**form, "lead_spread_days": "3"})
    material.refresh_from_db()
    assert (material.lead_days, material.lead_spread_days) == (12, 3)
    owner_client.post(address("material_change", material.pk), {**form, "lead_days": "", "lead_spread_days": ""})
    material.refresh_from_db()
    assert (material.lead_days, material.lead_spread_days) == (None, None)
