"""Whether the smallest cup of rubber and of resin can be weighed closely enough."""

from collections.abc import Iterator

from jobs.planning.brief import PlanBrief
from jobs.planning.results import Component, Mix, MoldPlan, Part
from jobs.planning.sums import scaled
from jobs.planning.troubles.judged import GOOD, LOOK, STOP, Judged, good, look, stop
from materials.properties import MixBasis
from materials.science.dosing import DOSE_TOLERANCE
from materials.science.material import MaterialSpec
from studio.figures import Figure

# Below these grams of leeway a scale that reads whole grams, and one that reads tenths, is too coarse: this program's choice.
SCALE_STEPS_G = (2.0, 0.2)
_ORDER = (GOOD, LOOK, STOP)


def off_ratio(brief: PlanBrief, plan: MoldPlan) -> Judged:
    """Tell by how many grams B of the smallest cup may stray, and so which scale it wants; of rubber and of resin."""
    found = [_judge(brief.rubber, "rubber", [(where, _b(mix.parts)) for where, mix in _mixes(plan)])]
    if brief.casting is not None and plan.casting is not None:
        found.append(_judge(brief.casting.resin, "resin", [("one skin of a casting", _b(plan.casting.skin_parts))]))
    worst = max(found, key=lambda judged: _ORDER.index(judged.tone))
    figures = tuple(figure for judged in found for figure in judged.figures)
    return Judged(tone=worst.tone, words=worst.words, figures=figures)


def _mixes(plan: MoldPlan) -> Iterator[tuple[str, Mix]]:
    """Go through every cup of rubber, with what it is for."""
    for coat in plan.coats:
        yield from ((f"{coat.role.label.lower()} {coat.number}", mix) for mix in coat.mixes)
    if plan.fill is not None:
        yield from (("the fill", mix) for mix in plan.fill.mixes)
    if plan.strip is not None:
        yield from (("the parting strip", mix) for mix in plan.strip.mixes)
        yield from (("the strip's glue", mix) for mix in plan.strip.glue_mixes)
    if plan.stand is not None:
        yield from (("the keys", mix) for mix in plan.stand.key_mixes)


def _b(parts: tuple[Part, ...]) -> Figure | None:
    return next((part.mass for part in parts if part.component is Component.B), None)


def _judge(material: MaterialSpec, name: str, doses: list[tuple[str, Figure | None]]) -> Judged:
    if material.mix_basis is MixBasis.ONE_PART:
        return good(f"The {name} comes ready mixed.")
    tolerance = DOSE_TOLERANCE.get(material.chemistry)
    known = [(where, dose) for where, dose in doses if dose is not None]
    if tolerance is None or not known:
        return look(f"How far a dose of {material.chemistry.label.lower()} may stray is not known; keep to its data sheet.")
    where, smallest = min(known, key=lambda pair: pair[1].value)
    least = smallest.renamed(key=f"least_b_{name}", label=f"Least B of the {name} in one cup, for {where}")
    stray = scaled(least, tolerance.value / 100, key=f"stray_{name}", label=f"B of that {name} may stray by", unit="g",
                   formula="least B in one cup × tolerance", given=(tolerance,))  # fmt: skip
    fine, finer = SCALE_STEPS_G
    percent = material.mix_basis in (MixBasis.PERCENT_ON_BASE, MixBasis.PERCENT_OF_MIX)
    mind = " The ratio is a percentage: mind whether it is of A or of the whole mix." if percent else ""
    if stray.value < finer:
        return stop(
            f"So little B of the {name} wants a scale that reads hundredths of a gram, or larger mixes.{mind}", least, stray
        )
    if stray.value < fine or percent:
        return look(f"Weigh B of the {name} on a scale that reads tenths of a gram, and read it twice.{mind}", least, stray)
    return good("A scale that reads whole grams is enough.", least, stray)
