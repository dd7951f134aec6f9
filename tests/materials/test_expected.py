"""Deliveries that are ordered and not here yet."""

import datetime
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from materials.errors import ExpectedGone, NotWeighed
from materials.models import ExpectedDelivery, Lot
from materials.services.deliveries import Delivery
from materials.services.expected import arrived, cancel, change_due, expect, expect_again, receive_expected, still_expected
from studio.access import Role
from tests.factories import MaterialFactory, PackFactory
from tests.materials.pages import address, key_in, questions, text_of

pytestmark = pytest.mark.django_db


def days(number: int) -> datetime.date:
    return timezone.localdate() + datetime.timedelta(days=number)


def ordered(**changed: Any) -> ExpectedDelivery:
    fields: dict[str, Any] = {"mass_g": Decimal(5000), "due_on": days(3), "supplier": "Quay Supplies", "by": None, **changed}
    if "material" not in fields:
        fields["material"] = MaterialFactory(name="Grey rubber", mix_basis="one_part")
    return expect(**fields)


def of(expected: ExpectedDelivery, mass_g: int) -> Delivery:
    return Delivery(
        material=expected.material, component=Lot.Component.WHOLE, mass_g=Decimal(mass_g), received_on=timezone.localdate()
    )


class TestServices:
    def test_open_close_cancel_and_expect_again(self) -> None:
        one = ordered()
        assert change_due(expected_id=one.pk, due_on=days(9)).due_on == days(9)
        assert cancel(expected_id=one.pk).cancelled_at
        assert not still_expected().exists()
        with pytest.raises(ExpectedGone, match="was cancelled already"):
            change_due(expected_id=one.pk, due_on=days(1))
        expect_again(expected_id=one.pk)
        assert still_expected().get() == one
        first = arrived(expected_id=one.pk).arrived_at
        assert arrived(expected_id=one.pk).arrived_at == first
        with pytest.raises(ExpectedGone, match="came already"):
            expect_again(expected_id=one.pk)
        with pytest.raises(ExpectedGone, match="no such delivery"):
            cancel(expected_id=999_999)

    def test_refuse_what_is_not_weighed(self) -> None:
        with pytest.raises(NotWeighed):
            ordered(material=MaterialFactory(kind="consumable", mix_basis="one_part"))

    def test_leave_the_rest_expected_once_however_often_it_is_sent(self) -> None:
        one = ordered()
        for _ in range(2):
            receive_expected(expected_id=one.pk, delivery=of(one, 2000), key="form-one-key", rest_comes=True, by=None)
        one.refresh_from_db()
        assert (one.mass_g, one.arrived_at) == (3000, None)
        assert Lot.objects.get().on_hand_g == 2000
        receive_expected(expected_id=one.pk, delivery=of(one, 3000), key="form-two-key", rest_comes=True, by=None)
        one.refresh_from_db()
        assert one.arrived_at is not None
        assert sum(lot.on_hand_g for lot in Lot.objects.all()) == 5000

    def test_hold_to_the_material(self) -> None:
        one, other = ordered(), ordered(material=MaterialFactory())
        with pytest.raises(ExpectedGone, match="another material"):
            receive_expected(expected_id=one.pk, delivery=of(other, 1), key="form-one-key", rest_comes=False, by=None)
        assert not Lot.objects.exists()


class TestExpectedAdd:
    def test_takes_packs_or_a_mass(self, owner_client: Client) -> None:
        pack = PackFactory(supplier="Quay Supplies", material__name="Grey rubber")
        url = address("expected_add")
        assert f'value="pack-{pack.pk}" selected' in owner_client.get(f"{url}?material={pack.material_id}").content.decode()
        sent = {"what": f"pack-{pack.pk}", "packs": "2", "due_on": str(days(4)), "note": "order 7"}
        page = text_of(owner_client.post(url, sent, follow=True).content)
        assert "Grey rubber is expected." in page
        assert "2 × 5 kg kit; Quay Supplies; order 7" in page
        owner_client.post(url, {"what": f"mass-{pack.material_id}", "mass_g": "2 lb", "due_on": str(days(0))})
        # exact: NIST SP 811, lb = 453.59237 g.
        assert [one.mass_g for one in ExpectedDelivery.objects.all()] == [Decimal("907.185"), Decimal(10000)]

    @pytest.mark.parametrize(
        ("changed", "sentence"),
        [
            ({"what": ""}, "Choose what is ordered."),
            ({"what": "pack-999"}, "Choose one from the list."),
            ({"due_on": ""}, "Give the day."),
            ({"due_on": "2020-01-01"}, "This day is past."),
            ({"due_on": "2099-01-01"}, "more than three years ahead"),
            ({"mass_g": "5 kg"}, "Choose a pack above or type a mass here, not both."),
            ({"what": "mass"}, "Type the mass that is ordered"),
            ({"packs": "0"}, "This must lie between"),
        ],
    )
    def test_says_what_to_change(self, owner_client: Client, changed: dict[str, str], sentence: str) -> None:
        pack = PackFactory()
        sent = {"what": f"pack-{pack.pk}", "packs": "1", "due_on": str(days(4)), "note": "kept as typed", **changed}
        if changed.get("what") == "mass":
            sent["what"] = f"mass-{pack.material_id}"
        response = owner_client.post(address("expected_add"), sent)
        assert response.status_code == 422
        assert sentence in response.content.decode()
        assert "kept as typed" in response.content.decode()
        assert not ExpectedDelivery.objects.exists()


class TestExpectedList:
    def test_puts_the_overdue_first_here_on_the_shelf_and_by_the_material(self, owner_client: Client) -> None:
        assert "Nothing is on its way." in owner_client.get(address("expected_list")).content.decode()
        late = ordered(due_on=days(-2))
        ordered(material=late.material, due_on=days(5), note="second one")
        for url in (address("expected_list"), address("stock_show"), address("material_show", late.material_id)):
            page = owner_client.get(url).content.decode()
            assert page.index(">overdue</span>") < page.index("second one"), url
            assert f"{address('delivery_receive', late.material_id)}?expected={late.pk}" in page, url

    def test_changes_the_day_and_keeps_what_is_wrong_as_typed(self, owner_client: Client) -> None:
        late = ordered(due_on=days(-2))
        url = address("expected_change", late.pk)
        assert "2 days ago" in owner_client.get(url).content.decode()
        sent = {"due_on": str(days(-2)), "mass_g": "5 kg", "supplier": "Quay", "note": "rang them"}
        owner_client.post(url, sent)
        response = owner_client.post(url, {**sent, "due_on": str(days(-1))})
        assert response.status_code == 422
        assert "This day is past." in response.content.decode()
        assert "rang them" in response.content.decode()
        owner_client.post(url, {**sent, "due_on": str(days(1)), "mass_g": "4 kg"})
        late.refresh_from_db()
        assert (late.due_on, late.mass_g, late.supplier, late.note) == (days(1), 4000, "Quay", "rang them")

    def test_cancels_and_expects_again(self, owner_client: Client) -> None:
        one = ordered()
        page = owner_client.post(address("expected_cancel", one.pk), follow=True).content.decode()
        assert "Expect it again" in page
        assert owner_client.post(address("expected_cancel", one.pk)).status_code == 422
        assert "was cancelled" in owner_client.get(address("expected_change", one.pk)).content.decode()
        page = owner_client.post(address("expected_return", one.pk), follow=True).content.decode()
        assert "It is expected again" in page
        assert still_expected().get() == one

    def test_is_read_by_all_and_changed_by_those_who_keep_the_stock(self, signed_in: Callable[[Role], Client]) -> None:
        one = ordered()
        office = signed_in(Role.OFFICE)
        page = office.get(address("expected_list")).content.decode()
        assert "Grey rubber" in page
        assert "It came" not in page
        for name, args in (("add", []), ("change", [one.pk]), ("cancel", [one.pk]), ("return", [one.pk])):
            assert office.post(address(f"expected_{name}", *args)).status_code == 403

    def test_asks_no_more_questions_for_more(self, owner_client: Client) -> None:
        counts = []
        for number in (2, 20):
            for turn in range(number):
                pack = PackFactory()
                ordered(material=pack.material, pack=pack, due_on=days(turn - 3))
            counts.append([questions(owner_client, address(name)) for name in ("expected_list", "expected_add")])
        assert counts[0] == counts[1]
        assert max(counts[0]) < 12


class TestReceiving:
    def test_is_filled_in_beforehand_and_closes_what_was_expected(self, owner_client: Client) -> None:
        pack = PackFactory(material__mix_basis="one_part")
        one = ordered(material=pack.material, pack=pack, mass_g=Decimal(15000), note="order 7")
        url = f"{address('delivery_receive', pack.material_id)}?expected={one.pk}"
        page = owner_client.get(url).content.decode()
        for part in ('name="packs" value="3"', 'value="Quay Supplies"', 'value="order 7"', f'name="expected" value="{one.pk}"'):
            assert part in page
        sent = {
            "key": key_in(owner_client, url), "component": "whole", "pack": str(pack.pk), "packs": "3", "expected": str(one.pk),
            "received_on": str(timezone.localdate()),
        }  # fmt: skip
        wrong = owner_client.post(url, {**sent, "packs": "0"})
        assert wrong.status_code == 422
        assert f'name="expected" value="{one.pk}"' in wrong.content.decode()
        for _ in range(2):
            assert owner_client.post(url.partition("?")[0], sent).status_code == 302
        one.refresh_from_db()
        assert one.arrived_at is not None
        assert Lot.objects.get().on_hand_g == 15000
        assert "What came" in owner_client.get(address("expected_list")).content.decode()

    @pytest.mark.parametrize("named", ["x", "9" * 40, "٣", "999999"])
    def test_survives_a_delivery_that_nobody_expects(self, owner_client: Client, named: str) -> None:
        material = MaterialFactory()
        page = owner_client.get(address("delivery_receive", material.pk), {"expected": named}).content.decode()
        assert "the rest still comes" not in page
