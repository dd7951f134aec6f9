"""What the price page shows of an estimate, and what of it is remembered to compare with."""

from collections.abc import Iterator
from typing import Any

from costing.drawing import price_bar
from costing.engine.estimate import Estimate
from costing.engine.remarks import castings_to_pay_mold
from costing.engine.shares import Share
from studio.figures import Figure
from studio.models import StudioProfile
from studio.web import baseline
from studio.web.quantities import show_range
from studio.web.working import shown_of


def sheet_of(estimate: Estimate, profile: StudioProfile) -> dict[str, Any]:
    """Return the parts of the estimate in the order of the page."""
    run = estimate.run
    return {
        "estimate": estimate,
        "spend_groups": [
            (share.label, lines, total)
            for share, lines, total in (
                (Share.MOLD, estimate.spend.of(Share.MOLD), estimate.mold.material),
                (
                    Share.RUN,
                    estimate.spend.of(Share.RUN),
                    estimate.spend.total(Share.RUN, key="run-spend", label="Material of the run"),
                ),
            )
            if lines
        ],
        "range": show_range(estimate.likely.low or 0, estimate.likely.high or 0, "money", profile),
        "break_even": castings_to_pay_mold(estimate.mold, run, estimate.further) if run else None,
        "bar": price_bar(estimate.makeup.parts, profile),
    }


def shown_figures(estimate: Estimate) -> Iterator[Figure]:
    """Go through every figure that the price page shows."""
    for line in estimate.spend.lines:
        yield line.mass
        if line.cost is not None:
            yield line.cost
    yield estimate.spend.total(Share.RUN, key="run-spend", label="Material of the run")
    for stage in estimate.stages:
        yield stage.hours
        yield from (task.hours for task in stage.tasks)
    for cost in (estimate.mold, *((estimate.run.each,) if estimate.run else ()), *(item.each for item in estimate.breaks)):
        yield from (cost.hours, cost.material, cost.labour, cost.overhead, cost.cost, cost.price)
    yield from (item.total for item in (*estimate.breaks, *((estimate.run,) if estimate.run else ())))
    if estimate.further is not None:
        yield from (estimate.further.each.cost, estimate.further.each.price, estimate.further.total, estimate.further.hours)
    if estimate.practice is not None:
        yield estimate.practice
    yield from estimate.makeup.parts
    totals = estimate.totals
    yield from (charge.figure for charge in estimate.charges)
    yield from (totals.net, totals.tax, totals.gross, totals.deposit, totals.balance, estimate.likely)
    yield from (item.figure for item in totals.taxes)
    yield from (stage.figure for stage in totals.stages)
    yield from (estimate.makeup.cost, estimate.hours, estimate.full_rate, estimate.margin, estimate.markup)
    if estimate.run and (figure := castings_to_pay_mold(estimate.mold, estimate.run, estimate.further)):
        yield figure
    yield from (item.left for item in estimate.packs)
    if estimate.extra is not None:
        yield estimate.extra


def remembered(estimate: Estimate, profile: StudioProfile) -> str:
    """Pack what the page shows for the hidden field that later answers are compared with."""
    texts = baseline.texts_of(shown_figures(estimate), lambda figure: str(shown_of(figure, profile)))
    return baseline.write(texts)
