"""Every law that is asked for plain numbers refuses what is no number, and what lies below its range."""

import inspect
import math
from collections.abc import Callable

import pytest

from materials.science import (
    batches,
    casting,
    draft,
    kinetics,
    laminate,
    life,
    mixing,
    packing,
    plaster,
    plates,
    sag,
    shrinkage,
    spans,
    stiffness,
    stretch,
    thermal,
    turning,
    walls_of_practice,
)
from materials.science.errors import ScienceError
from materials.science.plates import Edge

PANEL = {"short_mm": 100.0, "long_mm": 150.0, "modulus_mpa": 0.6}
RIBBED = {"modulus_mpa": 0.6, "density_kg_m3": 1100.0, "wall_mm": 8.0, "pitch_mm": 80.0, "rib_width_mm": 12.0}
TURNED = {"viscosity_pa_s": 0.3, "turning_rpm": 8.0, "radius_m": 0.1, "density_kg_m3": 1050.0}
CYCLE = {"prepare_min": 10.0, "skins": 3.0, "pour_min": 10.0, "wait_min": 5.0, "demold_min": 30.0, "take_out_min": 5.0,
         "clean_min": 5.0}  # fmt: skip

# Each law with inputs that it takes.
LAWS: tuple[tuple[Callable[..., object], dict[str, float]], ...] = (
    (stiffness.modulus_from_100_mpa, {"modulus_100_mpa": 0.3}),
    (stiffness.modulus_gent_mpa, {"shore_a": 20.0}),
    (stiffness.modulus_qi_mpa, {"shore_a": 30.0}),
    (stiffness.modulus_erf_mpa, {"shore_a": 20.0}),
    (stiffness.freestanding_height_m, {"modulus_mpa": 0.6, "thickness_mm": 8.0, "density_kg_m3": 1100.0}),
    (plates.rigidity_n_m, {"modulus_mpa": 0.6, "thickness_mm": 8.0}),
    (spans.head_pa, {"height_mm": 100.0, "density_kg_m3": 1050.0}),
    (spans.outward_share, {"turning_rpm": 8.0, "radius_m": 0.2}),
    (spans.t_section, {"wall_mm": 8.0, "pitch_mm": 80.0, "rib_width_mm": 12.0, "rib_height_mm": 10.0}),
    (spans.standing_height_m, RIBBED | {"rib_height_mm": 10.0}),
    (spans.rib_height_mm, RIBBED | {"height_m": 0.2}),
    (walls_of_practice.wall_of_practice, {"longest_mm": 400.0}),
    (stretch.stretch_over, {"widest_mm": 500.0, "opening_mm": 400.0}),
    (stretch.bending_strain, {"wall_mm": 8.0, "radius_mm": 10.0}),
    (stretch.allowed_stretch, {"elongation_percent": 300.0}),
    (stretch.tear_force_n, {"tear_strength_kn_m": 20.0, "wall_mm": 8.0}),
    (life.chance_of_dying_before, {"castings": 20.0, "expected": 40.0}),
    (life.molds_wanted, {"castings": 20.0, "expected": 40.0}),
    (draft.releases, {"normal_along_pull": 0.5, "draft_deg": 3.0}),
    (draft.widening_mm, {"depth_mm": 100.0, "draft_deg": 3.0}),
    (shrinkage.linear_from_volume, {"volume_share": 0.07}),
    (shrinkage.cast_length_mm, {"piece_length_mm": 300.0, "mold_percent": 0.4, "resin_percent": 0.3}),
    (shrinkage.oversize_factor, {"mold_percent": 0.4, "resin_percent": 0.3}),
    (casting.flat_shot_g, {"area_m2": 0.4, "wall_mm": 4.0, "density_kg_m3": 1050.0}),
    (casting.film_limit_mm, TURNED),
    (casting.film_near_gel_mm, TURNED),
    (casting.skins_for, {"wall_mm": 4.0, "film_mm": 1.0}),
    (casting.adiabatic_rise_k, {"heat_kj_kg": 200.0, "specific_heat_kj_kg_k": 1.8}),
    (casting.wall_spread_mm, {"wall_mm": 4.0}),
    (casting.cycle_min, CYCLE),
    (casting.castings_per_day, {"shift_h": 8.0, "startup_h": 0.5, "cycle_h": 1.25}),
    (turning.turns_before_gel, {"turning_rpm": 8.0, "gel_min": 3.0}),
    (turning.turns_until_repeat, {"ratio": 3.7}),
    (turning.apparent_ratio, {"inner_per_outer": 3.7}),
    (laminate.laminate, {"layers": 3.0, "layer_mass_g_m2": 450.0, "resin_per_glass": 2.5, "resin_density_kg_m3": 1200.0}),
    (laminate.resin_for_glass_share, {"glass_kg": 6.0, "glass_share": 0.3}),
    (laminate.solid_shell_g_m2, {"thickness_mm": 6.0, "density_kg_m3": 1500.0}),
    (laminate.peroxide_g, {"resin_g": 3375.0, "percent": 1.5}),
    (laminate.wet_sessions, {"layers": 5.0}),
    (laminate.layers_of_practice, {"longest_mm": 400.0}),
    (laminate.gelcoat_m2_per_kg, {"thickness_mm": 0.5, "density_kg_m3": 1200.0}),
    (plaster.slurry_l_per_kg, {"water_per_100": 70.0}),
    (plaster.dry_density_kg_m3, {"water_per_100": 70.0}),
    (plaster.plaster_layer, {"thickness_mm": 20.0, "water_per_100": 70.0}),
    (packing.fresh_volume, {"cavity_volume": 4.0, "scrap_share": 1.0, "packing_fraction": 0.54}),
    (packing.packing_between_walls, {"packing_fraction": 0.54, "chunk_edge_mm": 15.0, "gap_mm": 80.0}),
    (sag.held_thickness_mm, {"yield_stress_pa": 40.0, "density_kg_m3": 1100.0, "slope_deg": 60.0}),
    (sag.yield_stress_to_hold_pa, {"thickness_mm": 3.0, "density_kg_m3": 1100.0}),
    (sag.run_distance_m, {"thickness_mm": 1.0, "viscosity_pa_s": 30.0, "minutes": 30.0, "density_kg_m3": 1100.0}),
    (sag.film_left_mm, {"below_top_m": 0.5, "viscosity_pa_s": 30.0, "minutes": 30.0, "density_kg_m3": 1100.0}),
    (sag.unevenness_of_coats, {"variation": 0.2, "coats": 4.0}),
    (sag.mean_for_minimum_mm, {"least_mm": 6.0, "variation": 0.2}),
    (mixing.weight_ratio_from_volume, {"parts_a": 1.0, "parts_b": 1.0, "density_a_kg_m3": 1120.0, "density_b_kg_m3": 1050.0}),
    (mixing.split_batch, {"mass_g": 1000.0, "parts_a": 10.0, "parts_b": 1.0}),
    (mixing.mixed_mass, {"net_mass_g": 1000.0, "loss_percent": 7.0}),
    (mixing.drained_film_mm, {"viscosity_pa_s": 30.0, "height_m": 0.1, "seconds": 60.0, "density_kg_m3": 1100.0}),
    (mixing.cup_loss_g, {"diameter_mm": 120.0, "filled_mm": 60.0, "film_mm": 1.0, "density_kg_m3": 1100.0}),
    (mixing.kit_use, {"stock_a_g": 1000.0, "stock_b_g": 100.0, "parts_a": 10.0, "parts_b": 1.0}),
    (
        batches.largest_mix_kg,
        {"areal_mass_kg_m2": 1.1, "rate_m2_h": 2.0, "pot_life_min": 30.0, "usable_share": 0.8, "mix_min": 4.0},
    ),
    (batches.mixes_needed, {"mass_g": 1000.0, "largest_mix_g": 400.0}),
)
# These take an edge first, or may be given what is below nought.
PANELS: tuple[tuple[Callable[..., object], dict[str, float]], ...] = (
    (plates.sag_mm, PANEL | {"pressure_pa": 50.0, "thickness_mm": 8.0}),
    (spans.least_wall_for_weight_mm, PANEL | {"density_kg_m3": 1100.0, "sag_mm": 1.0}),
    (spans.least_wall_for_head_mm, PANEL | {"pressure_pa": 100.0, "sag_mm": 1.0}),
    (spans.widest_gap_mm, {"wall_mm": 8.0, "modulus_mpa": 0.6, "pressure_pa": 100.0, "sag_mm": 1.0}),
)
SIGNED: tuple[tuple[Callable[..., object], dict[str, float]], ...] = (
    (thermal.warm_cure_loss_mm, {"length_mm": 300.0, "cure_c": 45.0, "use_c": 21.0}),
    (kinetics.arrhenius_factor, {"from_c": 23.0, "to_c": 15.0, "activation_energy_kj_mol": 55.0}),
    (kinetics.q10_factor, {"from_c": 23.0, "to_c": 15.0, "q10": 2.0}),
)


def called(law: Callable[..., object], numbers: dict[str, float]) -> object:
    """Call a law with the numbers that it takes by name or by place."""
    by_place = [name for name, what in inspect.signature(law).parameters.items() if what.kind is what.POSITIONAL_OR_KEYWORD]
    placed = [numbers[name] for name in by_place if name in numbers]
    return law(*placed, **{name: value for name, value in numbers.items() if name not in by_place})


def each_number(laws: tuple[tuple[Callable[..., object], dict[str, float]], ...]) -> list[object]:
    """Return one case for every input of every law."""
    return [
        pytest.param(law, numbers, name, id=f"{law.__module__.rsplit('.', 1)[-1]}.{law.__name__}-{name}")
        for law, numbers in laws
        for name in numbers
    ]


@pytest.mark.parametrize(("law", "numbers", "name"), each_number(LAWS))
class TestLaws:
    def test_takes_what_it_is_made_for(self, law: Callable[..., object], numbers: dict[str, float], name: str) -> None:
        assert called(law, numbers) is not None

    @pytest.mark.parametrize("wrong", [math.nan, -2.0])
    def test_refuses(self, law: Callable[..., object], numbers: dict[str, float], name: str, wrong: float) -> None:
        with pytest.raises(ScienceError, match=r"^[A-Z“].+\.$"):
            called(law, numbers | {name: wrong})


@pytest.mark.parametrize(("law", "numbers", "name"), each_number(PANELS))
@pytest.mark.parametrize("edge", Edge)
class TestPanels:
    @pytest.mark.parametrize("wrong", [math.nan, -2.0])
    def test_refuses(self, law: Callable[..., object], numbers: dict[str, float], name: str, edge: Edge, wrong: float) -> None:
        assert law(edge, **numbers) > 0
        with pytest.raises(ScienceError, match=r"^[A-Z].+\.$"):
            law(edge, **(numbers | {name: wrong}))


@pytest.mark.parametrize(("law", "numbers", "name"), each_number(SIGNED))
class TestSigned:
    def test_refuses_what_is_no_number(self, law: Callable[..., object], numbers: dict[str, float], name: str) -> None:
        assert law(**numbers) is not None
        with pytest.raises(ScienceError, match=r"^[A-Z].+\.$"):
            law(**(numbers | {name: math.nan}))
