"""Mixing, batches and losses against published and calculated values."""

import math

import pytest
from scipy.integrate import quad

from materials.science.batches import largest_mix_kg, mixes_needed
from materials.science.kinetics import arrhenius_factor
from materials.science.mixing import (
    cup_loss_g,
    cup_loss_share,
    drained_film_mm,
    kit_use,
    kit_use_overdosed,
    mixed_density,
    mixed_mass,
    split_batch,
    weight_ratio_from_volume,
)


class TestWeightRatio:
    def test_is_not_one_to_one_when_densities_differ(self) -> None:
        # Calculated: 1:1 by volume, 1.12 and 1.05 g/cm3 -> 100 : 93.75 by weight.
        ratio = weight_ratio_from_volume(parts_a=1, parts_b=1, density_a_kg_m3=1120, density_b_kg_m3=1050)
        assert 100 * ratio == pytest.approx(93.75, rel=1e-9)


class TestSplitBatch:
    @pytest.mark.parametrize(
        ("mass_g", "parts", "expected"),
        [
            # Exact arithmetic of proportion.
            (1250, (100, 10), (1136.363636, 113.6363636)),
            (1000, (1, 1), (500, 500)),
            (1000, (100, 5), (952.3809524, 47.61904762)),  # "5 % on the base"
            (1000, (95, 5), (950, 50)),  # "5 % of the mix"
        ],
    )
    def test_follows_the_proportion(self, mass_g: float, parts: tuple[float, float], expected: tuple[float, float]) -> None:
        assert split_batch(mass_g=mass_g, parts_a=parts[0], parts_b=parts[1]) == pytest.approx(expected, rel=1e-6)


class TestMixedDensity:
    def test_adds_volumes(self) -> None:
        # Calculated: silicone 1.12 with 2 parts polyethylene fibre (0.96) per 100.
        density = mixed_density(masses_g=(100, 2), densities_kg_m3=(1120, 960))
        assert density == pytest.approx(1116.352, rel=1e-6)


class TestLosses:
    def test_film_follows_the_draining_plate(self) -> None:
        # From memory: Jeffreys 1930; mu 20 Pa.s, z 0.10 m, t 60 s, rho 1120, g 9.80665.
        foot = drained_film_mm(viscosity_pa_s=20, height_m=0.10, seconds=60, density_kg_m3=1120)
        assert foot == pytest.approx(1.742088, rel=1e-6)

    def test_mean_film_is_two_thirds_of_the_foot(self) -> None:
        # Independent: numerical mean over the height.
        def film(z: float) -> float:
            return drained_film_mm(viscosity_pa_s=20, height_m=z, seconds=60, density_kg_m3=1120)

        mean = quad(film, 0, 0.10)[0] / 0.10
        assert mean == pytest.approx(1.161392, rel=1e-5)

    def test_cup_keeps_46_grams(self) -> None:
        # Calculated: cup 120 mm wide filled 80 mm, film 1 mm, 1.12 g/cm3.
        assert cup_loss_g(diameter_mm=120, filled_mm=80, film_mm=1, density_kg_m3=1120) == pytest.approx(46.4453, rel=1e-5)
        assert math.pi * 0.12 * 0.08 + math.pi * 0.06**2 == pytest.approx(0.0414690, rel=1e-6)

    @pytest.mark.parametrize(("mix_g", "share"), [(887, 0.052), (200, 0.23)])
    def test_small_mixes_waste_more_of_themselves(self, mix_g: float, share: float) -> None:
        # Calculated: 46.4 g stay in the cup of either.
        lost = cup_loss_share(mix_g=mix_g, diameter_mm=120, filled_mm=80, film_mm=1, density_kg_m3=1120)
        assert lost == pytest.approx(share, abs=3e-3)

    def test_mixed_less_loss_is_what_was_wanted(self) -> None:
        assert mixed_mass(net_mass_g=900, loss_percent=10) == pytest.approx(1000)


class TestLargestMix:
    # Common practice: 1.5 mm of 1.1 g/cm3, 1.5 m2/h, 30 min, 85 % usable, 4 min of mixing -> 0.5375 m2, 0.886875 kg.
    def test_at_reference_temperature(self) -> None:
        cap = largest_mix_kg(areal_mass_kg_m2=1.65, rate_m2_h=1.5, pot_life_min=30, usable_share=0.85, mix_min=4)
        assert cap == pytest.approx(0.886875, rel=1e-9)

    def test_falls_at_28_degrees(self) -> None:
        # Calculated: Ea 55 kJ/mol shortens 30 min at 23 degC to 20.7043 min at 28 degC.
        pot_life = 30 * arrhenius_factor(from_c=23, to_c=28, activation_energy_kj_mol=55)
        cap = largest_mix_kg(areal_mass_kg_m2=1.65, rate_m2_h=1.5, pot_life_min=pot_life, usable_share=0.85, mix_min=4)
        assert pot_life == pytest.approx(20.7043, rel=1e-5)
        assert cap == pytest.approx(0.560945, rel=1e-5)

    def test_counts_nine_mixes_for_four_coats(self) -> None:
        # Calculated: 1, 2, 3 and 3 mixes of at most 0.886875 kg.
        masses = (700, 1500, 2400, 2600)
        assert [mixes_needed(mass_g=mass, largest_mix_g=886.875) for mass in masses] == [1, 2, 3, 3]


class TestKitUse:
    def test_strands_a_when_b_is_overdosed(self) -> None:
        # Calculated: 10 kg A + 1 kg B, B dosed 3 % high each time.
        kit = kit_use(stock_a_g=10000, stock_b_g=1000, parts_a=1, parts_b=0.103)
        assert kit.stranded_a_g == pytest.approx(291.262, rel=1e-5)
        assert kit.stranded_b_g == pytest.approx(0, abs=1e-6)
        generous = kit_use_overdosed(stock_a_g=10000, stock_b_g=1000, parts_a=10, parts_b=1, overdose_percent=3)
        assert generous.stranded_a_g == pytest.approx(291.262, rel=1e-5)
        assert generous.usable_g == pytest.approx(9708.738 + 1000, rel=1e-6)

    def test_gives_twelve_mixes_of_900_grams(self) -> None:
        # Calculated: 11 kg kit at 10:1.
        kit = kit_use(stock_a_g=10000, stock_b_g=1000, parts_a=10, parts_b=1)
        assert kit.usable_g / 900 == pytest.approx(12.2222, rel=1e-5)
        assert split_batch(mass_g=900, parts_a=10, parts_b=1) == pytest.approx((818.1818, 81.8182), rel=1e-6)

    def test_is_bound_by_the_shorter_component(self) -> None:
        # Calculated: 7.0 kg A with 0.67 kg B at 10:1 -> 6.7 kg of A usable, 0.30 stranded.
        kit = kit_use(stock_a_g=7000, stock_b_g=670, parts_a=10, parts_b=1)
        assert kit.stranded_a_g == pytest.approx(300)
        assert kit.usable_g == pytest.approx(7370)
