"""How air gets out of the rubber that meets the face: a thin first coat, vacuum, or nothing."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from jobs.planning.advice.vacuum import Pull, breaks_bubbles, plan_pull
from jobs.planning.brief import Deairing, Making, PlanBrief
from jobs.planning.results import AirPlan, Coat, CoatRole, Reason
from jobs.planning.rubber.mix_minutes import is_runny, suggested_way, too_quick
from jobs.planning.sums import fact
from materials.science.bubbles import LARGEST_BUBBLE_MM, cleared_layer_mm, held_bubble_mm, smallest_leaving_mm
from materials.science.kinetics import time_at
from materials.science.sag import yield_stress_to_hold_pa
from studio.figures import Figure, Given, Remark, Source, SourceKind

STOKES = Source(kind=SourceKind.PUBLISHED, text="Stokes' law")
YIELDING = Source(kind=SourceKind.FROM_MEMORY, text="Tsamopoulos et al. 2008: what stress holds a bubble")
PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
# Common practice: the eye finds pimples of this size on a casting.
SEEN_MM = 0.4
THICK_PRINT_MM = 1.0
# From memory, no source: a mix grows sixteenfold in viscosity over its pot life, as it doubles each quarter of it.
DOUBLINGS = Given(
    label="Doublings of the viscosity over a pot life", value=4.0, unit="1", low=1.0, high=6.0,
    source=Source(kind=SourceKind.FROM_MEMORY, text="no curve was found for mold rubbers; stir a cup by the clock for yours"),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bubbles:
    leaving: Figure | None
    clears: Figure | None


def plan_air(brief: PlanBrief, coats: Sequence[Coat]) -> AirPlan:
    """Choose how air gets out, or take what was decided, and say why.

    Notes
    -----
    Brushed rubber frees itself of bubbles where its first coat is thin and not thickened; a pour is put under vacuum, or poured
    high in a thin stream. Thickened rubber holds its bubbles: only the mix that meets the face counts.
    """
    first = coats[0]
    bubbles = _bubbles(brief, first)
    suggested, reasons = suggested_way(brief), tuple(_reasons(brief, first, bubbles))
    way = brief.deairing or suggested
    pull = plan_pull(brief, coats) if way is Deairing.VACUUM else None
    return AirPlan(
        way=way, suggested=suggested, reasons=(*reasons, *_pulled(brief, pull)),
        smallest_leaving=bubbles.leaving, clears=bubbles.clears, foam=None if pull is None else pull.foam,
        container=None if pull is None else pull.container, minutes=None if pull is None else pull.minutes,
    )  # fmt: skip


def _pulled(brief: PlanBrief, pull: Pull | None) -> Iterator[Reason]:
    if pull is None:
        return
    yield from pull.reasons
    if too_quick(brief):
        text = "Mixing and vacuum take more than half of the pot life: mixes get small. Take a slower rubber, or a cooler room."
        yield Reason(text=text, tone="look", source=PRACTICE)


def air_remarks(air: AirPlan, coats: Sequence[Coat]) -> Iterator[Remark]:
    """Say where bubbles stay at the face."""
    first = coats[0]
    if first.role is CoatRole.PRINT and first.thickness.value > THICK_PRINT_MM:
        text = (
            f"The print coat is thicker than {THICK_PRINT_MM:g} mm (0.04 in): small bubbles do not reach its surface before it "
            "gels. Make it thinner."
        )
        yield Remark(key="print_thick", text=text, figures=(first.thickness,))
    if first.role is CoatRole.PRINT and first.thickened:
        yield Remark(key="print_thickened", text="A thickened print coat locks its bubbles in against the face.")
    if air.way is Deairing.NONE and air.suggested is not Deairing.NONE:
        text = "Nothing takes the air out of the rubber at the face; expect pimples on castings."
        yield Remark(key="air_none", text=text)
    if air.way is Deairing.VACUUM:
        for number, reason in enumerate((one for one in air.reasons if one.tone == "stop"), start=1):
            yield Remark(key=f"vacuum_{number}", text=reason.text, tone="stop", figures=reason.figures)


def _bubbles(brief: PlanBrief, first: Coat) -> _Bubbles:
    """Compute which bubbles leave the coat at the face before it gels; nothing leaves a thickened one."""
    viscosity, density = brief.rubber.get("viscosity_pa_s"), brief.rubber.get("density_kg_m3")
    if viscosity is None or density is None or first.thickened:
        return _Bubbles(leaving=None, clears=None)
    pot_life = time_at(brief.rubber, "pot_life_min", brief.temperature_c)
    gel = pot_life if brief.rubber.get("gel_min") is None else time_at(brief.rubber, "gel_min", brief.temperature_c)
    doubling = Figure(key="air_doubling", label="Viscosity doubles in", value=pot_life.value / DOUBLINGS.value, unit="min",
                      formula="pot life ÷ doublings", given=(pot_life, DOUBLINGS))  # fmt: skip
    given = (viscosity, density, gel, doubling)
    brushed = brief.making is Making.BRUSHED
    # A bubble leaves a brushed coat through its outside, a pour only at its top.
    layer = first.thickness if brushed else fact("Height of the piece, which the pour covers", brief.takeoff.box_mm[2], "mm")

    def smallest(thick: float) -> float:
        return smallest_leaving_mm(
            layer_mm=layer.value, viscosity_pa_s=thick, minutes=gel.value, density_kg_m3=density.value,
            doubling_min=doubling.value,
        )  # fmt: skip

    leaving = Figure(
        key="air_leaving", value=smallest(viscosity.value), unit="mm",
        label="Smallest bubble that leaves this coat" if brushed else "Smallest bubble that rises through the pour",
        formula="√(18 × viscosity × depth ÷ (density × g × time until it has thickened))", given=(layer, *given),
        low=None if viscosity.low is None else smallest(viscosity.low), source=STOKES,
        high=None if viscosity.high is None else smallest(viscosity.high),
        note="In a coat that lies flat; on a wall it gets thinner by itself." if brushed else "Smaller ones stay where they are.",
    )  # fmt: skip
    if leaving.value > LARGEST_BUBBLE_MM:
        # The law holds for round bubbles: of larger ones it tells no more than that they are larger.
        leaving = replace(
            leaving, label="Even a bubble of this size does not leave", value=LARGEST_BUBBLE_MM, low=None, high=None,
            formula="the largest bubble for which its rise is known", note="How larger ones rise is not known.",
        )  # fmt: skip
    size = fact("Bubble that shows on a casting", SEEN_MM, "mm", PRACTICE)
    clears = Figure(
        key="air_clears", label="Deepest rubber that bubbles leave which show", unit="mm", given=(size, *given), source=STOKES,
        value=cleared_layer_mm(
            bubble_mm=SEEN_MM, viscosity_pa_s=viscosity.value, minutes=gel.value, density_kg_m3=density.value,
            doubling_min=doubling.value,
        ),
        formula="density × g × bubble² ÷ (18 × viscosity) × time until it has thickened",
    )  # fmt: skip
    return _Bubbles(leaving=leaving, clears=clears)


def _reasons(brief: PlanBrief, first: Coat, bubbles: _Bubbles) -> Iterator[Reason]:
    yield from _brushed(brief, first, bubbles) if brief.making is Making.BRUSHED else _poured(brief, bubbles)


def _poured(brief: PlanBrief, bubbles: _Bubbles) -> Iterator[Reason]:
    text = "A pour is deep: its bubbles stay under the face and in undercuts unless they are drawn out before it is poured."
    yield Reason(text=text, tone="look", source=PRACTICE, figures=() if bubbles.leaving is None else (bubbles.leaving,))
    if is_runny(brief):
        text = "This rubber is thin enough to free itself of most bubbles."
        yield Reason(text=text, tone="good", source=PRACTICE)
    elif not breaks_bubbles(brief):
        text = "The studio's vacuum does not draw low enough to break bubbles; without a better one, pour high and thin."
        yield Reason(text=text, tone="look", source=PRACTICE)
    elif too_quick(brief):
        text = "Its pot life is too short for vacuum: mixing and vacuum would take more than half of it."
        yield Reason(text=text, tone="look", source=PRACTICE)
    text = (
        "Pour high, in one thin stream, into the lowest corner, and let the rubber rise over the face: the stream breaks bubbles."
    )
    yield Reason(text=text, tone="good", source=PRACTICE)


def _brushed(brief: PlanBrief, first: Coat, bubbles: _Bubbles) -> Iterator[Reason]:
    if first.thickened:
        held = _largest_held(brief)
        text = "The print coat is thickened, and thickened rubber holds its bubbles: neither time nor vacuum frees it."
        yield Reason(text=text, tone="stop", source=YIELDING, figures=() if held is None else (held,))
        return
    text = (
        "A thin first coat without thickener lets small bubbles out before it gels; stipple it, and blow on it, into every cleft."
    )
    figures = tuple(figure for figure in (bubbles.leaving, bubbles.clears) if figure is not None)
    yield Reason(text=text, tone="good", source=PRACTICE, figures=figures)
    if bubbles.leaving is not None and bubbles.leaving.value > SEEN_MM:
        text = "Bubbles that show on a casting stay in this coat: make it thinner, take a thinner rubber, or use vacuum."
        yield Reason(text=text, tone="look", source=STOKES, figures=(bubbles.leaving,))
    yield Reason(
        text="Thickened coats hold their bubbles whatever is done; behind a sound first coat they do no harm.", tone="good",
        source=YIELDING,
    )  # fmt: skip


def _largest_held(brief: PlanBrief) -> Figure | None:
    """Compute the largest bubble that thickened rubber keeps where it is, None where its yield stress is not known [mm]."""
    stress, density = brief.rubber.get("yield_stress_pa"), brief.rubber.get("density_kg_m3")
    known = stress or brief.rubber.get("held_thickness_mm")
    if known is None or density is None:
        return None
    pa = known.value
    if stress is None:
        pa = yield_stress_to_hold_pa(thickness_mm=known.value, density_kg_m3=density.value)
    return Figure(
        key="air_held", label="Largest bubble that stays where it is", unit="mm", source=YIELDING,
        value=held_bubble_mm(yield_stress_pa=pa, density_kg_m3=density.value), given=(known, density),
        formula="2 × yield stress ÷ (0.143 × density × g)" if stress is not None else "2 × held thickness ÷ 0.143",
        note="An order of magnitude.",
    )  # fmt: skip
