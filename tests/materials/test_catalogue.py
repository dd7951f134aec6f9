"""The starter catalogue: generic, sourced, believable, and never in the way of the studio's own values."""

from collections import Counter

import pytest

from materials.catalogue.entry import StarterEntry
from materials.catalogue.starter import STARTER
from materials.inputs import specs_of
from materials.models import Material, MaterialProperty, Pack
from materials.properties import PROPERTIES, MaterialKind, MixBasis, properties_of
from materials.science.mixing import component_shares
from materials.services.catalogue import load_starter_catalogue
from studio.figures import SourceKind
from tests.factories import MaterialFactory

MIXED = {MaterialKind.RUBBER, MaterialKind.RESIN, MaterialKind.SHELL}


@pytest.mark.parametrize("entry", STARTER, ids=lambda entry: entry.key)
class TestEntry:
    def test_states_only_what_its_kind_has_within_what_is_believable(self, entry: StarterEntry) -> None:
        keys = [stated.key for stated in entry.properties]
        assert len(keys) == len(set(keys))
        assert set(keys) <= {kind.key for kind in properties_of(entry.kind)}
        for stated in entry.properties:
            kind = PROPERTIES[stated.key]
            ends = [end for end in (stated.low, stated.value, stated.high) if end is not None]
            assert ends == sorted(ends)
            assert kind.least <= ends[0]
            assert ends[-1] <= kind.most

    def test_says_where_each_value_comes_from(self, entry: StarterEntry) -> None:
        for stated in entry.properties:
            assert stated.source.kind in {SourceKind.PUBLISHED, SourceKind.COMMON_PRACTICE, SourceKind.FROM_MEMORY}
            assert stated.source.text or stated.source.kind is SourceKind.COMMON_PRACTICE

    def test_has_the_ratio_that_its_way_of_mixing_asks_for(self, entry: StarterEntry) -> None:
        keys = {stated.key for stated in entry.properties}
        wanted = {
            MixBasis.BY_WEIGHT: {"parts_a_by_weight", "parts_b_by_weight"},
            MixBasis.BY_VOLUME: {"parts_a_by_volume", "parts_b_by_volume", "density_a_kg_m3", "density_b_kg_m3"},
            MixBasis.PERCENT_ON_BASE: {"dose_percent"},
            MixBasis.PERCENT_OF_MIX: {"dose_percent"},
            MixBasis.ONE_PART: set(),
        }[entry.mix_basis]
        assert wanted <= keys
        if entry.kind in {MaterialKind.RUBBER, MaterialKind.RESIN}:
            assert {"density_kg_m3", "pot_life_min", "gel_min", "demold_min", "reference_temp_c"} <= keys


class TestStarter:
    def test_covers_what_a_studio_uses(self) -> None:
        kinds = Counter(entry.kind for entry in STARTER)
        assert kinds[MaterialKind.RUBBER] >= 6
        assert set(kinds) == set(MaterialKind)

    def test_has_no_key_and_no_name_twice(self) -> None:
        assert len({entry.key for entry in STARTER}) == len(STARTER)
        assert len({entry.name.casefold() for entry in STARTER}) == len(STARTER)


@pytest.mark.django_db
class TestLoadStarterCatalogue:
    def test_adds_everything_once_without_a_price(self) -> None:
        assert len(load_starter_catalogue(by=None).added) == len(STARTER)
        again = load_starter_catalogue(by=None)
        assert (again.added, len(again.left_alone)) == ((), len(STARTER))
        assert Material.objects.count() == len(STARTER)
        assert not Pack.objects.exists()

    def test_gives_the_core_a_ratio_for_everything_mixed(self) -> None:
        load_starter_catalogue(by=None)
        for spec in specs_of(Material.objects.all()).values():
            share_a, share_b = component_shares(spec)
            assert share_a.value + share_b.value == pytest.approx(1)

    def test_never_overwrites_the_studios_own(self) -> None:
        load_starter_catalogue(by=None)
        Material.objects.filter(starter_key="tin-25a").update(name="Our tin", active=False)
        row = MaterialProperty.objects.get(material__starter_key="tin-25a", key="pot_life_min")
        MaterialProperty.objects.filter(pk=row.pk).update(value=55, high=60)
        MaterialProperty.objects.filter(material__starter_key="tin-25a", key="gel_min").delete()
        load_starter_catalogue(by=None)
        kept = Material.objects.get(starter_key="tin-25a")
        assert (kept.name, kept.active, kept.properties.get(key="pot_life_min").value) == ("Our tin", False, 55)
        assert not kept.properties.filter(key="gel_min").exists()

    def test_leaves_a_material_of_the_same_name_alone(self) -> None:
        own = MaterialFactory(name=STARTER[0].name.upper())
        assert STARTER[0].name in load_starter_catalogue(by=None).left_alone
        assert not own.properties.exists()
