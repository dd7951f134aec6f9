"""Times of a material at the day's temperature, and where they are refused."""

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from materials.properties import Chemistry
from materials.science.errors import ColdStall, MissingProperty, ScienceError, TemperatureOutOfRange
from materials.science.kinetics import DEFAULT_Q10, arrhenius_factor, q10_factor, time_at
from materials.science.material import MaterialSpec
from materials.science.windows import recoat_window
from tests.jobs.planning.builders import given, rubber


def without(spec: MaterialSpec, *keys: str) -> MaterialSpec:
    """Return the material with some properties unknown."""
    kept = {key: value for key, value in spec.properties.items() if key not in keys}
    return MaterialSpec(
        key=spec.key,
        name=spec.name,
        kind=spec.kind,
        chemistry=spec.chemistry,
        family=spec.family,
        mix_basis=spec.mix_basis,
        properties=kept,
    )


class TestTimeAt:
    def test_is_the_stated_time_at_the_reference_temperature(self) -> None:
        assert time_at(rubber(), "pot_life_min", given(23)).value == pytest.approx(30)

    def test_shows_its_working(self) -> None:
        figure = time_at(rubber(), "pot_life_min", given(28))
        assert figure.value == pytest.approx(20.7043, rel=1e-5)
        assert len(figure.given) == 4

    def test_carries_the_measured_range_when_nothing_is_known_of_its_speed(self) -> None:
        figure = time_at(without(rubber(), "activation_energy_kj_mol"), "pot_life_min", given(33))
        assert figure.value == pytest.approx(15)
        assert figure.low == pytest.approx(10)
        assert figure.high == pytest.approx(25)
        assert DEFAULT_Q10 in figure.given

    def test_refuses_a_cold_room(self) -> None:
        with pytest.raises(ColdStall, match="may never cure"):
            time_at(rubber(), "pot_life_min", given(14.9))

    def test_believes_a_stated_lowest_temperature(self) -> None:
        assert time_at(rubber(lowest_cure_temp_c=8), "pot_life_min", given(10)).value == pytest.approx(83.66, rel=1e-3)

    @pytest.mark.parametrize("temperature", [4.9, 60.1, float("nan"), float("inf")])
    def test_refuses_what_was_never_measured(self, temperature: float) -> None:
        with pytest.raises(TemperatureOutOfRange, match=r"5 °C \(41 °F\) to 60 °C \(140 °F\)"):
            time_at(rubber(), "pot_life_min", given(temperature))

    def test_says_which_property_is_missing_and_where_to_add_it(self) -> None:
        with pytest.raises(MissingProperty, match=r"Rubber has no pot life\..*Add it on the material's page"):
            time_at(without(rubber(), "pot_life_min"), "pot_life_min", given(23))

    @drawn(st.floats(15, 59), st.floats(0.01, 1))
    def test_never_lengthens_when_it_is_warmer(self, temperature: float, more: float) -> None:
        cool = time_at(rubber(), "demold_min", given(temperature))
        warm = time_at(rubber(), "demold_min", given(temperature + more))
        assert warm.value < cool.value

    @drawn(st.floats(5, 60), st.floats(5, 60), st.floats(5, 150))
    def test_returns_to_itself(self, one: float, other: float, energy: float) -> None:
        there = arrhenius_factor(from_c=one, to_c=other, activation_energy_kj_mol=energy)
        back = arrhenius_factor(from_c=other, to_c=one, activation_energy_kj_mol=energy)
        assert there * back == pytest.approx(1)

    def test_refuses_a_speed_up_below_one(self) -> None:
        with pytest.raises(ScienceError, match="1 or more"):
            q10_factor(from_c=20, to_c=30, q10=0.9)


class TestRecoatWindow:
    def test_of_silicone_opens_at_gel_and_closes_after_a_day(self) -> None:
        window = recoat_window(rubber(), given(23))
        assert (window.earliest.value, window.latest.value) == (90, 1440)
        assert window.leave_overnight
        assert not window.bond_is_lost

    def test_of_polyurethane_must_be_stated(self) -> None:
        with pytest.raises(MissingProperty, match="latest recoat"):
            recoat_window(rubber(Chemistry.POLYURETHANE), given(23))

    def test_of_polyurethane_loses_the_bond(self) -> None:
        window = recoat_window(rubber(Chemistry.POLYURETHANE, recoat_latest_min=120), given(23))
        assert window.bond_is_lost
        assert not window.leave_overnight
        assert window.latest.value == pytest.approx(120)

    @drawn(st.floats(15, 60), st.floats(1, 4000))
    def test_never_closes_before_it_opens_for_silicone(self, temperature: float, gel_min: float) -> None:
        window = recoat_window(rubber(gel_min=gel_min), given(temperature))
        assert window.earliest.value <= window.latest.value
