"""Shells, packing and sag against published worked examples."""

import pytest

from materials.science.laminate import laminate, resin_for_glass_share, solid_shell_g_m2
from materials.science.packing import fresh_volume, scrap_volume
from materials.science.plaster import COMBINED_WATER, dry_density_kg_m3, plaster_layer, slurry_l_per_kg
from materials.science.sag import held_thickness_mm, mean_for_minimum_mm, run_distance_m, yield_stress_to_hold_pa


class TestLaminate:
    def test_six_kilograms_of_glass_at_thirty_percent(self) -> None:
        # Published: a resin maker's laminating example: 6 kg glass at 30 % -> 20 kg laminate, 14 kg resin.
        assert resin_for_glass_share(glass_kg=6, glass_share=0.30) == pytest.approx(14)

    def test_three_layers_of_mat(self) -> None:
        # Calculated: 3 x 450 g/m2, resin 2.5 x glass (published by three suppliers), densities 2560 and 1200.
        made = laminate(layers=3, layer_mass_g_m2=450, resin_per_glass=2.5, resin_density_kg_m3=1200)
        assert made.glass_g_m2 == pytest.approx(1350)
        assert made.resin_g_m2 == pytest.approx(3375)
        assert made.mass_g_m2 == pytest.approx(4725)
        assert made.thickness_mm == pytest.approx(3.3398, rel=2e-5)
        assert made.mass_g_m2 / made.thickness_mm == pytest.approx(1414.7, rel=1e-4)
        assert made.glass_g_m2 / made.mass_g_m2 == pytest.approx(0.2857, abs=1e-4)

    def test_putty_lies_in_the_usual_range(self) -> None:
        # Common practice, no source: 4 to 8 mm of 1.3 to 1.7 g/cm3 is 6 to 12 kg/m2 (rounded).
        assert solid_shell_g_m2(thickness_mm=4, density_kg_m3=1500) == pytest.approx(6000)
        assert solid_shell_g_m2(thickness_mm=8, density_kg_m3=1500) == pytest.approx(12000)


class TestPlaster:
    def test_water_of_gypsum_is_stoichiometric(self) -> None:
        # Independent: standard atomic weights (IUPAC 2021, abridged): CaSO4.1/2H2O + 3/2 H2O -> gypsum.
        water = 2 * 1.0080 + 15.999
        half_hydrate = 40.078 + 32.06 + 4 * 15.999 + 0.5 * water
        assert pytest.approx(1.5 * water / half_hydrate, rel=1e-4) == COMBINED_WATER
        # Calculated elsewhere from the same reaction: 0.186180 kg per kg.
        assert pytest.approx(0.186180, abs=1e-5) == COMBINED_WATER

    def test_hand_mix(self) -> None:
        # Calculated: 70 parts water per 100, powder density 2.63: 1.080228 L/kg, 1098.08 kg/m3 dry.
        assert slurry_l_per_kg(water_per_100=70) == pytest.approx(1.080228, rel=1e-6)
        assert dry_density_kg_m3(water_per_100=70) == pytest.approx(1098.08, rel=1e-5)

    def test_twenty_millimetres(self) -> None:
        # Calculated: 21.96 kg/m2 dry from 18.51 kg/m2 of powder.
        made = plaster_layer(thickness_mm=20, water_per_100=70)
        assert made.dry_g_m2 == pytest.approx(21960, rel=2e-4)
        assert made.powder_g_m2 == pytest.approx(18510, rel=3e-4)
        assert made.water_g_m2 == pytest.approx(0.7 * made.powder_g_m2)


class TestPacking:
    @pytest.mark.parametrize(("packing", "fresh_l", "scrap_kg"), [(0.54, 1.84, 2.376), (0.67, 1.32, 2.948)])
    def test_of_cubes_in_four_litres(self, packing: float, fresh_l: float, scrap_kg: float) -> None:
        # Published fractions: Baker & Kudrolli, Phys. Rev. E 82:061304, 2010; scrap at 1.10 g/cm3.
        assert fresh_volume(cavity_volume=4.0, scrap_share=1, packing_fraction=packing) == pytest.approx(fresh_l)
        chunks = scrap_volume(cavity_volume=4.0, scrap_share=1, packing_fraction=packing)
        assert chunks * 1.10 == pytest.approx(scrap_kg)


class TestSag:
    @pytest.mark.parametrize(
        ("stress", "thickness"),
        [(10, 0.927), (20, 1.854), (40, 3.708), (100, 9.270), (200, 18.54), (1000, 92.70)],
    )
    def test_on_a_wall(self, stress: float, thickness: float) -> None:
        # Published relation: Mezger, The Rheology Handbook, 3.3.4.2.12d; table calculated at 1100 kg/m3.
        assert held_thickness_mm(yield_stress_pa=stress, density_kg_m3=1100) == pytest.approx(thickness, rel=6e-4)

    def test_on_a_slope(self) -> None:
        # Calculated: 40 Pa at 45 degrees.
        held = held_thickness_mm(yield_stress_pa=40, density_kg_m3=1100, slope_deg=45)
        assert held == pytest.approx(5.244, rel=1e-4)

    def test_three_millimetres_want_32_pascal(self) -> None:
        # Calculated: rho g t.
        assert yield_stress_to_hold_pa(thickness_mm=3, density_kg_m3=1100) == pytest.approx(32.4, rel=2e-3)

    def test_unthickened_rubber_runs(self) -> None:
        # Calculated: 1 mm of 30 Pa.s runs 0.323619 m in 30 min.
        run = run_distance_m(thickness_mm=1, viscosity_pa_s=30, minutes=30, density_kg_m3=1100)
        assert run == pytest.approx(0.323619, rel=1e-5)

    @pytest.mark.parametrize(("variation", "mean"), [(0.20, 8.941), (0.10, 7.181)])
    def test_mean_for_a_minimum_of_six(self, variation: float, mean: float) -> None:
        # Calculated: one-sided 95 % of a normal scatter.
        assert mean_for_minimum_mm(least_mm=6, variation=variation) == pytest.approx(mean, rel=1e-4)
