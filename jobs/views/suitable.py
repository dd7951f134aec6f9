"""Which of the studio's rubbers suit a plan, in the order of the advice."""

from dataclasses import dataclass

from django.db.models import Q

from jobs.inputs import scrap_spec
from jobs.models import Plan
from jobs.parts.part import ordered
from jobs.planning.advice.rubber import RubberAdvice, advise_rubbers
from jobs.planning.advice.stretch import stretch_of
from jobs.planning.results import Reason
from jobs.tones import WORDS
from materials.inputs import specs_of
from materials.models import Material
from materials.properties import MaterialKind
from materials.science.compatibility import Surface
from materials.science.material import MaterialSpec
from studio.figures import Given


@dataclass(frozen=True, slots=True, kw_only=True)
class RubberLine:
    """A rubber of the studio: how it cures on this surface, its reasons, the weightiest first, how many are against."""

    rubber: MaterialSpec
    word: str
    tone: str
    against: int
    reasons: tuple[Reason, ...]


def suitable_rubbers(
    plan: Plan, *, said: str = "", rates: dict[str, Given], longest_mm: float | None = None, area_m2: float | None = None
) -> list[RubberLine]:
    """List the rubbers in use, those that suit the plan best first; a reason that the page has `said` is not said again."""
    wanted = Q(kind=MaterialKind.RUBBER, active=True) | Q(pk=plan.resin_id)
    known = specs_of(Material.objects.filter(wanted).order_by("name"))
    rubbers = tuple(spec for spec in known.values() if spec.kind is MaterialKind.RUBBER)
    resin = known.get(plan.resin_id or 0)
    widest, opening = plan.widest_girth_mm, plan.opening_girth_mm
    found = advise_rubbers(
        rubbers,
        surface=Surface(plan.job.piece.surface),
        sealed=plan.job.piece.sealed,
        resin=resin,
        castings=plan.castings,
        stretch=stretch_of(
            widest_mm=None if widest is None else float(widest), opening_mm=None if opening is None else float(opening)
        ),
        longest_mm=longest_mm,
        area_m2=area_m2,
        scrap=scrap_spec(plan.scrap_bin),
        temperature=Given(label="Temperature of the day", value=float(plan.temperature_c), unit="degC"),
        rates=rates,
    )
    return [_line(advice, said) for advice in found]


def _line(advice: RubberAdvice, said: str) -> RubberLine:
    listed = ordered(reason for reason in advice.reasons if reason.text != said)
    return RubberLine(
        rubber=advice.rubber,
        word=advice.word,
        tone=WORDS[advice.reasons[0].tone][1],
        against=sum(reason in advice.speaking_against for reason in listed),
        reasons=listed,
    )
