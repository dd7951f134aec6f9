"""Test cups through the lot's page."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from materials.errors import NotEnough
from materials.models import Lot
from materials.services.mixes import propose_mix
from tests.factories import LotFactory
from tests.materials.pages import address, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def old(db: Any) -> Lot:
    return LotFactory(holding=500, note="dented", opened_on=timezone.localdate() - datetime.timedelta(days=300))


def cup(cured: str, on: datetime.date | None = None) -> dict[str, str]:
    return {"cup-tested_on": (on or timezone.localdate()).isoformat(), "cup-cured": cured}


def test_a_cup_that_cured_ends_the_reminder(owner_client: Client, old: Lot) -> None:
    for page in (address("stock_show"), address("lot_show", old.pk), address("material_show", old.material_id)):
        assert "?do=cup#cup" in text_of(owner_client.get(page).content)
    owner_client.post(address("lot_gel_test", old.pk), cup("yes"))
    old.refresh_from_db()
    assert (old.gel_tested_on, old.quarantined, old.note) == (timezone.localdate(), False, "dented")
    for page in (address("stock_show"), address("lot_show", old.pk), address("material_show", old.material_id)):
        assert "?do=cup#cup" not in text_of(owner_client.get(page).content)


def test_a_cup_that_did_not_cure_sets_the_lot_aside_and_can_be_taken_back(owner_client: Client, old: Lot) -> None:
    owner_client.post(address("lot_gel_test", old.pk), cup("no"))
    old.refresh_from_db()
    assert old.quarantined
    assert old.note.startswith("did not cure as it should in the test cup of")
    with pytest.raises(NotEnough):
        propose_mix(material=old.material, mass_g=old.on_hand_g, today=timezone.localdate())
    assert "Take the test cup back" in text_of(owner_client.get(address("lot_show", old.pk)).content)
    for _ in range(2):
        owner_client.post(address("lot_gel_test_undo", old.pk))
    old.refresh_from_db()
    assert (old.gel_tested_on, old.quarantined, old.note) == (None, False, "dented")


@pytest.mark.parametrize(
    "typed", [{"cup-cured": "maybe"}, {"cup-cured": ""}, {"cup-tested_on": "2999-01-01"}, {"cup-tested_on": "x"}]
)
def test_nonsense_is_refused_in_an_open_form(owner_client: Client, old: Lot, typed: dict[str, str]) -> None:
    answer: Any = owner_client.post(address("lot_gel_test", old.pk), cup("yes") | typed)
    assert answer.status_code == 422
    assert answer.context["open"] == "cup"
    old.refresh_from_db()
    assert old.gel_tested_on is None
