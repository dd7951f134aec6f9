"""Whether the blanket finds its seat in the shell: how high it stands by itself, keys, ribs, and gaps it spans."""

import math
from collections.abc import Iterator
from dataclasses import replace

from jobs.planning.brief import Making, PlanBrief
from jobs.planning.rates import rate
from jobs.planning.results import StandPlan
from jobs.planning.rubber.keys import MIXED, key_spacing, outside_area, plan_keys
from jobs.planning.sums import count, fact
from materials.science.errors import LargeDeflection, OutsideRange
from materials.science.plates import Edge
from materials.science.spans import ALLOWED_SAG_MM, head_pa, rib_height_mm, widest_gap_mm
from materials.science.stiffness import freestanding_height_m, modulus_range
from studio.figures import Figure, Given, Remark, Source, SourceKind, high_end, low_end

GREENHILL = Source(kind=SourceKind.PUBLISHED, text="A. G. Greenhill 1881")
PLATES = Source(kind=SourceKind.PUBLISHED, text="Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells; gripped edges")
# Common practice, no source: a rib much higher than the wall is a wall of its own.
HIGHEST_RIB_WALLS = 3.0


def plan_stand(brief: PlanBrief) -> StandPlan | None:
    """Plan what makes the blanket find its seat; None for a block, which carries itself.

    Notes
    -----
    The tallest flap is taken as high as the piece: a seam from base to top leaves that much standing. Ribs are advised where
    they are of a height that can be built; their rubber is not in the plan, because they are not decided.
    """
    if brief.making is Making.BLOCK:
        return None
    keys = plan_keys(brief)
    modulus, density = modulus_range(brief.rubber), brief.rubber.get("density_kg_m3")
    tallest = Figure(key="tallest_flap", label="Tallest flap", value=brief.takeoff.box_mm[2] / 1000, unit="m",
                     formula="height of the piece")  # fmt: skip
    height = rib = gap = None
    if modulus is not None and density is not None:
        height = _freestanding(brief, modulus, density)
        rib = _rib(brief, modulus, density, tallest) if tallest.value > height.value else None
        gap = _gap(brief, modulus, density)
    none = count("keys", "Keys", 0, formula="none are set")
    return StandPlan(
        freestanding=height,
        tallest=tallest,
        keys=none if keys is None else keys.number,
        key_spacing=_spacing(brief) if keys is None else keys.spacing,
        key_mass=_nought("key_mass", "Rubber in the keys") if keys is None else keys.mass,
        key_mixed=_nought("key_mixed_mass", MIXED) if keys is None else keys.mixed,
        key_mixes=() if keys is None else keys.mixes,
        ribs=None if rib is None else _ribs(brief, tallest),
        rib_height=rib,
        widest_gap=gap,
    )


def stand_remarks(brief: PlanBrief, stand: StandPlan | None) -> Iterator[Remark]:
    """Say where the blanket does not stand by itself, and what holds it then."""
    if stand is None:
        return
    height = stand.freestanding
    if height is not None and stand.tallest.value > height.value:
        text = (
            "This blanket folds under its own weight when it stands higher than the figure here: let the shell touch it "
            "everywhere, and hold it by keys, more thickness at the top or a harder rubber."
        )
        if stand.rib_height is None:
            text += " No rib of a height that can be built makes it stand by itself."
        yield Remark(key="floppy", text=text, figures=(height, stand.tallest))
        if stand.keys.value == 0 and brief.shell is not None:
            text = "Without keys it does not find its seat in the shell; give the distance between keys."
            yield Remark(key="key_none", text=text)
        if stand.rib_height is not None:
            text = "Ribs of this height, from base to top, make it stand; their rubber and hours are not in this plan."
            yield Remark(key="rib", text=text, figures=(stand.rib_height,))
    if height is not None and stand.widest_gap is None and brief.shell is not None:
        text = "This wall spans no gap: fill behind every loose spot, so that the shell touches the rubber everywhere."
        yield Remark(key="gap", text=text)


def _freestanding(brief: PlanBrief, modulus: Figure, density: Given) -> Figure:
    value, low, high = (
        freestanding_height_m(modulus_mpa=stiff, thickness_mm=brief.wall_mm.value, density_kg_m3=density.value)
        for stiff in _spread(modulus)
    )
    return Figure(
        key="freestanding", label="The blanket stands by itself up to", value=value, unit="m", low=low, high=high,
        formula="(7.84 × modulus × wall² ÷ (12 × density × g)) ^ ⅓", given=(modulus, brief.wall_mm, density), source=GREENHILL,
    )  # fmt: skip


def _rib(brief: PlanBrief, modulus: Figure, density: Given, tallest: Figure) -> Figure | None:
    """Compute how high ribs must be above the wall; None where that is more than can be built [mm]."""
    spacing, width = key_spacing(brief), rate(brief.rates, "key_base_mm")
    pitch = spacing if spacing.value > width.value else rate(brief.rates, "key_spacing_mm")

    def high(stiff: float) -> float | None:
        try:
            return rib_height_mm(
                height_m=tallest.value, modulus_mpa=stiff, density_kg_m3=density.value, wall_mm=brief.wall_mm.value,
                pitch_mm=pitch.value, rib_width_mm=width.value,
            )  # fmt: skip
        except OutsideRange:
            return None

    value, low, most = (high(stiff) for stiff in (modulus.value, high_end(modulus), low_end(modulus)))
    if value is None or value > HIGHEST_RIB_WALLS * brief.wall_mm.value:
        return None
    return Figure(
        key="rib_height", label="Height of a rib above the wall", value=value, unit="mm", low=low, high=most,
        formula="T-section of wall and rib that stands as high as the tallest flap",
        given=(tallest, modulus, density, brief.wall_mm, pitch, replace(width, label="Width of a rib")), source=GREENHILL,
        note="" if most is not None else "With the softest estimate of this rubber no rib is high enough.",
    )  # fmt: skip


def _ribs(brief: PlanBrief, tallest: Figure) -> Figure:
    area, spacing = outside_area(brief), key_spacing(brief)
    apart = spacing if spacing.value > 0 else rate(brief.rates, "key_spacing_mm")
    wanted = math.ceil(area.value / tallest.value / (apart.value / 1000))
    return count(
        "ribs", "Upright ribs", wanted, formula="outside ÷ tallest flap ÷ distance, rounded up", given=(area, tallest, apart)
    )


def _gap(brief: PlanBrief, modulus: Figure, density: Given) -> Figure | None:
    """Compute the widest square gap that the wall spans bare, under its own weight or resin on it; None for none [mm]."""
    wall = brief.wall_mm
    sag = fact("Sag allowed", min(ALLOWED_SAG_MM, wall.value / 2), "mm", Source(kind=SourceKind.COMMON_PRACTICE))
    pressure = head_pa(height_mm=wall.value, density_kg_m3=density.value)
    resin = None if brief.casting is None else brief.casting.resin.get("density_kg_m3")
    given: tuple[Given | Figure, ...] = (wall, modulus, density, sag)
    formula = "(modulus × sag × wall³ ÷ (9 × 0.001265 × pressure)) ^ ¼; pressure of the rubber itself"
    if resin is not None:
        height = fact("Height of the piece", brief.takeoff.box_mm[2], "mm")
        pressure = max(pressure, head_pa(height_mm=height.value, density_kg_m3=resin.value))
        given = (*given, height, resin)
        formula = "(modulus × sag × wall³ ÷ (9 × 0.001265 × pressure)) ^ ¼; pressure of resin as high as the piece"

    def span(stiff: float) -> float | None:
        try:
            return widest_gap_mm(
                Edge.GRIPPED, wall_mm=wall.value, modulus_mpa=stiff, pressure_pa=pressure, sag_mm=sag.value
            )  # fmt: skip
        except LargeDeflection:
            return None

    value, low, high = (span(stiff) for stiff in _spread(modulus))
    if value is None:
        return None
    return Figure(
        key="widest_gap", label="Widest gap it spans bare", value=value, unit="mm", formula=formula, given=given, low=low or 0.0,
        high=high, source=PLATES, note="Resin that is turned in thin skins presses less than a mold filled to the top.",
    )  # fmt: skip


def _spread(modulus: Figure) -> tuple[float, float, float]:
    return (modulus.value, low_end(modulus), high_end(modulus))


def _spacing(brief: PlanBrief) -> Figure:
    spacing = key_spacing(brief)
    return Figure(
        key="key_spacing", label="Between keys", value=spacing.value, unit="mm", formula="none are set", given=(spacing,)
    )


def _nought(key: str, label: str) -> Figure:
    return Figure(key=key, label=label, value=0.0, unit="g", formula="none are set")
