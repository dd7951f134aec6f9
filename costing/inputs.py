"""Rows become values of the pricing core here, and nowhere else."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from costing.engine.brief import MOST_BREAKS, MOST_CASTINGS, EstimateBrief, MaterialPrice, Terms
from costing.engine.overhead import overhead_per_billable_h
from costing.engine.payments import Moment, StageShare
from costing.engine.spend import material_of
from costing.models import PriceTerms
from jobs.models import Job, Plan
from jobs.planning.results import Component, MoldPlan
from jobs.services.plans import compute, plan_of
from materials.inputs import specs
from materials.models import Material
from materials.science.material import MaterialSpec
from studio.figures import Figure, Given, Source, SourceKind
from studio.models import StudioProfile
from studio.services.hours import week_hours_by_person
from studio.web.formats import currency_decimals

_PROFILE = Source(kind=SourceKind.OWN, text="the studio's profile")
MOST_DECIMALS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedJob:
    """A job with its plan computed and the materials that it takes: what a price and a quote are made from."""

    job: Job
    plan: Plan
    mold: MoldPlan
    materials: Mapping[int, MaterialSpec]


def planned(job: Job) -> PlannedJob:
    """Compute a job's plan and read what its materials cost; raises JobNotReady with what is missing."""
    plan = plan_of(job)
    return planned_from(plan, compute(plan))


def planned_from(plan: Plan, mold: MoldPlan) -> PlannedJob:
    """Read what the materials of a computed plan cost, in a fixed number of queries."""
    ids = {need.material_key for need in mold.needs if need.component is not Component.SCRAP}
    found = specs(key for key in ids if isinstance(key, int))
    return PlannedJob(job=plan.job, plan=plan, mold=mold, materials=found)


def brief_of(found: PlannedJob, terms: Terms, profile: StudioProfile, *, count: int | None = None) -> EstimateBrief:
    """Put a planned job and its terms together for the pricing core."""
    life = found.mold.life
    return EstimateBrief(
        plan=found.mold,
        prices=prices_of(found),
        terms=terms,
        places=money_places(profile),
        measured=found.plan.job.piece.measured_by != "none",
        count=count,
        castings_expected=None if life is None else _expected(life.expected),
        alike=alike_delivered(found.plan),
    )


def alike_delivered(plan: Plan) -> int:
    """Count the other jobs that were delivered and whose molds were made as this one is, with rubber and shell of its kind."""
    if plan.rubber_id is None:
        return 0
    chemistry = Material.objects.filter(pk=plan.rubber_id).values("chemistry")
    done = Plan.objects.filter(
        job__state=Job.State.DELIVERED, making=plan.making, shell_kind=plan.shell_kind, rubber__chemistry__in=chemistry
    )
    return int(done.exclude(job=plan.job_id).count())


def _expected(castings: Figure) -> Given:
    return Given(
        label=castings.label, value=castings.value, unit=castings.unit, source=castings.source, low=castings.low,
        high=castings.high,
    )  # fmt: skip


def prices_of(found: PlannedJob) -> dict[int | str, MaterialPrice]:
    """Return what is known of each material's price, by the key that its needs are priced by."""
    prices: dict[int | str, MaterialPrice] = {
        key: MaterialPrice(name=spec.name, per_kg=spec.price_per_kg, pack_mass_g=spec.pack_mass_g)
        for key, spec in found.materials.items()
    }
    for need in found.mold.needs:
        if need.component is Component.SCRAP:
            prices[material_of(need)] = MaterialPrice(name=need.name, own=True)
    return prices


def terms_of(job: Job) -> PriceTerms:
    """Return the terms kept for a job, or empty ones, which take everything from the studio."""
    return PriceTerms.objects.filter(job=job).select_related("changed_by").first() or PriceTerms(job=job)


def terms_values(
    terms: PriceTerms, profile: StudioProfile, *, deposit_percent: Decimal | None = None, week_h: Given | None = None
) -> Terms:
    """Turn kept or typed terms into values; an empty field takes the studio's own.

    `week_h` (see `bench_week`) matters only where the payments are shown.
    """
    return Terms(
        labour_rate_per_h=_rate(terms.labour_rate_per_h, profile),
        overhead_per_h=_overhead(terms.overhead_per_h, profile),
        margin_percent=profile.margin_percent if terms.margin_percent is None else terms.margin_percent,
        tax_percent=profile.tax_percent if terms.tax_percent is None else terms.tax_percent,
        deposit_percent=profile.deposit_percent if deposit_percent is None else deposit_percent,
        quantities=quantities_of(terms.quantity_breaks),
        extra_label=terms.extra_label,
        extra_cost=terms.extra_cost,
        mold_tax_percent=terms.mold_tax_percent,
        casting_tax_percent=terms.casting_tax_percent,
        extra_tax_percent=terms.extra_tax_percent,
        minimum_charge=profile.minimum_charge if terms.minimum_charge is None else terms.minimum_charge,
        rush_percent=terms.rush_percent,
        discount_percent=terms.discount_percent,
        discount_label=terms.discount_label,
        storage_months=terms.storage_months,
        storage_per_month=profile.storage_per_month if terms.storage_per_month is None else terms.storage_per_month,
        stages=stages_of(terms.payment_stages),
        deposit_covers_special=profile.deposit_covers_special,
        week_h=week_h,
        contingency_percentile=terms.contingency_percentile,
        learning_percent=terms.learning_percent,
        learning_model=terms.learning_model,
        spare_molds=terms.spare_molds,
    )


def bench_week() -> Given | None:
    """Return the longest week that one person here has at the bench; None where nobody's hours are kept. [h]"""
    longest = max((week.bench_h for week in week_hours_by_person(active=True).values()), default=0.0)
    if not longest:
        return None
    source = Source(kind=SourceKind.OWN, text="the longest week at the bench of one person here")
    return Given(label="Hours of a week", value=longest, unit="h", source=source)


def stages_of(kept: list[list[str]]) -> tuple[StageShare, ...]:
    """Read kept stages of payment ([["agreed", "50"], ["ready", "50"]])."""
    return tuple(StageShare(moment=Moment(moment), percent=Decimal(percent)) for moment, percent in kept)


def quantities_of(text: str) -> tuple[int, ...]:
    """Read kept quantities ("1, 5, 10, 25"); what cannot be priced is left out."""
    numbers = {int(part) for part in text.replace(";", ",").split(",") if part.strip().isascii() and part.strip().isdigit()}
    return tuple(sorted(number for number in numbers if 1 <= number <= MOST_CASTINGS))[:MOST_BREAKS]


def studio_overhead(profile: StudioProfile) -> Figure:
    """Return the studio's overhead per billable hour with its working."""
    return overhead_per_billable_h(
        overhead_per_year=Given(
            label="Overhead of a year", value=float(profile.overhead_per_year), unit="money", source=_PROFILE
        ),
        billable_h_per_year=Given(
            label="Billable hours of a year", value=float(profile.billable_hours_per_year), unit="h", source=_PROFILE
        ),
    )


def money_places(profile: StudioProfile) -> int:
    """Return the decimals of the studio's currency, as many as are stored."""
    return min(currency_decimals(profile.currency), MOST_DECIMALS)


def _rate(typed: Decimal | None, profile: StudioProfile) -> Given:
    if typed is not None:
        return Given(label="Labour rate", value=float(typed), unit="money/h")
    return Given(label="Labour rate", value=float(profile.labour_rate_per_h), unit="money/h", source=_PROFILE)


def _overhead(typed: Decimal | None, profile: StudioProfile) -> Given | Figure:
    if typed is not None:
        return Given(label="Overhead per hour", value=float(typed), unit="money/h")
    return studio_overhead(profile)
