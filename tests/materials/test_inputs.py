"""Rows of materials as values for the core."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from materials import ledger
from materials.inputs import material_spec, specs
from materials.models import MaterialProperty
from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.science.errors import MissingProperty
from studio.figures import SourceKind
from tests.factories import LotFactory, MaterialFactory, PackFactory

pytestmark = pytest.mark.django_db


class TestMaterialSpec:
    def test_carries_each_value_with_its_source_and_range(self) -> None:
        material = MaterialFactory(family="Slate")
        MaterialProperty.objects.create(
            material=material, key="pot_life_min", value=30, low=20, high=45, source_kind="published", source_text="a page"
        )
        spec = material_spec(material)
        given = spec.need("pot_life_min")
        assert (given.label, given.value, given.unit, given.low, given.high) == ("Pot life", 30, "min", 20, 45)
        assert (given.source.kind, given.source.text) == (SourceKind.PUBLISHED, "a page")
        assert (spec.kind, spec.chemistry) == (MaterialKind.RUBBER, Chemistry.PLATINUM_SILICONE)
        assert (spec.mix_basis, spec.family) == (MixBasis.BY_WEIGHT, "Slate")
        with pytest.raises(MissingProperty):
            spec.need("gel_min")

    def test_leaves_out_keys_that_nobody_knows_any_more(self) -> None:
        material = MaterialFactory()
        MaterialProperty.objects.create(material=material, key="smell", value=3)
        assert material_spec(material).properties == {}


class TestPricePerKg:
    def test_is_not_known_without_a_pack_or_a_paid_lot(self) -> None:
        material = MaterialFactory()
        LotFactory(material=material, unit_cost_per_kg=0, holding=1000)
        assert material_spec(material).price_per_kg is None

    def test_comes_from_the_usual_pack(self) -> None:
        material = MaterialFactory()
        PackFactory(material=material, mass_g=1000, price=30, usual=False)
        PackFactory(material=material, mass_g=5000, price=110, usual=True)
        spec = material_spec(material)
        assert spec.price_per_kg is not None
        assert (spec.price_per_kg.value, spec.price_per_kg.unit, spec.pack_mass_g) == (22, "money/kg", 5000)

    def test_is_the_mean_of_what_is_left_of_each_paid_lot(self) -> None:
        material = MaterialFactory()
        PackFactory(material=material)
        first = LotFactory(material=material, unit_cost_per_kg=20, holding=3000)
        LotFactory(material=material, unit_cost_per_kg=30, holding=1000)
        ledger.issue(of=first, mass_g=2000, key="used", by=None)
        price = material_spec(material).price_per_kg
        assert price is not None
        # (1 kg × 20 + 1 kg × 30) ÷ 2 kg.
        assert (price.value, price.low, price.high) == (25, 20, 30)
        assert "weighted by what is left" in price.source.text

    def test_of_things_counted_by_the_piece_is_none(self) -> None:
        cups = MaterialFactory(kind="consumable", mix_basis="one_part")
        PackFactory(material=cups, mass_g=None, pieces=50, price=Decimal(10))
        assert material_spec(cups).price_per_kg is None


class TestSpecs:
    def test_asks_no_more_questions_for_more_materials(self) -> None:
        counts = []
        for number in (3, 27):
            ids = []
            for _ in range(number):
                material = MaterialFactory(properties={"q10": 2.0, "gel_min": 60.0})
                PackFactory(material=material)
                LotFactory(material=material, holding=100)
                ids.append(material.pk)
            with CaptureQueriesContext(connection) as asked:
                assert set(specs(ids)) == set(ids)
            counts.append(len(asked))
        assert counts == [4, 4]

    def test_leaves_unknown_ids_out(self) -> None:
        assert specs([10**12]) == {}
