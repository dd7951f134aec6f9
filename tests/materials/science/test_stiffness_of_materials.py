"""The stiffness of a rubber is a range, as wide as its data leave it."""

import math

import pytest

from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.science.material import MaterialSpec
from materials.science.stiffness import modulus_erf_mpa, modulus_gent_mpa, modulus_qi_mpa, modulus_range
from studio.figures import Given


def rubber(**properties: float) -> MaterialSpec:
    return MaterialSpec(
        key=1,
        name="Blue 20",
        kind=MaterialKind.RUBBER,
        chemistry=Chemistry.TIN_SILICONE,
        family="house",
        mix_basis=MixBasis.BY_WEIGHT,
        properties={key: Given(label=key, value=value, unit="1") for key, value in properties.items()},
    )


class TestModulusRange:
    def test_of_hardness_alone_is_wide(self) -> None:
        found = modulus_range(rubber(hardness_shore_a=20))
        assert found is not None
        assert found.low == pytest.approx(modulus_erf_mpa(shore_a=20))
        assert found.high == pytest.approx(modulus_gent_mpa(shore_a=20))
        assert found.value == pytest.approx(math.sqrt(found.low * found.high))
        assert 2 <= found.high / found.low <= 5

    def test_of_harder_rubber_takes_every_relation(self) -> None:
        found = modulus_range(rubber(hardness_shore_a=40))
        assert found is not None
        assert found.high == pytest.approx(modulus_qi_mpa(shore_a=40))

    def test_of_a_data_sheet_is_its_modulus_at_100_percent(self) -> None:
        found = modulus_range(rubber(hardness_shore_a=20, modulus_100_mpa=0.34))
        assert found is not None
        assert found.value == pytest.approx(3 / 1.75 * 0.34)
        assert found.low < found.value < found.high
        alone = modulus_range(rubber(modulus_100_mpa=0.34))
        assert alone is not None
        assert alone.low == alone.value == alone.high

    def test_of_what_is_not_known_is_nothing(self) -> None:
        assert modulus_range(rubber()) is None
        assert modulus_range(rubber(hardness_shore_a=90)) is None

    def test_every_input_is_named(self) -> None:
        found = modulus_range(rubber(hardness_shore_a=90, modulus_100_mpa=3))
        assert found is not None
        assert [item.label for item in found.given] == ["modulus_100_mpa"]
        assert found.note == ""
