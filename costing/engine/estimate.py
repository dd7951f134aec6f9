"""What a plan costs and what to ask for it: one function from a plan and its terms to a whole estimate."""

import math
from dataclasses import dataclass
from decimal import Decimal

from costing.engine.brief import EstimateBrief
from costing.engine.castings import Break, price_run
from costing.engine.classes import EstimateClass, banded, class_for
from costing.engine.cost import Cost, cost_of, margin_given, price_figure, priced
from costing.engine.labour import StageHours, TaskHours, add_hours, by_stage, run_hours, task_hours
from costing.engine.lines import Charge, charges_on, tax_on
from costing.engine.makeup import Makeup, make_up
from costing.engine.money import PricedLine, add_up, priced_line
from costing.engine.packs import PackCount, pack_counts
from costing.engine.payments import least_deposit, shares_or_deposit
from costing.engine.remarks import money_remarks
from costing.engine.runs.further import Further, further_mold, priced_further
from costing.engine.runs.learning import learning_of
from costing.engine.runs.practice import saved_by_practice
from costing.engine.shares import Share
from costing.engine.spend import Spend, material_spend
from costing.engine.totals import TotalFigures, total_figures
from studio.figures import Figure, Given, Remark, Source, SourceKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """Hours, spend and price of a job, every number with its working.

    `count` castings are priced; `lines` are all that is printed, the `charges` besides mold, castings and other expense among
    them; `totals` add up as they are printed, `likely` is the total with the band of its class.
    `one_more` is what a further mold costs, where something is cast; `further` are those that are priced; `practice` the hours
    that a learning rate takes off the planned ones.
    """

    count: int
    spend: Spend
    packs: tuple[PackCount, ...]
    stages: tuple[StageHours, ...]
    hours: Figure
    full_rate: Figure
    mold: Cost
    run: Break | None
    extra: Figure | None
    breaks: tuple[Break, ...]
    lines: tuple[PricedLine, ...]
    charges: tuple[Charge, ...]
    totals: TotalFigures
    likely: Figure
    makeup: Makeup
    margin: Figure
    markup: Figure
    estimate_class: EstimateClass
    remarks: tuple[Remark, ...]
    one_more: Cost | None = None
    further: Further | None = None
    practice: Figure | None = None


def make_estimate(brief: EstimateBrief) -> Estimate:
    """Price a plan.

    Parameters
    ----------
    brief : EstimateBrief
        The plan, what materials cost, the terms, the number of castings.

    Returns
    -------
    Estimate
        The mold is paid once; castings are priced at the count and at each quantity asked for.

    Raises
    ------
    EngineError
        When terms or quantities lie outside what can be priced.

    Notes
    -----
    Cost = material by used mass + hours × (labour rate + overhead per hour) + other expense + contingency.
    Price = cost / (1 − margin), rounded once a line; haste, discount, storage and least charge are lines of their own; tax on
    each line; totals add up the rounded lines; the payments make up the total.
    """
    terms, places = brief.terms, brief.places
    casting = brief.plan.casting
    count = (casting.count if brief.count is None else brief.count) if casting else 0
    spend = material_spend(plan=brief.plan, prices=brief.prices, count=count)
    tasks = task_hours(brief.plan.tasks)
    mold_tasks = tuple(task for task in tasks if task.share is Share.MOLD)
    mold = cost_of(
        stem="mold",
        what="the mold",
        material=spend.total(Share.MOLD, key="mold-material", label="Material of the mold"),
        hours=add_hours(mold_tasks, key="mold-hours", label="Hours on the mold"),
        terms=terms,
        places=places,
        contingency=brief.contingency,
    )
    run, breaks, practice = _runs(brief, spend, tasks, count)
    one_more = further_mold(brief, tasks) if casting else None
    further = priced_further(one_more, terms.spare_molds or 0) if one_more and run else None
    extra = _extra(brief)
    lines = _lines(brief, mold, run, extra, further)
    charges = charges_on(lines, terms, places)
    lines = (*lines, *(charge.line for charge in charges))
    makeup = make_up(mold=mold, run=run, extra=extra, further=further, totals=add_up(lines), margin=margin_given(terms))
    estimate_class = class_for(measured=brief.measured, alike=brief.alike)
    hours = _hours(mold, run, further)
    least = least_deposit(
        material=mold.material, hours=hours, rate=terms.labour_rate_per_h, overhead=terms.overhead_per_h, week_h=terms.week_h
    )
    totals = total_figures(
        lines=lines,
        shares=shares_or_deposit(terms.stages, terms.deposit_percent),
        places=places,
        least=least if terms.deposit_covers_special else None,
    )
    return Estimate(
        count=count,
        spend=spend,
        packs=pack_counts(spend.lines, brief.prices),
        stages=by_stage(tasks),
        hours=hours,
        full_rate=_full_rate(terms.labour_rate_per_h, terms.overhead_per_h),
        mold=mold,
        run=run,
        extra=extra,
        breaks=breaks,
        lines=lines,
        charges=charges,
        totals=totals,
        likely=banded(totals.gross.renamed(key="likely", label="Total with tax, and how far it may be off"), estimate_class),
        makeup=makeup,
        margin=_margin(makeup),
        markup=_markup(makeup),
        estimate_class=estimate_class,
        remarks=(*spend.remarks, *money_remarks(brief, makeup=makeup, totals=totals, count=count, least=least, charges=charges)),
        one_more=one_more,
        further=further,
        practice=practice,
    )


def _runs(
    brief: EstimateBrief, spend: Spend, tasks: tuple[TaskHours, ...], count: int
) -> tuple[Break | None, tuple[Break, ...], Figure | None]:
    casting = brief.plan.casting
    if casting is None:
        return None, (), None
    hours = run_hours(casting, tuple(task for task in tasks if task.share is Share.RUN))
    priced_for = spend if count else material_spend(plan=brief.plan, prices=brief.prices, count=1)
    material = priced_for.total(Share.RUN, key="run-material", label="Material of the run")
    each = Figure(
        key="casting-material",
        label="Material of one casting",
        value=material.value / max(count, 1),
        unit="money",
        formula="material of the run ÷ castings",
        given=(material, Given(label="Castings", value=max(count, 1), unit="1")),
    )

    def at(quantity: int) -> Break:
        return price_run(quantity=quantity, material_each=each, hours=hours, terms=brief.terms, places=brief.places)

    practice = saved_by_practice(count, hours, learning_of(brief.terms.learning_percent, brief.terms.learning_model))
    return (at(count) if count else None), tuple(at(quantity) for quantity in brief.terms.quantities), practice


def _extra(brief: EstimateBrief) -> Figure | None:
    terms = brief.terms
    if not terms.extra_cost:
        return None
    cost = Given(label=terms.extra_label or "Other expense", value=float(terms.extra_cost), unit="money")
    return price_figure("extra-price", cost.label, priced(terms.extra_cost, terms, brief.places), cost, terms)


def _lines(
    brief: EstimateBrief, mold: Cost, run: Break | None, extra: Figure | None, further: Further | None
) -> tuple[PricedLine, ...]:
    def line(kind: str, text: str, quantity: int, unit_price: Decimal) -> PricedLine:
        return priced_line(
            kind=kind,
            text=text,
            quantity=quantity,
            unit_price=unit_price,
            tax_percent=tax_on(kind, brief.terms),
            places=brief.places,
        )

    molds = brief.plan.molds
    lines = [line("mold", "Mold" if molds == 1 else f"Molds ({molds})", 1, mold.unit_price)]
    if further is not None:
        lines.append(line("spare", "Further mold", further.count, further.each.unit_price))
    if run is not None:
        lines.append(line("casting", "Casting", run.quantity, run.each.unit_price))
    if extra is not None:
        lines.append(line("extra", extra.label, 1, priced(brief.terms.extra_cost, brief.terms, brief.places)))
    return tuple(lines)


def _hours(mold: Cost, run: Break | None, further: Further | None) -> Figure:
    given: list[Given | Figure] = [mold.hours]
    value, formula = mold.hours.value, "hours on the mold"
    if further is not None:
        value, formula = value + further.hours.value, f"{formula} + hours on further molds"
        given.append(further.hours)
    if run is not None:
        value, formula = math.fsum([value, run.quantity * run.each.hours.value]), f"{formula} + castings × hours for each"
        given += [run.each.hours, Given(label="Castings", value=run.quantity, unit="1")]
    return Figure(
        key="hours",
        label="Hours of work",
        value=value,
        unit="h",
        formula=formula,
        given=tuple(given),
    )


def _full_rate(rate: Given, overhead: Given | Figure) -> Figure:
    share = f"Overhead adds {overhead.value / rate.value:.2f} to each 1 of labour." if rate.value else ""
    return Figure(
        key="full-rate",
        label="An hour with overhead",
        value=rate.value + overhead.value,
        unit="money/h",
        formula="labour rate + overhead per hour",
        given=(rate, overhead),
        note=share,
    )


def _markup(makeup: Makeup) -> Figure:
    cost = makeup.cost.value
    return Figure(
        key="markup",
        label="Markup on cost",
        value=100 * makeup.margin.value / cost if cost else 0.0,
        unit="%",
        formula="(price before tax − cost) ÷ cost",
        given=(makeup.net, makeup.cost),
        source=Source(kind=SourceKind.COMPUTED, text="after rounding the lines"),
        note="The same profit said of the cost instead of the price: margin ÷ (1 − margin).",
    )


def _margin(makeup: Makeup) -> Figure:
    net = makeup.net.value
    return Figure(
        key="margin",
        label="Margin in the price",
        value=100 * makeup.margin.value / net if net else 0.0,
        unit="%",
        formula="(price before tax − cost) ÷ price before tax",
        given=(makeup.net, makeup.cost),
        source=Source(kind=SourceKind.COMPUTED, text="after rounding the lines"),
    )
