"""Which rubber to take: each judged on the surface, the resin, the undercuts, the room and the scrap at hand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jobs.planning.advice.rubber_reasons import Asked, reasons_for
from jobs.planning.advice.stretch import stretch_of
from jobs.planning.brief import PlanBrief, ScrapSpec
from jobs.planning.results import Reason
from materials.science.bonding import surface_verdict
from materials.science.compatibility import Outcome, Surface, Verdict
from materials.science.material import MaterialSpec
from studio.figures import Given

GOOD, LOOK, STOP = "good", "look", "stop"
_TONE_OF_OUTCOME = {Outcome.GOOD: GOOD, Outcome.TEST: LOOK, Outcome.SEAL: LOOK, Outcome.REFUSED: STOP}
_WORD_OF_OUTCOME = {
    Outcome.GOOD: "cures against it",
    Outcome.TEST: "test first",
    Outcome.SEAL: "seal it first",
    Outcome.REFUSED: "does not cure against it",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RubberAdvice:
    """One rubber with what speaks for and against it here.

    `verdict` is that of the surface, `word` says it; `reasons` come weightiest first and begin with the surface. `tone` is the
    worst of them; `refused` means that it would not cure against the surface, whatever else speaks for it.
    """

    rubber: MaterialSpec
    verdict: Verdict
    word: str
    reasons: tuple[Reason, ...]

    @property
    def refused(self) -> bool:
        """Whether it is known not to cure against the surface."""
        return not self.verdict.allowed

    @property
    def tone(self) -> str:
        """The worst tone of all reasons."""
        tones = {reason.tone for reason in self.reasons}
        return next((tone for tone in (STOP, LOOK) if tone in tones), GOOD)

    @property
    def speaking_for(self) -> tuple[Reason, ...]:
        """What speaks for it."""
        return tuple(reason for reason in self.reasons if reason.tone == GOOD)

    @property
    def speaking_against(self) -> tuple[Reason, ...]:
        """What speaks against it, what can spoil the mold first."""
        found = [reason for reason in self.reasons if reason.tone != GOOD]
        return tuple(sorted(found, key=lambda reason: reason.tone != STOP))


def advise_rubbers(
    rubbers: Sequence[MaterialSpec],
    *,
    surface: Surface,
    sealed: bool,
    resin: MaterialSpec | None = None,
    castings: int = 0,
    stretch: float | None = None,
    longest_mm: float | None = None,
    area_m2: float | None = None,
    scrap: ScrapSpec | None = None,
    temperature: Given | None = None,
    rates: Mapping[str, Given] | None = None,
) -> tuple[RubberAdvice, ...]:
    """Judge rubbers and rank them, the best first, those that are refused last.

    Parameters
    ----------
    rubbers : sequence of MaterialSpec
        The rubbers to choose among.
    surface, sealed : Surface, bool
        What the first coat is laid on.
    resin : MaterialSpec, optional
        What will be cast.
    castings : int
        How often it will be cast.
    stretch : float, optional
        How far the blanket must stretch, widest girth ÷ opening girth − 1. [1]
    longest_mm, area_m2 : float, optional
        Longest extent of the piece and its surface. [mm], [m2]
    scrap : ScrapSpec, optional
        Old rubber that should go into the fill.
    temperature : Given, optional
        Temperature of the bench. [degC]
    rates : mapping, optional
        The studio's rates of work.

    Returns
    -------
    tuple of RubberAdvice
        Ranked by what can spoil the mold, then by what is to be looked at, then by what speaks for it; equals keep the order
        in which they were given.
    """
    asked = Asked(
        resin=resin, castings=castings, stretch=stretch, longest_mm=longest_mm, area_m2=area_m2, scrap=scrap,
        temperature=temperature, rates=rates or {},
    )  # fmt: skip
    found = []
    for rubber in rubbers:
        verdict = surface_verdict(surface, sealed=sealed, rubber=rubber.chemistry)
        on_surface = Reason(
            text=f"{verdict.reason} {verdict.advice}", tone=_TONE_OF_OUTCOME[verdict.outcome], source=verdict.source
        )
        # What will not cure is not weighed any further: the rest would read as if it could be taken all the same.
        rest = reasons_for(rubber, asked) if verdict.allowed else ()
        found.append(
            RubberAdvice(rubber=rubber, verdict=verdict, word=_WORD_OF_OUTCOME[verdict.outcome], reasons=(on_surface, *rest))
        )
    return tuple(sorted(found, key=_rank))


def advise_for(brief: PlanBrief, rubbers: Sequence[MaterialSpec]) -> tuple[RubberAdvice, ...]:
    """Judge rubbers for what a plan's brief says of surface, run, girths, size, scrap and room."""
    widest, opening = brief.widest_girth_mm, brief.opening_girth_mm
    return advise_rubbers(
        rubbers, surface=brief.surface, sealed=brief.sealed, resin=None if brief.casting is None else brief.casting.resin,
        castings=0 if brief.casting is None else brief.casting.count,
        stretch=stretch_of(
            widest_mm=None if widest is None else widest.value, opening_mm=None if opening is None else opening.value
        ),
        longest_mm=max(brief.takeoff.box_mm), area_m2=brief.takeoff.area.value, scrap=brief.scrap,
        temperature=brief.temperature_c, rates=brief.rates,
    )  # fmt: skip


def _rank(advice: RubberAdvice) -> tuple[bool, int, int, int]:
    tones = [reason.tone for reason in advice.reasons]
    return (advice.refused, tones.count(STOP), tones.count(LOOK), -tones.count(GOOD))
