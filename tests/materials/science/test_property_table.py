"""The tables of properties and rates hang together."""

from materials.properties import PROPERTIES, PROPERTY_KINDS, MaterialKind, properties_of
from studio.figures import SourceKind
from studio.workrates import WORK_RATE_KINDS, WORK_RATES, default_rates


class TestPropertyKinds:
    def test_have_unique_keys_and_real_ranges(self) -> None:
        assert len(PROPERTIES) == len(PROPERTY_KINDS)
        assert all(kind.least < kind.most for kind in PROPERTY_KINDS)
        assert all(kind.kinds and kind.unit and kind.meaning for kind in PROPERTY_KINDS)

    def test_every_kind_of_material_has_a_shelf_life(self) -> None:
        for kind in MaterialKind:
            assert PROPERTIES["shelf_life_months"] in properties_of(kind)

    def test_only_rubber_has_a_hardness(self) -> None:
        assert PROPERTIES["hardness_shore_a"].kinds == {MaterialKind.RUBBER}


class TestWorkRateKinds:
    def test_defaults_lie_in_their_ranges(self) -> None:
        assert len(WORK_RATES) == len(WORK_RATE_KINDS)
        for kind in WORK_RATE_KINDS:
            assert kind.low <= kind.default <= kind.high, kind.key

    def test_published_sources_are_named(self) -> None:
        for kind in WORK_RATE_KINDS:
            if kind.source.kind in (SourceKind.PUBLISHED, SourceKind.FROM_MEMORY):
                assert kind.source.text, kind.key

    def test_print_coat_goes_at_one_to_two_square_metres_an_hour(self) -> None:
        # From memory and common practice: start at 1 to 2 m2/h for the print coat, 2 to 4 for later coats.
        rates = default_rates()
        fast, slow = rates["print_coat_min_per_m2"].low, rates["print_coat_min_per_m2"].high
        assert (fast, slow) == (60 / 2, 60 / 1)
        fast, slow = rates["build_coat_min_per_m2"].low, rates["build_coat_min_per_m2"].high
        assert (fast, slow) == (60 / 4, 60 / 2)
