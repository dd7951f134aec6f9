"""The shelf and the list of materials as somebody sees them."""

import datetime
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from materials import ledger
from materials.catalogue.starter import STARTER
from materials.models import Lot, Material
from studio.access import Role
from studio.models import StudioProfile
from tests.factories import LotFactory, MaterialFactory, ScrapBinFactory
from tests.materials.pages import address, questions, text_of

pytestmark = pytest.mark.django_db
RATIO = {"parts_a_by_weight": 100.0, "parts_b_by_weight": 10.0}


def days(number: int) -> datetime.date:
    return timezone.localdate() + datetime.timedelta(days=number)


class TestStockShow:
    def test_offers_the_materials_first_when_there_is_nothing(self, owner_client: Client) -> None:
        page = owner_client.get(address("stock_show")).content.decode()
        assert "Nothing on the shelf yet" in page
        assert address("materials_list") in page

    def test_shows_what_is_free_and_promised_with_a_drawing(self, owner_client: Client) -> None:
        lot = LotFactory(holding=2500, material__name="Grey rubber")
        ledger.reserve(of=lot, mass_g=700, key="hold", by=None, job_number=4)
        page = owner_client.get(address("stock_show")).content.decode()
        assert "Grey rubber" in page
        assert "1,800 g free, 700 g promised, of 2,500 g delivered" in text_of(page.encode())
        assert "To look at" not in page

    def test_says_what_wants_looking_at(self, owner_client: Client) -> None:
        LotFactory(holding=100, expires_on=days(-1), material__name="Old rubber")
        LotFactory(holding=100, expires_on=days(20), material__name="Ripe rubber")
        LotFactory(holding=100, quarantined=True, note="smells", material__name="Doubtful rubber")
        LotFactory(holding=100, material=MaterialFactory(name="Scarce rubber", low_below_g=Decimal(500)))
        pair = MaterialFactory(name="Odd rubber", properties=RATIO)
        LotFactory(holding=7000, material=pair, component=Lot.Component.A, kit_code="K1")
        LotFactory(holding=670, material=pair, component=Lot.Component.B, kit_code="K1")
        page = owner_client.get(address("stock_show")).content.decode()
        for word in ("expired", "use soon", "set aside", "low", "odd part"):
            assert f">{word}</span>" in page
        # M6 of the trade's arithmetic: 7.0 A and 0.67 B at 10:1 leave 0.30 of A.
        assert '<span class="number">300</span>' in page

    def test_draws_what_expires_within_a_month_apart_from_what_keeps(self, owner_client: Client) -> None:
        ripe = LotFactory(holding=300, expires_on=days(30))
        ledger.reserve(of=ripe, mass_g=100, key="hold", by=None, job_number=4)
        LotFactory(holding=500, expires_on=days(31), material=ripe.material)
        page = text_of(owner_client.get(address("stock_show")).content)
        assert "200 g to be used soon, 500 g free, 100 g promised, of 800 g delivered" in page

    @pytest.mark.parametrize("page", ["stock_show", "expected_list", "behaviour_list", "counts_list", "labels_show"])
    def test_leads_to_its_worth_from_every_page_where_money_is_seen(self, signed_in: Callable[[Role], Client], page: str) -> None:
        maker, way = signed_in(Role.MAKER), address("stock_value_show")
        assert way in maker.get(address(page)).content.decode()
        StudioProfile.objects.update(money_hidden_from_makers=True)
        assert way not in maker.get(address(page)).content.decode()

    def test_says_that_an_expired_lot_is_not_free(self, owner_client: Client) -> None:
        LotFactory(holding=100, expires_on=days(-1))
        page = text_of(owner_client.get(address("stock_show")).content)
        assert "100 g expired or set aside, of 100 g delivered" in page

    def test_asks_no_more_questions_when_more_stands_there(self, owner_client: Client) -> None:
        counts = []
        for number in (3, 27):
            for turn in range(number):
                lot = LotFactory(holding=100, material__name=f"Rubber {number}-{turn}", expires_on=days(turn - 2))
                ScrapBinFactory(holding=50)
                ledger.reserve(of=lot, mass_g=10, key=f"r{lot.pk}", by=None, job_number=1)
            counts.append(questions(owner_client, address("stock_show")))
        assert counts[0] == counts[1] < 15

    def test_is_refused_to_nobody_who_works_here(self, signed_in: Callable[[Role], Client]) -> None:
        assert [signed_in(role).get(address("stock_show")).status_code for role in Role] == [200] * len(Role)
        assert Client().get(address("stock_show")).status_code == 302


class TestMaterialsList:
    def test_offers_the_starter_catalogue_when_empty(self, owner_client: Client) -> None:
        assert "Add the starter catalogue" in owner_client.get(address("materials_list")).content.decode()

    def test_filters_by_what_they_are_for(self, owner_client: Client) -> None:
        MaterialFactory(name="Soft one")
        MaterialFactory(name="Clear one", kind="resin")
        page = owner_client.get(address("materials_list"), {"kind": "resin"}).content.decode()
        assert "Clear one" in page
        assert "Soft one" not in page

    def test_keeps_the_retired_apart(self, owner_client: Client) -> None:
        MaterialFactory(name="Gone one", active=False)
        assert "Gone one" not in owner_client.get(address("materials_list")).content.decode()
        assert "Gone one" in owner_client.get(address("materials_list"), {"use": "retired"}).content.decode()

    @pytest.mark.parametrize("query", ["kind=%00", "kind=" + "x" * 5000, "use=%ff%fe", "kind=resin&kind=rubber"])
    def test_survives_nonsense(self, owner_client: Client, query: str) -> None:
        assert owner_client.get(address("materials_list") + "?" + query).status_code == 200

    def test_answers_htmx_with_the_list_alone(self, owner_client: Client) -> None:
        MaterialFactory()
        part = owner_client.get(address("materials_list"), headers={"HX-Request": "true"}).content.decode()
        assert "<html" not in part
        assert 'id="materials-found"' in part

    def test_asks_no_more_questions_for_more_materials(self, owner_client: Client) -> None:
        counts = []
        for number in (3, 27):
            for _ in range(number):
                LotFactory(holding=100)
            counts.append(questions(owner_client, address("materials_list")))
        assert counts[0] == counts[1] < 10


class TestCatalogueLoad:
    def test_adds_every_generic_material_once(self, owner_client: Client) -> None:
        for _ in range(2):
            answer = owner_client.post(address("catalogue_load"), follow=True)
        assert Material.objects.count() == len(STARTER)
        assert f"{len(STARTER)} that you had already were left as they are" in answer.content.decode()

    def test_is_for_those_who_may_change_materials(self, signed_in: Callable[[Role], Client]) -> None:
        assert signed_in(Role.MAKER).post(address("catalogue_load")).status_code == 403
        assert not Material.objects.exists()

    def test_is_not_done_by_looking(self, owner_client: Client) -> None:
        assert owner_client.get(address("catalogue_load")).status_code == 405
