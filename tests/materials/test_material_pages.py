"""A material's page, its values and its packs."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from materials import ledger
from materials.models import Lot, Material, Pack
from materials.properties import Chemistry, MaterialKind, MixBasis
from studio.access import Role
from studio.models import StudioProfile
from tests.factories import LotFactory, MaterialFactory, PackFactory
from tests.materials.pages import address, questions, text_of

pytestmark = pytest.mark.django_db
BASICS = {"name": "Grey twenty", "chemistry": "platinum_silicone", "mix_basis": "by_weight"}
ONE_TO_ONE = {"parts_a_by_weight": 1.0, "parts_b_by_weight": 1.0}


def values(material: Material) -> dict[str, Any]:
    return {row.key: (row.value, row.low, row.high, row.source_kind, row.source_text) for row in material.properties.all()}


def save(client: Client, material: Material, **typed: Any) -> Any:
    return client.post(address("material_change", material.pk), {**BASICS, "name": material.name, **typed})


class TestMaterialAdd:
    def test_leads_on_to_its_values(self, owner_client: Client) -> None:
        answer = owner_client.post(address("material_add"), {**BASICS, "kind": "rubber"})
        material = Material.objects.get()
        assert answer["Location"] == address("material_change", material.pk)
        assert (material.kind, material.chemistry, material.mix_basis) == ("rubber", "platinum_silicone", "by_weight")

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"name": ""}, "Give the material a name."),
            ({"name": " -- "}, "at least one letter or digit"),
            ({"mix_basis": ""}, "nothing is guessed here"),
            ({"mix_basis": "5 %"}, ""),
            ({"kind": ""}, "Say what it is for"),
            ({"kind": "tint"}, "Only rubber, resin and shell materials are mixed from two parts"),
            ({"chemistry": "x\x00"}, ""),
            ({"name": "x" * 9000}, ""),
            ({"low_below_g": "-1 kg"}, ""),
            ({"sheet_revised_on": "2999-01-01"}, "has not come yet"),
        ],
    )
    def test_keeps_what_was_typed_and_says_what_is_wrong(self, owner_client: Client, typed: dict[str, str], says: str) -> None:
        answer = owner_client.post(address("material_add"), {**BASICS, "kind": "rubber", "family": "Slate line", **typed})
        assert answer.status_code == 422
        assert says in text_of(answer.content)
        assert "Slate line" in answer.content.decode()
        assert not Material.objects.exists()

    def test_refuses_a_name_that_is_taken_in_another_case(self, owner_client: Client) -> None:
        MaterialFactory(name="GREY Twenty")
        answer = owner_client.post(address("material_add"), {**BASICS, "kind": "rubber"})
        assert answer.status_code == 422
        assert "exists already" in answer.content.decode()

    def test_is_for_those_who_may_change_materials(self, signed_in: Callable[[Role], Client]) -> None:
        for role in (Role.MAKER, Role.OFFICE):
            assert signed_in(role).get(address("material_add")).status_code == 403


class TestMaterialChange:
    def test_keeps_values_with_their_range_and_source(self, owner_client: Client) -> None:
        material = MaterialFactory()
        typed = {
            "pot_life_min-value": "1 h 20",
            "pot_life_min-low": "60",
            "pot_life_min-high": "1:40",
            "pot_life_min-source_kind": "measured",
            "pot_life_min-source_text": "cup of 12 May",
            "held_thickness_mm-value": "0,3 cm",
            "viscosity_pa_s-value": "20000 cP",
        }
        assert save(owner_client, material, **typed).status_code == 302
        kept = values(material)
        assert kept["pot_life_min"] == (80, 60, 100, "measured", "cup of 12 May")
        assert kept["held_thickness_mm"][0] == 3
        # NIST SP 811: 1 cP is 1 mPa·s.
        assert kept["viscosity_pa_s"][0] == 20

    def test_leaves_what_was_not_touched_exactly_as_it_was(self, owner_client: Client) -> None:
        material = MaterialFactory(properties={"held_thickness_mm": 2.9876543, "q10": 2.123456789})
        StudioProfile.objects.current()
        StudioProfile.objects.update(units="us")
        before = values(material)
        form = owner_client.get(address("material_change", material.pk)).context
        posted = {bound.html_name: bound.value() or "" for one in form["values"] for bound in one}
        assert save(owner_client, material, **posted).status_code == 302
        assert values(material) == before

    def test_makes_a_number_typed_over_the_studios_own(self, owner_client: Client) -> None:
        owner_client.post(address("catalogue_load"))
        material = Material.objects.get(starter_key="platinum-20a")
        form = owner_client.get(address("material_change", material.pk)).context
        posted = {bound.html_name: bound.value() or "" for one in form["values"] for bound in one}
        posted |= {"pot_life_min-value": "41"}
        save(owner_client, material, **posted)
        assert values(material)["pot_life_min"] == (41, 24.5, 45.5, "the studio's own", "")
        assert values(material)["gel_min"][3] == "from memory, check"

    def test_takes_an_emptied_value_off(self, owner_client: Client) -> None:
        material = MaterialFactory(properties={"q10": 2.0})
        save(owner_client, material, **{"q10-value": "", "q10-source_kind": "data sheet"})
        assert "q10" not in values(material)

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"q10-value": "9"}, "must lie between 1 and 4"),
            ({"q10-value": "2", "q10-low": "3"}, "The least is more than the value"),
            ({"q10-value": "2", "q10-high": "1.5"}, "The most is less than the value"),
            ({"q10-low": "1.5"}, "A range needs a value in it"),
            ({"q10-value": "nan"}, ""),
            ({"q10-value": "1e999"}, ""),
            ({"density_kg_m3-value": "1.1 kg"}, ""),
            ({"q10-value": "2", "q10-source_kind": "a dream"}, ""),
            ({"q10-value": "2", "q10-source_text": "x" * 201}, ""),
        ],
    )
    def test_opens_the_value_that_is_wrong_and_saves_nothing(
        self, owner_client: Client, typed: dict[str, str], says: str
    ) -> None:
        material = MaterialFactory(properties={"gel_min": 60.0})
        answer = save(owner_client, material, **{"gel_min-value": "90", **typed})
        page = text_of(answer.content)
        assert answer.status_code == 422
        assert says in page
        assert 'value="90"' in page
        key = next(iter(typed)).partition("-")[0]
        assert f'<details class="value-entry" id="{key}-entry" open>' in page
        assert values(material)["gel_min"][0] == 60

    def test_asks_back_when_weight_and_volume_contradict_each_other(self, owner_client: Client) -> None:
        material = MaterialFactory()
        typed = {
            "parts_a_by_weight-value": "100",
            "parts_b_by_weight-value": "80",
            "parts_a_by_volume-value": "1",
            "parts_b_by_volume-value": "1",
            "density_a_kg_m3-value": "1120",
            "density_b_kg_m3-value": "1050",
        }
        answer = save(owner_client, material, **typed)
        assert answer.status_code == 422
        # M1 of the trade's arithmetic: 1:1 by volume at 1.12 and 1.05 is weighed 100 : 93.75.
        assert "93.8" in answer.content.decode()
        assert not values(material)
        assert save(owner_client, material, ratios_checked="1", **typed).status_code == 302
        assert len(values(material)) == 6

    def test_keeps_one_part_one_part_while_lots_stand_on_the_shelf(self, owner_client: Client) -> None:
        lot = LotFactory(holding=100, component=Lot.Component.A)
        answer = save(owner_client, lot.material, mix_basis="one_part")
        assert answer.status_code == 422
        assert "kept as A and B" in answer.content.decode()

    def test_shows_every_property_of_its_kind_once(self, owner_client: Client) -> None:
        for kind in MaterialKind:
            material = MaterialFactory(kind=kind.value, mix_basis=MixBasis.ONE_PART.value)
            values_shown = owner_client.get(address("material_change", material.pk)).context["values"]
            shown = [form.kind.key for _, forms in values_shown.sections() for form in forms]
            assert sorted(shown) == sorted({form.kind.key for form in values_shown})


class TestMaterialShow:
    def test_opens_each_value_to_its_source_and_range(self, owner_client: Client) -> None:
        owner_client.post(address("catalogue_load"))
        page = text_of(owner_client.get(address("material_show", Material.objects.get(starter_key="platinum-20a").pk)).content)
        for words in ("Pot life", "from memory, check", "two dealers: may not cure below 15 °C", "The general blanket rubber"):
            assert words in page

    def test_weighs_a_ratio_by_volume(self, owner_client: Client) -> None:
        owner_client.post(address("catalogue_load"))
        page = text_of(
            owner_client.get(address("material_show", Material.objects.get(starter_key="polyurethane-fast").pk)).content
        )
        assert "B to 100 of A by weight" in page
        assert "93.8" in page
        assert "isocyanate" in page.lower()

    def test_shows_both_readings_of_a_percentage(self, owner_client: Client) -> None:
        material = MaterialFactory(mix_basis=MixBasis.PERCENT_ON_BASE.value, properties={"dose_percent": 5.0})
        page = text_of(owner_client.get(address("material_show", material.pk)).content)
        # M2: 1 kg at 5 % on the base takes 47.619 g of B, at 5 % of the mix 50 g.
        assert '<span class="number">47.6</span>' in page
        assert '<span class="number">50</span>' in page

    def test_shows_what_a_kit_still_gives_and_what_is_stranded(self, owner_client: Client) -> None:
        material = MaterialFactory(properties={"parts_a_by_weight": 10.0, "parts_b_by_weight": 1.0})
        a = LotFactory(material=material, component="A", kit_code="K1", holding=7000)
        LotFactory(material=material, component="B", kit_code="K1", holding=670)
        ledger.reserve(of=a, mass_g=100, key="hold", by=None, job_number=1)
        page = text_of(owner_client.get(address("material_show", material.pk)).content)
        # 0.67 of B at 10:1 mixes to 7.37; of 6.9 free A 0.2 is left.
        assert "7.37" in page
        assert '<span class="number">200</span>' in page

    def test_says_what_is_missing_and_for_what(self, owner_client: Client) -> None:
        page = text_of(owner_client.get(address("material_show", MaterialFactory(properties=ONE_TO_ONE).pk)).content)
        assert "Pot life, for cutting a coat into mixes" in page
        assert "Parts A by volume" not in page

    @pytest.mark.parametrize("page", ["0", "-1", "999999", "x", "\x00"])
    def test_survives_nonsense_pages(self, owner_client: Client, page: str) -> None:
        lot = LotFactory(holding=10)
        assert owner_client.get(address("material_show", lot.material_id), {"page": page}).status_code == 200

    def test_asks_no_more_questions_for_more_lots_packs_and_lines(self, owner_client: Client) -> None:
        material, counts = MaterialFactory(properties=ONE_TO_ONE), []
        for number in (3, 27):
            for turn in range(number):
                lot = LotFactory(material=material, component="AB"[turn % 2], kit_code=f"K{turn}", holding=100)
                PackFactory(material=material, usual=False)
                line = ledger.issue(of=lot, mass_g=1, key=f"use-{number}-{turn}", by=None, job_number=1)
                ledger.reverse(movement=line, key=f"undo-{number}-{turn}", by=None)
            counts.append(questions(owner_client, address("material_show", material.pk)))
        assert counts[0] == counts[1] < 20

    def test_hides_prices_from_whom_money_is_hidden(self, signed_in: Callable[[Role], Client]) -> None:
        pack, maker = PackFactory(price=Decimal("123.45")), signed_in(Role.MAKER)
        assert "123.45" in maker.get(address("material_show", pack.material_id)).content.decode()
        StudioProfile.objects.update(money_hidden_from_makers=True)
        page = maker.get(address("material_show", pack.material_id)).content.decode()
        assert "123.45" not in page
        assert "Price" not in page


class TestMaterialRetire:
    def test_and_bring_back(self, owner_client: Client) -> None:
        material = MaterialFactory()
        owner_client.post(address("material_retire", material.pk))
        assert material not in Material.objects.rubbers()
        owner_client.post(address("material_return", material.pk))
        assert material in Material.objects.rubbers()

    def test_is_for_those_who_may_change_materials(self, signed_in: Callable[[Role], Client]) -> None:
        material, maker = MaterialFactory(), signed_in(Role.MAKER)
        for name in ("material_retire", "material_return", "material_change", "pack_add"):
            assert maker.post(address(name, material.pk)).status_code == 403


class TestPacks:
    TYPED = {"label": "5 kg kit", "mass_g": "5 kg", "price": "€ 110.00", "priced_on": "2026-01-15"}

    def test_the_first_is_the_usual_one_and_another_takes_over(self, owner_client: Client) -> None:
        material = MaterialFactory()
        owner_client.post(address("pack_add", material.pk), self.TYPED)
        owner_client.post(address("pack_add", material.pk), {**self.TYPED, "label": "Drum", "mass_g": "25 kg", "usual": "on"})
        assert [(pack.label, pack.mass_g, pack.usual) for pack in Pack.objects.order_by("mass_g")] == [
            ("5 kg kit", 5000, False),
            ("Drum", 25_000, True),
        ]
        owner_client.post(address("pack_remove", Pack.objects.get(label="Drum").pk))
        assert Pack.objects.get().usual

    def test_of_a_consumable_is_counted_by_the_piece(self, owner_client: Client) -> None:
        cups = MaterialFactory(kind="consumable", mix_basis="one_part", chemistry=Chemistry.OTHER.value)
        typed = {**self.TYPED, "label": "Sleeve", "pieces": "50"}
        assert owner_client.post(address("pack_add", cups.pk), typed).status_code == 302
        assert Pack.objects.get().price_each == Decimal("2.2")
        assert Pack.objects.get().price_per_kg is None

    @pytest.mark.parametrize(
        "typed",
        [
            {"label": ""},
            {"mass_g": "0"},
            {"mass_g": "1e30 kg"},
            {"price": "-1"},
            {"price": "ten"},
            {"priced_on": "x"},
            {"label": "\x00"},
        ],
    )
    def test_keep_what_was_typed(self, owner_client: Client, typed: dict[str, str]) -> None:
        answer = owner_client.post(address("pack_add", MaterialFactory().pk), {**self.TYPED, "supplier": "Harbour", **typed})
        assert answer.status_code == 422
        assert "Harbour" in answer.content.decode()
