"""Random briefs for property tests: pieces from a hand to a small statue, every rubber, fills, shells and runs."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from jobs.planning.brief import Deairing, Making, PlanBrief, ShellBrief, ShellKind
from materials.properties import Chemistry
from tests.jobs.planning.builders import (
    CASTING,
    PLASTER,
    SCRAP,
    SHELL,
    THICKENER,
    TINT,
    box_takeoff,
    brief,
    given,
    rubber,
)

RUBBERS = (Chemistry.TIN_SILICONE, Chemistry.PLATINUM_SILICONE, Chemistry.POLYURETHANE)
PLASTER_SHELL = ShellBrief(
    kind=ShellKind.PLASTER, material=PLASTER, pieces=2, layers=given(2), thickness_mm=given(20, "mm"),
    flange_share_percent=given(10, "%"),
)  # fmt: skip


def _heavy(spec: Any, density: float) -> Any:
    return replace(spec, properties={**spec.properties, "density_kg_m3": given(density, "kg/m3")})


@st.composite
def rubbers(draw: st.DrawFn, *, chemistry: Chemistry | None = None) -> Any:
    """Draw a rubber whose recoat window opens before it closes."""
    gel = draw(st.floats(40, 200))
    return rubber(
        chemistry or draw(st.sampled_from(RUBBERS)),
        parts_b_by_weight=draw(st.floats(0.3, 10)),
        density_kg_m3=draw(st.floats(1000, 1400)),
        pot_life_min=draw(st.floats(30, 60)),
        gel_min=gel,
        recoat_latest_min=gel * draw(st.floats(1.5, 10)),
        demold_min=draw(st.floats(240, 1500)),
        activation_energy_kj_mol=draw(st.floats(20, 80)),
        held_thickness_mm=draw(st.floats(1.5, 5)),
        viscosity_pa_s=draw(st.floats(2, 60)),
        elongation_percent=draw(st.floats(200, 600)),
    )


@st.composite
def briefs(draw: st.DrawFn, **fixed: Any) -> PlanBrief:
    """Draw a brief that can be planned, brushed unless told otherwise; `fixed` decisions are not drawn."""
    sides = [draw(st.floats(0.08, 0.9)) for _ in range(3)]
    wall = draw(st.floats(4, 14))
    made = fixed.get("rubber") or draw(rubbers())
    poured = fixed.get("making") is Making.POURED
    shell = draw(st.sampled_from([SHELL, PLASTER_SHELL] if poured else [None, SHELL, PLASTER_SHELL]))
    changes: dict[str, Any] = {
        "takeoff": box_takeoff(*sides, texture=draw(st.floats(1, 1.3))),
        "rubber": made,
        "thickener": draw(st.sampled_from([None, THICKENER, _heavy(THICKENER, 960.0)])),
        "tint": draw(st.sampled_from([None, TINT, _heavy(TINT, 1900.0)])),
        "wall_mm": given(wall, "mm"),
        "print_coat_mm": given(draw(st.floats(0.3, 1.2)), "mm"),
        "closing_coat_mm": given(draw(st.sampled_from([0.0, 0.6, 1.0])), "mm"),
        "temperature_c": given(draw(st.floats(16, 28)), "degC"),
        "night_temperature_c": draw(st.one_of(st.none(), st.floats(5, 25).map(lambda night: given(night, "degC")))),
        "fill_volume_l": draw(st.sampled_from([None, given(0.4, "L"), given(6.0, "L")])),
        "scrap_share_percent": given(draw(st.floats(0, 100)), "%"),
        "packing_fraction": given(draw(st.floats(0.35, 0.7))),
        "scrap": replace(SCRAP, chemistry=made.chemistry, available_g=given(draw(st.floats(0, 5000)), "g")),
        "shell": None if shell is None else replace(shell, pieces=draw(st.integers(1, 5))),
        "casting": draw(st.sampled_from([None, CASTING, replace(CASTING, count=33, skins=2)])),
        "seam_length_m": draw(st.sampled_from([None, given(1.2, "m")])),
        "positions": draw(st.integers(1, 3)),
        "people_per_coat": draw(st.integers(1, 3)),
        "deairing": draw(st.sampled_from([None, Deairing.THIN, Deairing.NONE])),
        "humidity_percent": draw(st.one_of(st.none(), st.floats(10, 95).map(lambda percent: given(percent, "%")))),
        "opening_girth_mm": given(draw(st.floats(300, 600)), "mm"),
        "widest_girth_mm": draw(st.one_of(st.none(), st.floats(400, 900).map(lambda girth: given(girth, "mm")))),
        "molds": draw(st.sampled_from([1, 1, 2])),
    }
    return brief(**changes | fixed)


def of_every_making(**fixed: Any) -> st.SearchStrategy[PlanBrief]:
    """Draw a brief that is brushed, poured under a shell or poured as a block."""
    return st.sampled_from(Making).flatmap(lambda making: briefs(making=making, **fixed))
