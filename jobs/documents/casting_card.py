"""The casting card: each skin with its weights and its times, when the casting comes out, its size, and the mold's life."""

from dataclasses import dataclass

from jobs.documents.sheet import laid_out, minded, printed_job
from jobs.errors import JobNotReady
from jobs.mixing_table import heading_of
from jobs.parts.run import card_parts
from jobs.planning.results import CastingPlan, SkinStep
from jobs.planning.run.results import LifePlan
from studio.documents.registry import RenderedFile
from studio.models import Document

NO_RUN = "This plan casts nothing, so there is no card of it. Choose a resin on the Castings page."
LOOKED_AT_EVERY = 5
# How the keys of remarks begin that are about castings.
BEGINNINGS = ("film", "few", "slow", "life", "frame", "heat", "warm", "air_foams")
MOST_BOXES = 200
MOST_PULLS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinCard:
    """One skin: what is weighed for it, in g, and its step where the steps are known."""

    number: int
    mass_g: float
    parts_g: tuple[float, ...]
    step: SkinStep | None


def render_casting_card(document: Document) -> RenderedFile:
    """Lay out the casting card of a job."""
    with printed_job(document) as one:
        run = one.plan.casting
        if run is None:
            raise JobNotReady(NO_RUN, page="jobs:castings_show")
        context = {
            "run": run,
            "skins": skin_cards(run),
            "materials": [(heading_of(part), part.label) for part in run.skin_parts],
            "parts": card_parts(one.plan),
            "minded": minded(one.plan, BEGINNINGS),
            "boxes": life_boxes(one.plan.life, one.plan.molds),
            "every": LOOKED_AT_EVERY,
            "pulls": range(1, min(run.count, MOST_PULLS) + 1),
            "cautions": one.plan.cautions.castings,
            "figures": [run.casting_mass, run.mixed_mass],
        }
        return laid_out(one, "print/casting_card.html", context, name="casting-card")


def skin_cards(run: CastingPlan) -> tuple[SkinCard, ...]:
    """Weigh out every skin; skins without a step of their own take equal cups."""
    steps: tuple[SkinStep | None, ...] = run.steps or (None,) * run.skins
    return tuple(_skin(run, number, step) for number, step in enumerate(steps, start=1))


def _skin(run: CastingPlan, number: int, step: SkinStep | None) -> SkinCard:
    mass = run.skin_mass.value if step is None else step.mass.value
    share = mass / run.skin_mass.value
    return SkinCard(number=number, mass_g=mass, parts_g=tuple(part.mass.value * share for part in run.skin_parts), step=step)


def life_boxes(life: LifePlan | None, molds: int) -> list[tuple[int, range]]:
    """Return a row of numbers to cross off for each mold, as many as one is expected to cast."""
    expected = 0 if life is None else min(int(life.expected.value), MOST_BOXES)
    return [(mold, range(1, expected + 1)) for mold in range(1, molds + 1)] if expected else []
