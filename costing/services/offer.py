"""What is decided about an offer before it is frozen, and what to suggest."""

from dataclasses import dataclass
from decimal import Decimal

from costing.engine.estimate import Estimate, make_estimate
from costing.inputs import PlannedJob, bench_week, brief_of, terms_of, terms_values
from costing.services.pictures import PHOTO, SECTION, STILL, pictures_there
from costing.services.said import suggested_ownership, suggested_size
from costing.services.spread import with_contingency
from costing.wording import EXCLUSIONS, OWNERSHIP
from jobs.models import Plan
from jobs.planning.brief import Making
from materials.models import Material
from materials.properties import Chemistry
from studio.models import StudioProfile

PICTURES_AT_FIRST = (SECTION, f"{STILL}-front")


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """The words and numbers of a quote that a person decides."""

    castings: int
    valid_days: int
    deposit_percent: Decimal
    scope: str
    terms: str = ""
    exclusions: str = EXCLUSIONS
    ownership: str = OWNERSHIP
    working_days: int | None = None
    size: str = ""
    pictures: tuple[str, ...] = ()


def suggested_offer(found: PlannedJob, profile: StudioProfile) -> Offer:
    """Return an offer of the plan as it stands, on the studio's usual terms."""
    return Offer(
        castings=found.mold.casting.count if found.mold.casting else 0,
        valid_days=profile.quote_valid_days,
        deposit_percent=profile.deposit_percent,
        scope=suggested_scope(found),
        terms=profile.quote_terms,
        ownership=suggested_ownership(profile),
        size=suggested_size(found, profile),
        pictures=tuple(key for key, _ in pictures_there(found) if key in PICTURES_AT_FIRST or key.startswith(PHOTO)),
    )


def suggested_scope(found: PlannedJob) -> str:
    """Say in a few sentences what is done for the money."""
    piece, plan = found.plan.job.piece, found.plan
    shell = "" if found.mold.shell is None else f", backed by {shell_words(plan)}"
    rubber = f"{chemistry_words(plan.rubber)} rubber" if plan.rubber else "rubber"
    made = {
        Making.BRUSHED: f"We lay a mold of {rubber} on the piece ({piece.name}) by hand, coat over coat{shell}, and open it.",
        Making.POURED: f"We pour a mold of {rubber} round the piece ({piece.name}){shell}, and open it.",
        Making.BLOCK: f"We pour a mold of {rubber} as a block round the piece ({piece.name}), and open it.",
    }
    sentences = [made[found.mold.making]]
    casting = found.mold.casting
    if casting is not None:
        copies = "1 hollow copy" if casting.count == 1 else f"{casting.count} hollow copies"
        sentences.append(f"In it we cast {copies} in resin, trim the seams, finish and pack them.")
    sentences.append("The piece goes back to you cleaned.")
    return " ".join(sentences)


def chemistry_words(material: Material) -> str:
    """Name a material by its chemistry in lower case; what is of no known chemistry goes by its own name."""
    chemistry = Chemistry(material.chemistry)
    return material.name if chemistry is Chemistry.OTHER else chemistry.label.lower()


def shell_words(plan: Plan) -> str:
    """Say what the shell is."""
    pieces = "one piece" if plan.shell_pieces == 1 else f"{plan.shell_pieces} pieces"
    return f"a rigid shell of {plan.get_shell_kind_display()} in {pieces}"


def estimate_of(found: PlannedJob, profile: StudioProfile, offer: Offer | None = None) -> Estimate:
    """Price a planned job on its kept terms, for the offer's castings and deposit where one is given."""
    deposit = offer.deposit_percent if offer else None
    terms = terms_values(terms_of(found.job), profile, deposit_percent=deposit, week_h=bench_week())
    brief = brief_of(found, terms, profile, count=offer.castings if offer else None)
    return make_estimate(with_contingency(brief, found))
