"""Deliveries and lots through their pages."""

import datetime
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from materials import ledger
from materials.models import Lot, Material, Movement, StockBook
from studio.access import Role
from studio.models import StudioProfile
from tests.factories import LotFactory, MaterialFactory, PackFactory
from tests.materials.pages import address, key_in, questions, text_of

pytestmark = pytest.mark.django_db
TEN_TO_ONE = {"parts_a_by_weight": 100.0, "parts_b_by_weight": 10.0, "shelf_life_months": 9.0}


@pytest.fixture
def material() -> Material:
    return MaterialFactory(name="Ten to one", properties=TEN_TO_ONE)


def delivery(client: Client, material: Material, **typed: Any) -> dict[str, Any]:
    """Return a delivery as typed, on the form's own key."""
    return {
        "key": key_in(client, address("delivery_receive", material.pk)),
        "component": "kit",
        "received_on": "2026-01-31",
        "mass_g": "11 kg",
        "total_cost": "242",
        "supplier_lot": "S-77",
        **typed,
    }


class TestDeliveryReceive:
    def test_puts_a_and_b_on_the_shelf_as_two_lots_that_belong_together(self, owner_client: Client, material: Material) -> None:
        owner_client.post(address("delivery_receive", material.pk), delivery(owner_client, material))
        a, b = Lot.objects.order_by("component")
        # M6 of the trade's arithmetic: an 11 kg kit at 10:1 is 10 kg of A and 1 kg of B.
        assert (a.component, a.on_hand_g, b.component, b.on_hand_g) == ("A", 10_000, "B", 1_000)
        assert a.kit_code == b.kit_code != ""
        assert a.unit_cost_per_kg == b.unit_cost_per_kg == Decimal(22)
        assert Movement.objects.filter(kind="receive").count() == 2

    def test_takes_the_expiry_from_the_shelf_life(self, owner_client: Client, material: Material) -> None:
        owner_client.post(address("delivery_receive", material.pk), delivery(owner_client, material))
        assert set(Lot.objects.values_list("expires_on", flat=True)) == {datetime.date(2026, 10, 31)}

    def test_takes_the_cost_from_the_pack(self, owner_client: Client, material: Material) -> None:
        pack = PackFactory(material=material, mass_g=5500, price=121)
        typed = delivery(owner_client, material, pack=pack.pk, packs="2", mass_g="", total_cost="")
        owner_client.post(address("delivery_receive", material.pk), typed)
        assert {lot.unit_cost_per_kg for lot in Lot.objects.all()} == {Decimal(22)}
        assert sum(lot.on_hand_g for lot in Lot.objects.all()) == 11_000

    def test_is_written_once_when_sent_twice(self, owner_client: Client, material: Material) -> None:
        typed = delivery(owner_client, material)
        first, second = (owner_client.post(address("delivery_receive", material.pk), typed) for _ in range(2))
        assert first.status_code == second.status_code == 302
        assert first["Location"] == second["Location"]
        assert Lot.objects.count() == 2

    def test_is_refused_when_its_key_comes_with_other_figures(self, owner_client: Client, material: Material) -> None:
        typed = delivery(owner_client, material)
        owner_client.post(address("delivery_receive", material.pk), typed)
        answer = owner_client.post(address("delivery_receive", material.pk), {**typed, "mass_g": "12 kg"})
        assert answer.status_code == 422
        assert "already written with other figures" in answer.content.decode()

    def test_asks_for_the_ratio_or_the_b_when_neither_is_known(self, owner_client: Client) -> None:
        bare = MaterialFactory()
        answer = owner_client.post(address("delivery_receive", bare.pk), delivery(owner_client, bare))
        assert answer.status_code == 422
        assert "Or type how much of the delivery is B." in answer.content.decode()
        assert not Lot.objects.exists()
        owner_client.post(address("delivery_receive", bare.pk), delivery(owner_client, bare, mass_b_g="1.2 kg"))
        assert list(Lot.objects.order_by("component").values_list("on_hand_g", flat=True)) == [9800, 1200]

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"mass_g": ""}, "Choose a pack above, or type the mass that came."),
            ({"mass_g": "-3"}, "must lie between"),
            ({"mass_g": "three buckets"}, ""),
            ({"received_on": "2999-01-01"}, "has not come yet"),
            ({"received_on": "yesterday"}, "year-month-day"),
            ({"received_on": "0001-01-01"}, "too long ago"),
            ({"expires_on": "2025-01-01"}, "before it was received"),
            ({"mass_b_g": "11 kg"}, "B cannot be all of it"),
            ({"component": "A", "mass_b_g": "1 kg"}, "asked only when A and B came together"),
            ({"component": "whole"}, ""),
            ({"total_cost": "1e400"}, ""),
            ({"pack": "999999"}, ""),
            ({"pack": "\x00"}, ""),
            ({"mass_g": "0.001 g", "total_cost": "9999999"}, "too much for this mass"),
            ({"key": ""}, "too old to be sent"),
            ({"supplier": "x" * 5000}, ""),
            ({"note": "nul\x00"}, ""),
        ],
    )
    def test_keeps_what_was_typed_and_says_what_is_wrong(
        self, owner_client: Client, material: Material, typed: dict[str, str], says: str
    ) -> None:
        answer = owner_client.post(address("delivery_receive", material.pk), delivery(owner_client, material, **typed))
        assert answer.status_code == 422
        assert says in text_of(answer.content)
        assert "S-77" in answer.content.decode()
        assert not Lot.objects.exists()

    def test_of_a_thing_counted_by_the_piece_does_not_exist(self, owner_client: Client) -> None:
        cups = MaterialFactory(kind="consumable", mix_basis="one_part")
        assert owner_client.get(address("delivery_receive", cups.pk)).status_code == 404

    def test_asks_nothing_of_b_for_one_part(self, owner_client: Client) -> None:
        wax = MaterialFactory(kind="release", mix_basis="one_part")
        typed = delivery(owner_client, wax, component="whole", mass_g="500 g")
        owner_client.post(address("delivery_receive", wax.pk), typed)
        assert Lot.objects.get().component == "whole"

    def test_hides_the_cost_from_whom_money_is_hidden(self, signed_in: Callable[[Role], Client], material: Material) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(money_hidden_from_makers=True)
        maker = signed_in(Role.MAKER)
        assert "Paid before tax" not in maker.get(address("delivery_receive", material.pk)).content.decode()
        maker.post(address("delivery_receive", material.pk), delivery(maker, material))
        assert {lot.unit_cost_per_kg for lot in Lot.objects.all()} == {Decimal(0)}


class TestDeliveryChoose:
    def test_leads_to_the_form_of_the_material(self, owner_client: Client, material: Material) -> None:
        answer = owner_client.get(address("delivery_choose"), {"material": material.pk})
        assert answer["Location"] == address("delivery_receive", material.pk)

    @pytest.mark.parametrize("material", ["x", "-1", "9" * 400, "\x00", "²"])
    def test_asks_again_for_nonsense(self, owner_client: Client, material: str) -> None:
        assert owner_client.get(address("delivery_choose"), {"material": material}).status_code == 200


def enter(client: Client, lot: Lot, name: str, action: str, **typed: Any) -> Any:
    """Send one of the forms on a lot's page."""
    key = key_in(client, address("lot_show", lot.pk), prefix=name)
    return client.post(address(action, lot.pk), {f"{name}-key": key, **{f"{name}-{part}": word for part, word in typed.items()}})


class TestLotEntries:
    def test_use_put_back_count_and_throw_away(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        enter(owner_client, lot, "use", "lot_use", mass_g="300", job_number="7", why="coat 1")
        enter(owner_client, lot, "return", "lot_return", mass_g="50 g", job_number="7")
        enter(owner_client, lot, "count", "lot_count", counted_g="0.748 kg", why="clung to the lid")
        enter(owner_client, lot, "discard", "lot_discard", mass_g="48", why="skinned over")
        lot.refresh_from_db()
        assert lot.on_hand_g == 700
        kinds = list(Movement.objects.filter(lot=lot).order_by("pk").values_list("kind", "mass_g"))
        assert kinds == [("receive", 1000), ("issue", -300), ("return", 50), ("adjust", -2), ("discard", -48)]
        page = text_of(owner_client.get(address("lot_show", lot.pk)).content)
        for words in ("used for job 7", "clung to the lid", "−300", "+50", ">748</span>"):
            assert words in page

    def test_are_written_once_when_sent_twice(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        key = key_in(owner_client, address("lot_show", lot.pk), prefix="use")
        for _ in range(2):
            owner_client.post(address("lot_use", lot.pk), {"use-key": key, "use-mass_g": "300"})
        lot.refresh_from_db()
        assert lot.on_hand_g == 700

    def test_say_how_much_is_free_and_keep_what_was_typed(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        answer = enter(owner_client, lot, "use", "lot_use", mass_g="1.5 kg", why="the big one")
        assert answer.status_code == 422
        page = text_of(answer.content)
        assert "1,500 g is wanted but 1,000 g is free here" in page
        assert 'value="1.5 kg"' in page
        assert 'value="the big one"' in page
        assert '<details class="entry-form" open>' in page

    def test_say_it_in_pounds_and_ounces_to_a_studio_that_weighs_so(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        StudioProfile.objects.current()
        StudioProfile.objects.update(units="us")
        answer = enter(owner_client, lot, "use", "lot_use", mass_g="3 lb")
        # NIST SP 811: 1 oz = 28.349523125 g, so 1000 g is 35.274 oz; 3 lb is 48 oz.
        assert "48 oz is wanted but 35.274 oz is free here" in text_of(answer.content)

    def test_write_nothing_when_the_count_agrees(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        enter(owner_client, lot, "count", "lot_count", counted_g="1 kg", why="yearly count")
        assert Movement.objects.filter(lot=lot).count() == 1

    @pytest.mark.parametrize(
        "typed",
        [
            {"mass_g": ""},
            {"mass_g": "nan"},
            {"mass_g": "1e99"},
            {"mass_g": "0"},
            {"mass_g": "5", "job_number": "99999999999999"},
            {"mass_g": "5", "job_number": "-1"},
            {"mass_g": "5", "why": "x" * 201},
            {"mass_g": "5", "why": "nul\x00"},
        ],
    )
    def test_survive_hostile_input(self, owner_client: Client, typed: dict[str, str]) -> None:
        lot = LotFactory(holding=1000)
        assert enter(owner_client, lot, "use", "lot_use", **typed).status_code == 422
        lot.refresh_from_db()
        assert lot.on_hand_g == 1000

    @pytest.mark.parametrize("pk", [0, 10**12, 10**30])
    def test_of_a_lot_that_does_not_exist_are_not_found(self, owner_client: Client, pk: int) -> None:
        assert owner_client.post(address("lot_use", pk)).status_code == 404

    def test_are_for_those_who_may_change_stock(self, signed_in: Callable[[Role], Client]) -> None:
        lot, office = LotFactory(holding=1000), signed_in(Role.OFFICE)
        assert office.get(address("lot_show", lot.pk)).status_code == 200
        names = ["use", "return", "count", "discard", "open", "move", "set_aside", "take_back", "change"]
        assert {office.post(address(f"lot_{name}", lot.pk)).status_code for name in names} == {403}
        assert "Write it off" not in office.get(address("lot_show", lot.pk)).content.decode()


class TestLineUndo:
    def test_writes_the_opposite_with_its_reason(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        line = ledger.issue(of=lot, mass_g=300, key="used", by=None)
        url = address("line_undo", line.pk)
        answer = owner_client.post(url, {"key": key_in(owner_client, url), "why": "wrong bucket"}, follow=True)
        lot.refresh_from_db()
        assert lot.on_hand_g == 1000
        page = text_of(answer.content)
        assert "undone: used" in page
        assert "wrong bucket" in page
        assert "undone later" in page

    def test_says_when_there_is_nothing_to_undo(self, owner_client: Client) -> None:
        line = ledger.issue(of=LotFactory(holding=1000), mass_g=300, key="used", by=None)
        undone = ledger.reverse(movement=line, key="undo", by=None)
        assert "undone already" in owner_client.get(address("line_undo", line.pk)).content.decode()
        assert "undoes another one" in owner_client.get(address("line_undo", undone.pk)).content.decode()

    def test_wants_a_reason(self, owner_client: Client) -> None:
        line = ledger.issue(of=LotFactory(holding=1000), mass_g=300, key="used", by=None)
        url = address("line_undo", line.pk)
        assert owner_client.post(url, {"key": key_in(owner_client, url), "why": ""}).status_code == 422

    def test_is_refused_with_the_reason_when_the_mass_has_gone_on(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        ledger.issue(of=lot, mass_g=300, key="used", by=None)
        url = address("line_undo", Movement.objects.get(lot=lot, kind="receive").pk)
        answer = owner_client.post(url, {"key": key_in(owner_client, url), "why": "never came"})
        assert answer.status_code == 422
        assert "cannot be undone any more: 700 g is here" in text_of(answer.content)


class TestLotShow:
    def test_shows_the_balance_after_each_line_on_every_page(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        for turn in range(60):
            ledger.issue(of=lot, mass_g=1, key=f"used-{turn}", by=None)
        url = address("lot_show", lot.pk)
        first = owner_client.get(url).context
        second = owner_client.get(url, {"before": first["page"].older}).context
        balances = [line.balance_g for page in (first, second) for line in page["lines"]]
        assert balances == [Decimal(940 + step) for step in range(61)]
        back = owner_client.get(url, {"after": second["page"].newer}).context
        assert [line.movement.pk for line in back["lines"]] == [line.movement.pk for line in first["lines"]]
        assert (second["page"].older, first["page"].newer, back["page"].newer) == (None, None, None)

    @pytest.mark.parametrize("asked", ["before=0", "after=999999999", "before=x", "before=99999999999999999999", "after=-1"])
    def test_shows_the_newest_lines_when_nonsense_is_asked_for(self, owner_client: Client, asked: str) -> None:
        lot = LotFactory(holding=1000)
        assert len(owner_client.get(f"{address('lot_show', lot.pk)}?{asked}").context["lines"]) == 1

    def test_asks_no_more_questions_for_a_longer_day_book(self, owner_client: Client) -> None:
        lot, counts = LotFactory(holding=1000), []
        for number in (2, 27):
            for turn in range(number):
                line = ledger.issue(of=lot, mass_g=1, key=f"used-{number}-{turn}", by=None, job_number=3)
                ledger.reverse(movement=line, key=f"undo-{number}-{turn}", by=None)
            counts.append(questions(owner_client, address("lot_show", lot.pk)))
        assert counts[0] == counts[1] < 15

    def test_opens_moves_and_sets_aside(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000)
        today = timezone.localdate()
        owner_client.post(address("lot_open", lot.pk), {"open-opened_on": today, "open-expires_on": "2030-05-01"})
        owner_client.post(address("lot_move", lot.pk), {"move-place": "cool cupboard"})
        owner_client.post(address("lot_set_aside", lot.pk), {"aside-why": "smells odd"})
        lot.refresh_from_db()
        assert (lot.opened_on, lot.expires_on, lot.place) == (today, datetime.date(2030, 5, 1), "cool cupboard")
        assert (lot.quarantined, lot.note) == (True, "smells odd")
        owner_client.post(address("lot_take_back", lot.pk))
        lot.refresh_from_db()
        assert not lot.quarantined

    def test_hides_the_cost_from_whom_money_is_hidden(self, signed_in: Callable[[Role], Client]) -> None:
        lot = LotFactory(holding=1000, unit_cost_per_kg="21.37")
        maker = signed_in(Role.MAKER)
        assert "21.37" in maker.get(address("lot_show", lot.pk)).content.decode()
        StudioProfile.objects.update(money_hidden_from_makers=True)
        for url in (address("lot_show", lot.pk), address("lot_change", lot.pk), address("material_show", lot.material_id)):
            assert "21.37" not in maker.get(url).content.decode()


class TestLotChange:
    def test_corrects_what_was_written_down_and_the_worth_with_it(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000, unit_cost_per_kg="21.37")
        ledger.reserve(of=lot, mass_g=900, key="promised", by=None, job_number=3)
        typed = {"supplier": "Another", "supplier_lot": "Z-1", "received_on": "2026-01-02", "unit_cost_per_kg": "30"}
        page = owner_client.post(address("lot_change", lot.pk), typed, follow=True).content.decode()
        assert "the books follow" in page
        lot.refresh_from_db()
        assert (lot.supplier, lot.supplier_lot, lot.unit_cost_per_kg) == ("Another", "Z-1", 30)
        assert (lot.on_hand_g, lot.received_g, lot.reserved_g) == (1000, 1000, 900)
        assert [(line.kind, line.value) for line in Movement.objects.filter(lot=lot).exclude(kind="reserve").order_by("pk")] == [
            ("receive", Decimal("21.37")), ("receive", 30), ("reverse", Decimal("-21.37")),
        ]  # fmt: skip
        assert StockBook.objects.get().value == 30
        assert (ledger.unbalanced(), ledger.unbalanced_books()) == ([], [])
        # The same once more writes nothing.
        owner_client.post(address("lot_change", lot.pk), typed)
        assert Movement.objects.filter(lot=lot).count() == 4

    def test_leaves_the_worth_alone_once_some_has_gone_at_the_old_cost(self, owner_client: Client) -> None:
        lot = LotFactory(holding=1000, unit_cost_per_kg="21.37")
        used = ledger.issue(of=lot, mass_g=250, key="used-250", by=None)
        typed = {"received_on": "2026-01-02", "unit_cost_per_kg": "30"}
        page = owner_client.post(address("lot_change", lot.pk), typed, follow=True).content.decode()
        assert "the worth in the books stays as it was" in page
        assert StockBook.objects.get().value == Decimal("16.0275")
        # What the page says to do leads there.
        ledger.reverse(movement=used, key="undo-it", by=None)
        owner_client.post(address("lot_change", lot.pk), typed)
        assert StockBook.objects.get().value == 30

    def test_by_whom_money_is_hidden_keeps_the_cost(self, signed_in: Callable[[Role], Client]) -> None:
        lot = LotFactory(unit_cost_per_kg="21.37")
        StudioProfile.objects.current()
        StudioProfile.objects.update(money_hidden_from_makers=True)
        typed = {"received_on": "2026-01-02", "unit_cost_per_kg": "1"}
        assert signed_in(Role.MAKER).post(address("lot_change", lot.pk), typed).status_code == 302
        lot.refresh_from_db()
        assert lot.unit_cost_per_kg == Decimal("21.37")
