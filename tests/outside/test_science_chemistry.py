"""Molar masses and measured activation energies against an independent table of elements and published times."""

import pytest
from periodictable import formula

from materials.science.kinetics import energy_from_times, q10_factor, q10_from_energy
from materials.science.plaster import COMBINED_WATER


class TestGypsum:
    def test_water_that_plaster_combines_with(self) -> None:
        # Independent: periodictable: CaSO4 1/2 H2O + 1 1/2 H2O -> CaSO4 2 H2O; 145.14 g/mol of half hydrate.
        whole, half_mass = formula("CaSO4(H2O)2"), formula("Ca2S2O8(H2O)").mass / 2
        assert half_mass == pytest.approx(145.14, abs=0.01)
        assert pytest.approx((whole.mass - half_mass) / half_mass, rel=1e-5) == COMBINED_WATER


class TestMeasuredEnergies:
    @pytest.mark.parametrize(
        ("cold", "warm", "energy"),
        [
            # Published times: IADR 86th General Session 2008, abstract 3193; energies calculated.
            ((160, 15), (135, 25), 12.1),
            ((135, 25), (44.6, 35), 84.6),
            ((160, 15), (44.6, 35), 47.2),
            ((574.3, 25), (309, 35), 47.3),
            ((331, 15), (216.6, 25), 30.3),
            ((216.6, 25), (96.3, 35), 61.9),
            ((331, 15), (96.3, 35), 45.6),
            ((834.6, 25), (712.3, 35), 12.1),
        ],
    )
    def test_follow_from_published_times(self, cold: tuple[float, float], warm: tuple[float, float], energy: float) -> None:
        found = energy_from_times(time_cold=cold[0], cold_c=cold[1], time_warm=warm[0], warm_c=warm[1])
        assert found == pytest.approx(energy, abs=0.06)

    @pytest.mark.parametrize(
        ("cold_s", "warm_s", "q10"),
        [(160, 135, 1.19), (135, 44.6, 3.03), (331, 216.6, 1.53), (216.6, 96.3, 2.25), (574.3, 309, 1.86), (834.6, 712.3, 1.17)],
    )
    def test_speed_ups_of_the_same_times(self, cold_s: float, warm_s: float, q10: float) -> None:
        # Published times, ten degrees apart; the speed-up moves the colder one onto the warmer one.
        assert cold_s * q10_factor(from_c=15, to_c=25, q10=q10) == pytest.approx(warm_s, rel=5e-3)

    def test_energy_and_speed_up_tell_the_same(self) -> None:
        # Independent path: the energy of 574.3 and 309 s gives back their ratio.
        energy = energy_from_times(time_cold=574.3, cold_c=25, time_warm=309, warm_c=35)
        assert q10_from_energy(activation_energy_kj_mol=energy, at_c=25) == pytest.approx(574.3 / 309, rel=1e-9)
