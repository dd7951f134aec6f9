"""Briefs for the planning tests: a box-shaped piece on a board and generic materials, all typed here."""

import math
from dataclasses import replace
from typing import Any

from jobs.geometry.takeoff import Method, Takeoff
from jobs.planning.brief import CastingBrief, PlanBrief, ScrapSpec, ShellBrief, ShellKind
from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.science.compatibility import Surface
from materials.science.material import MaterialSpec
from studio.figures import Figure, Given
from studio.workrates import default_rates


def given(value: float, unit: str = "1", label: str = "typed") -> Given:
    """Return an input of a computation."""
    return Given(label=label, value=value, unit=unit)


def figure(key: str, value: float, unit: str) -> Figure:
    """Return a measured figure."""
    return Figure(key=key, label=key, value=value, unit=unit, formula="measured")


def box_takeoff(a: float = 0.3, b: float = 0.2, c: float = 0.5, *, texture: float = 1.0, flange: float = 0.0) -> Takeoff:
    """Return a box coated all round [m], by the closed formulas of a box."""
    return Takeoff(
        method=Method.TYPED,
        stands_on_board=False,
        area=figure("area", 2 * (a * b + b * c + c * a), "m2"),
        volume=figure("volume", a * b * c, "m3"),
        mean_curvature=figure("mean_curvature", math.pi * (a + b + c), "m"),
        sphere_part=4 * math.pi / 3,
        inner_curvature=figure("inner_curvature", 4 * (a + b + c), "m"),
        inner_sphere_part=8.0,
        footprint_area=figure("footprint_area", 0.0, "m2"),
        rim_length=figure("rim_length", 0.0, "m"),
        flange_area=figure("flange_area", flange, "m2"),
        box_mm=(1000 * a, 1000 * b, 1000 * c),
        texture_factor=given(texture, label="Texture"),
        spread_percent=given(10, "%", label="Spread"),
    )


def material(name: str, kind: MaterialKind, chemistry: Chemistry, basis: MixBasis, **properties: float) -> MaterialSpec:
    """Return a material whose properties are these numbers."""
    return MaterialSpec(
        key=name,
        name=name.capitalize(),
        kind=kind,
        chemistry=chemistry,
        family="house",
        mix_basis=basis,
        properties={key: given(value, label=key) for key, value in properties.items()},
    )


def rubber(chemistry: Chemistry = Chemistry.TIN_SILICONE, **changes: float) -> MaterialSpec:
    """Return a mold rubber at 10:1 with a pot life of 30 min at 23 °C."""
    numbers = {
        "parts_a_by_weight": 10.0,
        "parts_b_by_weight": 1.0,
        "density_kg_m3": 1100.0,
        "pot_life_min": 30.0,
        "gel_min": 90.0,
        "demold_min": 960.0,
        "reference_temp_c": 23.0,
        "activation_energy_kj_mol": 55.0,
        "held_thickness_mm": 3.0,
        "hardness_shore_a": 20.0,
        "modulus_100_mpa": 0.34,
        "shrinkage_percent": 0.4,
    } | changes
    return material("rubber", MaterialKind.RUBBER, chemistry, MixBasis.BY_WEIGHT, **numbers)


THICKENER = material("thickener", MaterialKind.THICKENER, Chemistry.OTHER, MixBasis.ONE_PART, dose_percent=2.0)
TINT = material("tint", MaterialKind.TINT, Chemistry.OTHER, MixBasis.ONE_PART, dose_percent=0.5)
MAT = material("mat", MaterialKind.REINFORCEMENT, Chemistry.OTHER, MixBasis.ONE_PART, layer_mass_g_m2=450.0, resin_per_glass=2.5)
POLYESTER = material(
    "polyester", MaterialKind.SHELL, Chemistry.POLYESTER, MixBasis.PERCENT_ON_BASE,
    density_kg_m3=1200.0, dose_percent=1.5, demold_min=240.0, reference_temp_c=23.0,
)  # fmt: skip
PLASTER = material(
    "plaster", MaterialKind.SHELL, Chemistry.GYPSUM, MixBasis.ONE_PART, water_per_100=70.0, demold_min=60.0,
    reference_temp_c=20.0,
)  # fmt: skip
RESIN = material(
    "resin", MaterialKind.RESIN, Chemistry.POLYURETHANE, MixBasis.BY_VOLUME,
    parts_a_by_volume=1.0, parts_b_by_volume=1.0, density_a_kg_m3=1120.0, density_b_kg_m3=1050.0,
    density_kg_m3=1050.0, gel_min=5.0, demold_min=20.0, reference_temp_c=23.0, viscosity_pa_s=0.1,
    shrinkage_percent=0.3,
)  # fmt: skip
SHELL = ShellBrief(
    kind=ShellKind.LAMINATE, material=POLYESTER, reinforcement=MAT, pieces=2, layers=given(3),
    flange_share_percent=given(15, "%"),
)  # fmt: skip
CASTING = CastingBrief(resin=RESIN, wall_mm=given(4, "mm"), skins=3, count=10, turning_rpm=given(8))
SCRAP = ScrapSpec(
    key="scrap", name="Scrap", chemistry=Chemistry.TIN_SILICONE, family="house", density_kg_m3=given(1100, "kg/m3"),
    chunk_edge_mm=given(15, "mm"), available_g=given(50000, "g"),
)  # fmt: skip


def brief(**changes: Any) -> PlanBrief:
    """Return a whole brief with some decisions changed; without keys, so that what they weigh is in no other figure."""
    whole = PlanBrief(
        takeoff=box_takeoff(),
        surface=Surface.GYPSUM,
        sealed=True,
        rubber=rubber(),
        thickener=THICKENER,
        tint=TINT,
        wall_mm=given(10, "mm"),
        print_coat_mm=given(0.8, "mm"),
        closing_coat_mm=given(1, "mm"),
        temperature_c=given(23, "degC"),
        rates=default_rates(),
        fill_volume_l=given(4, "L"),
        scrap_share_percent=given(100, "%"),
        packing_fraction=given(0.54),
        scrap=SCRAP,
        shell=SHELL,
        casting=CASTING,
        seam_length_m=given(1.2, "m"),
        key_spacing_mm=given(0, "mm"),
    )
    return replace(whole, **changes)
