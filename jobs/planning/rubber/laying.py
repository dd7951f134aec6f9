"""How the rubber gets round the piece: brushed coats with their fill, or one pour."""

from dataclasses import dataclass

from jobs.planning.brief import Making, PlanBrief
from jobs.planning.pours.block import block_brief, plan_block
from jobs.planning.pours.poured import plan_poured
from jobs.planning.pours.results import BoxPlan, ClayPlan
from jobs.planning.results import Coat, FillPlan
from jobs.planning.rubber.coats import plan_coats
from jobs.planning.rubber.fill import plan_fill
from jobs.planning.run.molds import for_one


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """The rubber of a mold: its coats (one for a pour), fill, and what a pour needs round it."""

    coats: tuple[Coat, ...]
    fill: FillPlan | None
    clay: ClayPlan | None = None
    box: BoxPlan | None = None


def as_made(brief: PlanBrief) -> PlanBrief:
    """Return the brief as its making takes it: a block has no shell."""
    return block_brief(brief) if brief.making is Making.BLOCK else brief


def plan_laying(brief: PlanBrief) -> Laid:
    """Plan the rubber as it is made; the brief must have gone through `as_made`."""
    if brief.making is Making.POURED:
        poured = plan_poured(for_one(brief))
        return Laid(coats=(poured.coat,), fill=poured.fill, clay=poured.clay)
    if brief.making is Making.BLOCK:
        block = plan_block(for_one(brief))
        return Laid(coats=(block.coat,), fill=block.fill, box=block.box)
    return Laid(coats=plan_coats(brief), fill=plan_fill(for_one(brief)))
