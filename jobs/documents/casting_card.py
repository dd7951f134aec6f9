"""The casting card: each skin with its weights and its times, when the casting comes out, its size, and the mold's life."""

from jobs.documents.sheet import laid_out, minded, printed_job
from jobs.errors import JobNotReady
from jobs.mixing_table import heading_of
from jobs.parts.run import card_parts
from jobs.planning.run.results import LifePlan
from jobs.weighed_out import skin_cards
from studio.documents.registry import RenderedFile
from studio.models import Document

NO_RUN = "This plan casts nothing, so there is no card of it. Choose a resin on the Castings page."
LOOKED_AT_EVERY = 5
# How the keys of remarks begin that are about castings.
BEGINNINGS = ("film", "few", "slow", "life", "frame", "heat", "warm", "air_foams")
MOST_BOXES = 200
MOST_PULLS = 40


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


def life_boxes(life: LifePlan | None, molds: int) -> list[tuple[int, range]]:
    """Return a row of numbers to cross off for each mold, as many as one is expected to cast."""
    expected = 0 if life is None else min(int(life.expected.value), MOST_BOXES)
    return [(mold, range(1, expected + 1)) for mold in range(1, molds + 1)] if expected else []
