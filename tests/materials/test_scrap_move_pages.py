"""Putting scrap of one bin into another through the bin's page."""

from typing import Any

import pytest
from django.test import Client

from materials import ledger
from materials.models import Movement, ScrapBin
from materials.properties import Chemistry
from tests.factories import ScrapBinFactory
from tests.materials.pages import address, key_in, questions, text_of

pytestmark = pytest.mark.django_db
SAME = {"family": "Blue line", "colour": "blue", "washed": True}


@pytest.fixture
def bin_a(db: Any) -> ScrapBin:
    return ScrapBinFactory(label="A", holding=800, **SAME)


def masses() -> dict[str, int]:
    return {one.label: int(one.on_hand_g) for one in ScrapBin.objects.all()}


def test_pools_what_is_the_same_and_undoes_both_lines(owner_client: Client, bin_a: ScrapBin) -> None:
    target = ScrapBinFactory(label="B", holding=100, **SAME)
    ScrapBinFactory(label="Tin", chemistry=Chemistry.TIN_SILICONE.value, holding=50)
    url = address("scrap_move", bin_a.pk)
    ledger.reserve(of=bin_a, mass_g=300, key="held", by=None, job_number=4)
    page = text_of(owner_client.get(url).content)
    assert "the same by all that is written on both" in page
    assert "Tin" not in page
    sent = {"key": key_in(owner_client, url), "target": target.pk, "mass_g": ""}
    for _ in range(2):
        assert owner_client.post(url, sent).status_code == 302
    assert masses() == {"A": 300, "B": 600, "Tin": 50}
    out = Movement.objects.get(kind="move", scrap_bin=bin_a)
    undo = address("line_undo", out.pk)
    owner_client.post(undo, {"key": key_in(owner_client, undo), "why": "mixed up"})
    assert masses() == {"A": 800, "B": 100, "Tin": 50}
    assert ledger.unbalanced() == ledger.unbalanced_books() == []


def test_wants_a_look_at_what_differs(owner_client: Client, bin_a: ScrapBin) -> None:
    other = ScrapBinFactory(label="B", family="Red line", colour="red", washed=True, chunk_edge_mm=60)
    url = address("scrap_move", bin_a.pk)
    sent = {"key": key_in(owner_client, url), "target": other.pk, "mass_g": "200", "why": "sorted"}
    answer = owner_client.post(url, sent)
    page = text_of(answer.content)
    assert answer.status_code == 422
    assert "These differ: another maker’s family, blends have come apart; another colour; smaller chunks." in page
    assert 'value="200"' in page
    owner_client.post(url, sent | {"knows": "on"})
    assert masses() == {"A": 600, "B": 200}


def test_moves_nothing_of_nonsense_or_of_the_unknown(owner_client: Client, bin_a: ScrapBin) -> None:
    tin = ScrapBinFactory(label="Tin", chemistry=Chemistry.TIN_SILICONE.value, holding=50)
    ScrapBinFactory(label="B", **SAME)
    url = address("scrap_move", bin_a.pk)
    key = key_in(owner_client, url)
    for hostile in ({"target": tin.pk}, {"target": "x"}, {"target": "9" * 40}, {"mass_g": "801"}, {"mass_g": "NaN"}, {"key": ""}):
        sent = {"key": key, "target": ScrapBin.objects.get(label="B").pk, "mass_g": "5"} | hostile
        assert owner_client.post(url, sent).status_code == 422, hostile
    unknown = ScrapBinFactory(label="?", chemistry=Chemistry.OTHER.value, holding=50)
    ScrapBinFactory(label="??", chemistry=Chemistry.OTHER.value, holding=50)
    assert "goes together with nothing" in text_of(owner_client.get(address("scrap_move", unknown.pk)).content)
    assert masses()["A"] == 800


def test_asks_as_much_however_many_bins_there_are(owner_client: Client, bin_a: ScrapBin) -> None:
    url = address("scrap_move", bin_a.pk)
    few = questions(owner_client, url)
    ScrapBinFactory.create_batch(5)
    assert questions(owner_client, url) == few
