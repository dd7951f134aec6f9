"""Ratios, kits, batches and packings: what must always hold, and what is refused."""

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.science.batches import largest_mix_kg, mixes_needed
from materials.science.errors import (
    BadMixRatio,
    BadPacking,
    BadThickness,
    CoatWillNotHold,
    MissingProperty,
    PotLifeTooShort,
)
from materials.science.laminate import laminate, resin_for_glass_share, solid_shell_g_m2
from materials.science.mixing import component_shares, kit_use, mixed_mass, split_batch
from materials.science.packing import chunk_too_large, fresh_volume
from materials.science.plaster import plaster_layer, slurry_l_per_kg
from materials.science.sag import coats_to_build, held_by, held_thickness_mm
from materials.science.stiffness import spread_of_modulus_mpa
from tests.jobs.planning.builders import material, rubber

positive = st.floats(0.01, 1000)


class TestComponentShares:
    def test_tells_percent_on_base_from_percent_of_mix(self) -> None:
        def shares(basis: MixBasis) -> tuple[float, ...]:
            spec = material("x", MaterialKind.RUBBER, Chemistry.TIN_SILICONE, basis, dose_percent=5.0)
            return tuple(share.value for share in component_shares(spec))

        assert shares(MixBasis.PERCENT_ON_BASE) == pytest.approx((0.952381, 0.047619), rel=1e-5)
        assert shares(MixBasis.PERCENT_OF_MIX) == pytest.approx((0.95, 0.05))

    def test_wants_the_ratio_it_is_mixed_by(self) -> None:
        spec = material(
            "x", MaterialKind.RUBBER, Chemistry.TIN_SILICONE, MixBasis.BY_VOLUME, parts_a_by_volume=1, parts_b_by_volume=1
        )
        with pytest.raises(MissingProperty, match="density of a"):
            component_shares(spec)

    @drawn(positive, positive)
    def test_sum_to_one(self, a: float, b: float) -> None:
        spec = rubber(parts_a_by_weight=a, parts_b_by_weight=b)
        assert sum(share.value for share in component_shares(spec)) == pytest.approx(1)

    @pytest.mark.parametrize("parts", [0.0, -1.0, float("nan")])
    def test_refuse_a_part_that_is_not_above_nought(self, parts: float) -> None:
        with pytest.raises(BadMixRatio, match="part A"):
            split_batch(mass_g=100, parts_a=parts, parts_b=1)


class TestKitUse:
    @drawn(st.floats(0, 1e5), st.floats(0, 1e5), positive, positive)
    def test_accounts_for_every_gram(self, stock_a: float, stock_b: float, a: float, b: float) -> None:
        kit = kit_use(stock_a_g=stock_a, stock_b_g=stock_b, parts_a=a, parts_b=b)
        assert kit.usable_g + kit.stranded_a_g + kit.stranded_b_g == pytest.approx(stock_a + stock_b, abs=1e-6)
        assert kit.usable_g == pytest.approx(min(stock_a / a, stock_b / b) * (a + b))


class TestBatches:
    @drawn(st.floats(0, 1e6), st.floats(1, 1e5))
    def test_no_mix_is_above_the_cap(self, mass: float, cap: float) -> None:
        number = mixes_needed(mass_g=mass, largest_mix_g=cap)
        assert number * cap >= mass * (1 - 1e-6)
        assert (number - 1) * cap < mass or number == 0

    def test_refuses_a_pot_life_that_mixing_eats(self) -> None:
        with pytest.raises(PotLifeTooShort, match="cooler room"):
            largest_mix_kg(areal_mass_kg_m2=1.6, rate_m2_h=1.5, pot_life_min=4, usable_share=0.85, mix_min=4)

    @pytest.mark.parametrize("loss", [-1, 61, float("nan")])
    def test_refuses_an_unbelievable_loss(self, loss: float) -> None:
        with pytest.raises(BadMixRatio, match="0 to 60"):
            mixed_mass(net_mass_g=100, loss_percent=loss)


class TestPackingRules:
    @drawn(st.floats(0, 100), st.floats(0, 1), st.floats(0, 0.9))
    def test_fresh_rubber_is_never_negative(self, volume: float, share: float, packing: float) -> None:
        fresh = fresh_volume(cavity_volume=volume, scrap_share=share, packing_fraction=packing)
        assert 0 <= fresh <= volume

    @pytest.mark.parametrize(("share", "packing"), [(1.1, 0.5), (-0.1, 0.5), (0.5, 0.95), (0.5, -0.1)])
    def test_refuses_impossible_shares(self, share: float, packing: float) -> None:
        with pytest.raises(BadPacking):
            fresh_volume(cavity_volume=1, scrap_share=share, packing_fraction=packing)

    def test_chunks_stay_below_a_third_of_the_layer(self) -> None:
        assert chunk_too_large(chunk_edge_mm=11, layer_mm=30)
        assert not chunk_too_large(chunk_edge_mm=10, layer_mm=30)


class TestSagRules:
    def test_stated_thickness_goes_before_yield_stress(self) -> None:
        assert held_by(rubber(yield_stress_pa=100)).value == 3

    def test_yield_stress_serves_when_nothing_is_stated(self) -> None:
        spec = material(
            "x", MaterialKind.RUBBER, Chemistry.TIN_SILICONE, MixBasis.ONE_PART, yield_stress_pa=40, density_kg_m3=1100
        )
        assert held_by(spec).value == pytest.approx(3.708, rel=1e-3)

    def test_eight_tenths_of_three_millimetres_build_seven_in_three_coats(self) -> None:
        assert coats_to_build(build_mm=7.2, held_mm=3, sag_factor=0.8) == 3
        assert coats_to_build(build_mm=7.3, held_mm=3, sag_factor=0.8) == 4

    def test_refuses_rubber_that_holds_nothing(self) -> None:
        with pytest.raises(CoatWillNotHold, match="held thickness"):
            coats_to_build(build_mm=5, held_mm=0, sag_factor=0.8)

    def test_refuses_a_slope_that_is_flat(self) -> None:
        with pytest.raises(BadThickness):
            held_thickness_mm(yield_stress_pa=40, density_kg_m3=1100, slope_deg=0)


class TestShellRules:
    def test_refuse_no_thickness_and_no_layers(self) -> None:
        with pytest.raises(BadThickness):
            plaster_layer(thickness_mm=0, water_per_100=70)
        with pytest.raises(BadThickness):
            laminate(layers=0, layer_mass_g_m2=450, resin_per_glass=2.5, resin_density_kg_m3=1200)
        with pytest.raises(BadThickness):
            solid_shell_g_m2(thickness_mm=5, density_kg_m3=0)
        with pytest.raises(BadThickness):
            resin_for_glass_share(glass_kg=6, glass_share=1)

    def test_refuse_too_much_water(self) -> None:
        with pytest.raises(BadMixRatio, match="15 and 150"):
            slurry_l_per_kg(water_per_100=300)


class TestStiffnessSpread:
    def test_lies_between_the_soft_and_the_stiff_relation(self) -> None:
        # Table calculated for 20 Shore A: error-function relation 0.3162, Gent 0.7319 MPa.
        spread = spread_of_modulus_mpa(modulus_100_mpa=None, shore_a=20)
        assert spread == pytest.approx((0.3162, 0.7319), abs=1e-4)

    def test_is_unknown_without_data(self) -> None:
        assert spread_of_modulus_mpa(modulus_100_mpa=None, shore_a=None) is None
