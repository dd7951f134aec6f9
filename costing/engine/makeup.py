"""What makes the price: material, labour, overhead, other expense, margin and tax, which add up to it."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from costing.engine.castings import Break
from costing.engine.cost import Cost
from costing.engine.money import Totals
from costing.engine.runs.further import Further
from studio.figures import Figure, Given


@dataclass(frozen=True, slots=True, kw_only=True)
class Makeup:
    """The parts of the price of the whole job; figures in money."""

    material: Figure
    labour: Figure
    overhead: Figure
    extra: Figure | None
    margin: Figure
    tax: Figure
    cost: Figure
    net: Figure
    contingency: Figure | None = None

    @property
    def parts(self) -> tuple[Figure, ...]:
        """Return the parts in the order of the bar."""
        found = (self.material, self.labour, self.overhead, self.extra, self.contingency, self.margin, self.tax)
        return tuple(part for part in found if part is not None)


def make_up(
    *, mold: Cost, run: Break | None, extra: Figure | None, totals: Totals, margin: Given, further: Further | None = None
) -> Makeup:
    """Take the price of a job apart.

    Parameters
    ----------
    mold, run : Cost, Break or None
        The mold, and the castings priced.
    extra : Figure or None
        Other expense as it is priced; its cost is its first input.
    further : Further or None
        Further molds that are priced.
    totals : Totals
        Net and tax as printed.
    margin : Given
        The margin that was asked for. [%]

    Returns
    -------
    Makeup
        Parts that add up to the printed gross; the margin is what is left with haste, discount, storage and least charge,
        and takes up what rounding moved. It is negative where the price lies below cost.
    """
    material = _whole("material", "Material", lambda cost: cost.material, mold, run, further)
    labour = _whole("labour", "Labour", lambda cost: cost.labour, mold, run, further)
    overhead = _whole("overhead", "Overhead", lambda cost: cost.overhead, mold, run, further)
    expense = None
    if extra is not None:
        cost = extra.given[0]
        expense = Figure(
            key="extra", label=extra.label, value=cost.value, unit="money", formula="as typed, before margin", given=(cost,)
        )
    parts = tuple(part for part in (material, labour, overhead, expense, mold.contingency) if part is not None)
    whole = Figure(
        key="cost",
        label="Cost",
        value=math.fsum(part.value for part in parts),
        unit="money",
        formula=" + ".join(part.label.lower() for part in parts),
        given=parts,
    )
    net = Figure(
        key="net",
        label="Price before tax",
        value=float(totals.net),
        unit="money",
        formula="sum of the lines",
        given=(whole, margin),
    )
    return Makeup(
        material=material,
        labour=labour,
        overhead=overhead,
        extra=expense,
        margin=Figure(
            key="margin-money",
            label="Margin",
            value=net.value - whole.value,
            unit="money",
            formula="price before tax − cost",
            given=(net, whole),
        ),
        tax=Figure(
            key="tax", label="Tax", value=float(totals.tax), unit="money", formula="sum of the tax on each line", given=(net,)
        ),
        cost=whole,
        net=net,
        contingency=mold.contingency,
    )


def _whole(
    key: str, label: str, part: Callable[[Cost], Figure], mold: Cost, run: Break | None, further: Further | None
) -> Figure:
    """Add up one part of the cost of the mold, of further molds and of the castings. [money]"""
    given: list[Given | Figure] = [part(mold)]
    values, formula = [part(mold).value], "of the mold"
    if further is not None:
        given += [part(further.each), Given(label="Further molds", value=further.count, unit="1")]
        values.append(further.count * part(further.each).value)
        formula += " + further molds × of each"
    if run is not None:
        given += [part(run.each), Given(label="Castings", value=run.quantity, unit="1")]
        values.append(run.quantity * part(run.each).value)
        formula += " + castings × of each"
    return Figure(key=key, label=label, value=math.fsum(values), unit="money", formula=formula, given=tuple(given))
