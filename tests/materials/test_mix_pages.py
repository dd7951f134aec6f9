"""A mix through its pages: offered with reasons, taken with one press, weighed otherwise, undone as one."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from materials import ledger
from materials.models import Lot, Material, Movement
from materials.properties import MixBasis
from studio.access import Role
from tests.factories import LotFactory, MaterialFactory
from tests.materials.pages import address, questions, text_of

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def rubber() -> Material:
    return MaterialFactory(name="Tin <25>", properties={"parts_a_by_weight": 100.0, "parts_b_by_weight": 10.0})


@pytest.fixture
def lots(rubber: Material) -> tuple[Lot, Lot]:
    soon = timezone.localdate() + datetime.timedelta(days=30)
    return (
        LotFactory(material=rubber, component="A", holding=5000, expires_on=soon, place="Shelf 2"),
        LotFactory(material=rubber, component="B", holding=500, expires_on=soon),
    )


def asked(mass: str, **fields: Any) -> dict[str, Any]:
    return {"mass_g": mass, "job_number": "7", "why": "Coat 1, mix 1", **fields}


def offer(client: Client, rubber: Material, mass: str = "1.1 kg", **fields: Any) -> dict[str, Any]:
    """Return what the page would send when its one button is pressed."""
    contexts: Any = client.get(address("material_mix", rubber.pk), asked(mass, **fields)).context
    return asked(mass, key=contexts["form"]["key"].value(), seen=contexts["seen"], **fields)


def used() -> list[tuple[int | None, Decimal]]:
    return list(Movement.objects.filter(kind="issue").order_by("pk").values_list("lot", "mass_g"))


class TestMaterialMix:
    def test_shows_what_of_which_lot_and_why(self, owner_client: Client, rubber: Material, lots: tuple[Lot, Lot]) -> None:
        page = text_of(owner_client.get(address("material_mix", rubber.pk), asked("1.1 kg")).content)
        assert "1,000</span>" in page
        assert page.count("expires first of what is free") == 2
        assert "Shelf 2" in page
        assert "Tin <25>" not in page

    def test_takes_it_with_one_press_and_once(self, owner_client: Client, rubber: Material, lots: tuple[Lot, Lot]) -> None:
        """Exact: 1.1 kg at 100 : 10 is 1000 g of A and 100 g of B."""
        sent = offer(owner_client, rubber)
        for _ in range(2):
            answer = owner_client.post(address("material_mix", rubber.pk), sent)
            assert answer.status_code == 302
        assert used() == [(lots[0].pk, D(-1000)), (lots[1].pk, D(-100))]
        line = Movement.objects.filter(kind="issue").latest("pk")
        assert (line.job_number, line.why) == (7, "Coat 1, mix 1")
        assert owner_client.post(address("material_mix", rubber.pk), sent | {"why": "another"}).status_code == 422
        assert len(used()) == 2

    def test_takes_what_was_weighed(self, owner_client: Client, rubber: Material, lots: tuple[Lot, Lot]) -> None:
        sent = offer(owner_client, rubber) | {f"lot_{lots[0].pk}": "1003.5", f"lot_{lots[1].pk}": ""}
        owner_client.post(address("material_mix", rubber.pk), sent)
        assert used() == [(lots[0].pk, D("-1003.5")), (lots[1].pk, D(-100))]

    def test_takes_all_that_a_plan_puts_into_the_cup(self, owner_client: Client, rubber: Material, lots: Any) -> None:
        thickener = MaterialFactory(name="Thick", mix_basis=MixBasis.ONE_PART.value)
        third = LotFactory(material=thickener, component="whole", holding=50)
        sent = offer(owner_client, rubber, **{"with": f"{thickener.pk}:3.2"})
        owner_client.post(address("material_mix", rubber.pk), sent)
        assert used()[2:] == [(third.pk, D("-3.2"))]
        assert ledger.unbalanced() == ledger.unbalanced_books() == []

    def test_says_what_is_short_and_offers_what_there_is(self, owner_client: Client, rubber: Material, lots: Any) -> None:
        page = text_of(owner_client.get(address("material_mix", rubber.pk), asked("9 kg")).content)
        assert "part A runs short" in page
        assert "mass_g=5500&amp;" in page

    def test_keeps_what_was_typed_when_the_shelf_has_changed(
        self, owner_client: Client, rubber: Material, lots: tuple[Lot, Lot]
    ) -> None:
        sent = offer(owner_client, rubber) | {f"lot_{lots[0].pk}": "1003.5"}
        Lot.objects.filter(pk=lots[1].pk).update(quarantined=True)
        answer = owner_client.post(address("material_mix", rubber.pk), sent)
        page = text_of(answer.content)
        assert answer.status_code == 422
        assert "is set aside now" in page
        assert 'value="1003.5"' in page
        assert "See what the shelf offers now" in page
        Lot.objects.filter(pk=lots[1].pk).update(quarantined=False)
        ledger.discard(of=lots[0], mass_g=4500, key="spilled", by=None)
        assert owner_client.post(address("material_mix", rubber.pk), sent).status_code == 422
        assert used() == []

    @pytest.mark.parametrize(
        "hostile",
        [
            {"seen": "x:1,1:NaN,1:1e9999,99999999999999999999:5,²:3"},
            {"seen": "", "with": "1:Infinity,0:0"},
            {"key": "x"},
            {"mass_g": "NaN"},
            {"mass_g": "-5"},
            {"job_number": "99999999999"},
        ],
    )
    def test_writes_nothing_of_nonsense(self, owner_client: Client, rubber: Material, lots: Any, hostile: dict[str, str]) -> None:
        sent = offer(owner_client, rubber) | hostile
        assert owner_client.post(address("material_mix", rubber.pk), sent).status_code == 422
        assert owner_client.get(address("material_mix", rubber.pk), hostile).status_code == 200
        assert used() == []

    def test_takes_nothing_of_another_material(self, owner_client: Client, rubber: Material, lots: Any) -> None:
        other = LotFactory(holding=500)
        sent = offer(owner_client, rubber) | {"seen": f"{other.pk}:5"}
        assert owner_client.post(address("material_mix", rubber.pk), sent).status_code == 422
        assert used() == []

    def test_asks_as_much_however_many_lots_there_are(self, owner_client: Client, rubber: Material, lots: Any) -> None:
        url = address("material_mix", rubber.pk) + "?mass_g=5.5+kg"
        few = questions(owner_client, url)
        for _ in range(5):
            LotFactory(material=rubber, component="A", holding=100, expires_on=timezone.localdate())
        assert questions(owner_client, url) <= few

    def test_is_for_those_who_change_stock(self, signed_in: Any, rubber: Material, lots: Any) -> None:
        assert signed_in(Role.OFFICE).get(address("material_mix", rubber.pk)).status_code == 403


class TestLineMix:
    def test_undoes_all_parts_together_and_once(self, owner_client: Client, rubber: Material, lots: tuple[Lot, Lot]) -> None:
        owner_client.post(address("material_mix", rubber.pk), offer(owner_client, rubber))
        line = Movement.objects.filter(kind="issue").latest("pk")
        url = address("line_mix", line.pk)
        assert "1,100" in text_of(owner_client.get(url).content)
        owner_client.post(url, {"why": "wrong job"})
        owner_client.post(url, {"why": "wrong job"})
        assert [lot.on_hand_g for lot in Lot.objects.order_by("pk")] == [5000, 500]
        assert Movement.objects.filter(kind="reverse", why="wrong job").count() == 2
        assert "Undo the whole mix" not in text_of(owner_client.get(url).content)
        assert ledger.unbalanced() == ledger.unbalanced_books() == []

    def test_leaves_alone_what_was_undone_singly(self, owner_client: Client, rubber: Material, lots: tuple[Lot, Lot]) -> None:
        owner_client.post(address("material_mix", rubber.pk), offer(owner_client, rubber))
        first, second = Movement.objects.filter(kind="issue").order_by("pk")
        ledger.reverse(movement=first, key="single", by=None, why="spilled")
        owner_client.post(address("line_mix", second.pk), {"why": ""})
        assert [lot.on_hand_g for lot in Lot.objects.order_by("pk")] == [5000, 500]

    def test_shows_any_other_line_alone(self, owner_client: Client, lots: tuple[Lot, Lot]) -> None:
        delivered = Movement.objects.earliest("pk")
        answer = owner_client.get(address("line_mix", delivered.pk))
        assert answer.status_code == 200
        assert "Undo" not in text_of(answer.content)
        assert owner_client.post(address("line_mix", delivered.pk), {"why": "x"}).status_code in {302, 422}
