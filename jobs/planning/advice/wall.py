"""How thick the blanket should be, why, and where it must be thicker."""

import math
from collections.abc import Iterator, Sequence

from jobs.geometry.study.results import GaugeKind
from jobs.planning.brief import Making, PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate
from jobs.planning.results import Coat, Reason, WallAdvice
from jobs.planning.rubber.keys import key_spacing
from jobs.planning.sums import fact
from materials.science.errors import BadThickness, LargeDeflection
from materials.science.plates import Edge
from materials.science.sag import mean_for_minimum_mm
from materials.science.spans import ALLOWED_SAG_MM, least_wall_for_weight_mm
from materials.science.stiffness import modulus_range
from materials.science.walls_of_practice import BASE_FLANGE, PARTING_FLANGE, SOFTER_ADDS, wall_of_practice
from studio.figures import Figure, Remark, Source, SourceKind, high_end, low_end

PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
NORMAL = Source(kind=SourceKind.COMPUTED, text="normal scatter, 95 of 100 spots")
# Less than this is not told apart by a brush or a needle gauge.
TOLD_APART_MM = 0.3
LARGEST_VARIATION_PERCENT = 50.0


def advise_wall(brief: PlanBrief, coats: Sequence[Coat]) -> WallAdvice | None:
    """Advise a wall; None for a block, and for a piece beyond the sizes that practice tells of.

    Notes
    -----
    The least wall is the low end of practice for the size, more for soft rubber, or what carries its own weight from key to
    key where that is more. The wall to plan is the mean with which 95 of 100 spots keep that least; a poured wall is even.
    """
    if brief.making is Making.BLOCK:
        return None
    longest, hardness = max(brief.takeoff.box_mm), brief.rubber.get("hardness_shore_a")
    try:
        usual = wall_of_practice(longest_mm=longest, shore_a=None if hardness is None else hardness.value)
    except BadThickness:
        return None
    carried = _carried(brief)
    low = low_end(usual)
    least = Figure(
        key="wall_least", label="Least wall anywhere", value=max(low, carried.value if carried else 0.0), unit="mm",
        formula="low end of the usual walls" + (", or what carries itself from key to key" if carried else ""),
        given=(usual, *(() if carried is None else (carried,))),
    )  # fmt: skip
    mean = _mean(brief, coats, least)
    advised = Figure(
        key="wall_advised", label="Wall to plan", value=max(usual.value, mean.value), unit="mm",
        formula="the larger of the usual wall and the mean that keeps the least", given=(usual, mean), low=least.value,
    )  # fmt: skip
    return WallAdvice(
        advised=advised, mean=mean, reasons=tuple(_reasons(brief, usual, carried, least, mean)), thicker_at=tuple(_thicker(brief))
    )  # fmt: skip


def wall_remarks(brief: PlanBrief, advice: WallAdvice | None) -> Iterator[Remark]:
    """Say where the decided wall is thinner than advised; the wall stays the person's decision."""
    if advice is None:
        if brief.making is not Making.BLOCK:
            text = "For pieces longer than 4 m (13 ft) no usual wall is known; mold them in sections."
            yield Remark(key="wall_unknown", text=text)
        return
    if brief.wall_mm.value < advice.advised.value - TOLD_APART_MM:
        text = "The wall is thinner than advised for this size, this rubber and these coats: edges may be thin and tear."
        if brief.making is not Making.BRUSHED:
            text = "The wall is thinner than advised for this size and this rubber: it may tear when it is pulled off."
        yield Remark(key="wall_thin", text=text, figures=(_decided(brief), advice.advised))


def _mean(brief: PlanBrief, coats: Sequence[Coat], least: Figure) -> Figure:
    if brief.making is not Making.BRUSHED:
        return Figure(key="wall_mean", label="Mean wall that keeps the least", value=least.value, unit="mm",
                      formula="the least itself: clay of even thickness keeps the gap", given=(least,))  # fmt: skip
    one = rate(brief.rates, "coat_cv_percent")
    if one.value > LARGEST_VARIATION_PERCENT:
        raise BadBrief("Coats this uneven keep no wall at all; correct their unevenness under Studio, Rates of work.")
    whole = sum(coat.thickness.value for coat in coats)
    share = math.sqrt(sum(coat.thickness.value**2 for coat in coats)) / whole
    variation = Figure(
        key="wall_variation", label=f"Unevenness of the wall in {len(coats)} coats", value=one.value * share, unit="%",
        formula="unevenness of one coat × √(sum of squared thicknesses) ÷ wall",
        given=(one, *(coat.thickness for coat in coats)), note="Coats are taken as uneven each in its own places.",
    )  # fmt: skip
    return Figure(
        key="wall_mean", label="Mean wall that keeps the least", unit="mm", formula="least ÷ (1 − 1.645 × unevenness)",
        value=mean_for_minimum_mm(least_mm=least.value, variation=variation.value / 100), given=(least, variation), source=NORMAL,
    )  # fmt: skip


def _carried(brief: PlanBrief) -> Figure | None:
    """Compute the wall that carries its own weight from key to key, None where that is not known or not asked [mm]."""
    modulus, density, apart = modulus_range(brief.rubber), brief.rubber.get("density_kg_m3"), key_spacing(brief)
    if modulus is None or density is None or apart.value <= 0:
        return None

    def wall(stiff: float) -> float | None:
        try:
            return least_wall_for_weight_mm(
                Edge.GRIPPED, short_mm=apart.value, long_mm=apart.value, modulus_mpa=stiff, density_kg_m3=density.value,
                sag_mm=ALLOWED_SAG_MM,
            )  # fmt: skip
        except LargeDeflection:
            return None

    value = wall(modulus.value)
    if value is None:
        return None
    return Figure(
        key="wall_carried", label="Wall that carries itself from key to key", value=value, unit="mm",
        formula="distance² × √(9 × 0.001265 × density × g ÷ (modulus × sag))", low=wall(high_end(modulus)),
        high=wall(low_end(modulus)),
        given=(apart, density, modulus, fact("Sag allowed", ALLOWED_SAG_MM, "mm", PRACTICE)),
    )  # fmt: skip


def _reasons(brief: PlanBrief, usual: Figure, carried: Figure | None, least: Figure, mean: Figure) -> Iterator[Reason]:
    wall = brief.wall_mm.value

    def tone(wanted: Figure) -> str:
        return "good" if wall >= wanted.value - TOLD_APART_MM else "look"

    softer = " Softer than 20 Shore A, it wants more wall." if SOFTER_ADDS in usual.given else ""
    enough = wall >= low_end(usual)
    text = f"Workshops lay {'this much' if enough else 'more than this plan'} on a piece of this size.{softer}"
    yield Reason(text=text, tone="good" if enough else "look", source=usual.source, figures=(usual,))
    if carried is not None:
        text = "So much carries its own weight from key to key where the shell does not touch."
        yield Reason(text=text, tone=tone(carried), source=PRACTICE, figures=(carried,))
    if brief.making is Making.BRUSHED:
        kept = (
            "With this wall 95 of 100 spots keep the least."
            if tone(mean) == "good"
            else "With this wall edges fall below the least."
        )
        text = f"Brushed coats are uneven. {kept} The same wall in thinner coats is evener."
        yield Reason(text=text, tone=tone(mean), source=mean.source, figures=(least, mean))


def _thicker(brief: PlanBrief) -> Iterator[Reason]:
    if brief.making is not Making.BRUSHED:
        return
    yield Reason(
        text="Edges, noses and points: every coat draws thin over them. Lay an extra coat there and feel for it.",
        tone="look", source=PRACTICE,
    )  # fmt: skip
    spots = () if brief.shape is None else brief.shape.gauges
    for kind, where in (
        (GaugeKind.CROWN, "crown{s} where wet rubber runs off"),
        (GaugeKind.THIN, "spot{s} where every coat gets thin"),
    ):
        number = sum(spot.kind is kind for spot in spots)
        if number:
            named = where.format(s="" if number == 1 else "s")
            text = f"{number} {named}, found on the shape: set a gauge block there, and lay more."
            yield Reason(text=text, tone="look", source=Source(kind=SourceKind.COMPUTED, text="from the shape"))
    if brief.takeoff.stands_on_board:
        flange = Figure(key="wall_base_flange", label="Flange at the base board", value=BASE_FLANGE.value, unit="mm",
                        formula="usual width", given=(BASE_FLANGE,), source=BASE_FLANGE.source)  # fmt: skip
        text = "The flange at the base: it is pulled on most. Make it this wide, and as thick as the wall at the least."
        yield Reason(text=text, tone="look", source=BASE_FLANGE.source, figures=(flange,))
    if brief.seam_length_m is not None and brief.seam_length_m.value > 0:
        flange = Figure(
            key="wall_parting_flange", label="Thicker band along the parting", value=PARTING_FLANGE.value, unit="mm",
            formula="usual width", given=(PARTING_FLANGE,), low=PARTING_FLANGE.low, high=PARTING_FLANGE.high,
            source=PARTING_FLANGE.source,
        )  # fmt: skip
        yield Reason(
            text="Along the parting: the seam is cut and pulled open there.", tone="look", source=PRACTICE, figures=(flange,)
        )


def _decided(brief: PlanBrief) -> Figure:
    return Figure(key="wall_decided", label="Wall of this plan", value=brief.wall_mm.value, unit="mm", formula="as decided",
                  given=(brief.wall_mm,))  # fmt: skip
