"""The working of every number that a quote prints, kept beside it when it is frozen and read by the studio alone."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from costing.engine.estimate import Estimate
from costing.engine.money import RULE, PricedLine
from costing.frozen import pruned, read_figures
from costing.inputs import PlannedJob
from costing.services.options import PricedOption
from jobs.geometry.takeoff_store import figure_to_json
from studio.figures import Figure, Given, Source, SourceKind

_FROZEN = Source(kind=SourceKind.OWN, text="typed for this quote")
# Hours and material of a line unfold once more below its cost; sums unfold to the lines that stand beside them.
DEEP, SHALLOW = 3, 1


@dataclass(frozen=True, slots=True, kw_only=True)
class LineWorking:
    """How one line came about: the price of one, the amount before tax, the tax."""

    unit: Figure
    net: Figure
    tax: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Workings:
    """What was kept of a quote; empty in one that was frozen before workings were kept."""

    lines: tuple[LineWorking, ...] = ()
    options: tuple[LineWorking, ...] = ()
    totals: Mapping[str, Figure]
    stages: tuple[Figure, ...] = ()
    breaks: tuple[tuple[Figure, Figure], ...] = ()
    said: tuple[Figure, ...] = ()


def keep_workings(found: PlannedJob, estimate: Estimate, options: Sequence[PricedOption]) -> dict[str, Any]:
    """Turn the working of everything that is printed into plain values."""
    totals = estimate.totals
    return {
        "lines": [_line(line, unit, f"line-{place}", net) for place, (line, unit, net) in enumerate(_lines(estimate), start=1)],
        "options": [_line(item.line, _option_unit(item), f"option-{place}") for place, item in enumerate(options, start=1)],
        "totals": {
            key: _kept(figure, SHALLOW)
            for key, figure in (
                ("net", totals.net), ("tax", totals.tax), ("gross", totals.gross), ("deposit", totals.deposit),
                ("balance", totals.balance),
            )
        },
        "stages": [_kept(stage.figure, SHALLOW) for stage in totals.stages if stage.amount > 0],
        "breaks": [[_kept(item.each.price, DEEP), _kept(item.total, SHALLOW)] for item in estimate.breaks],
        "said": [_kept(figure, DEEP) for figure in _said(found)],
    }  # fmt: skip


def read_workings(inner: object) -> Workings:
    """Read what `keep_workings` wrote; what is of another form is left out."""
    kept = inner.get("workings") if isinstance(inner, Mapping) else None
    kept = kept if isinstance(kept, Mapping) else {}
    totals = kept.get("totals")
    return Workings(
        lines=tuple(_read_lines(kept.get("lines"))),
        options=tuple(_read_lines(kept.get("options"))),
        totals={key: figure for key, value in (totals or {}).items() for figure in read_figures([value])}
        if isinstance(totals, Mapping)
        else {},
        stages=tuple(read_figures(kept.get("stages"))),
        breaks=tuple(pair for item in _listed(kept.get("breaks")) if len(pair := tuple(read_figures(item))) == 2),  # type: ignore[misc]
        said=tuple(read_figures(kept.get("said"))),
    )


def _lines(estimate: Estimate) -> Iterable[tuple[PricedLine, Figure, Figure | None]]:
    """Go through the lines with the working of one and, where it is another than quantity × price, of all.

    A line of a kind without its own working is taken as it was typed.
    """
    known = {
        "mold": estimate.mold.price,
        "casting": estimate.run.each.price if estimate.run else None,
        "extra": estimate.extra,
        "spare": estimate.further.each.price if estimate.further else None,
    }
    charges = {id(charge.line): charge.figure for charge in estimate.charges}
    for line in estimate.lines:
        charge = charges.get(id(line))
        if charge is None:
            yield line, known.get(line.kind) or _typed(line), None
        else:
            yield line, charge if line.quantity == 1 else _typed(line), charge


def _option_unit(item: PricedOption) -> Figure:
    if item.suggested is None:
        return _typed(item.line)
    if not item.differs:
        return item.suggested.price
    asked = Given(label="Price asked", value=float(item.line.unit_price), unit="money", source=_FROZEN)
    return Figure(
        key=f"{item.suggested.price.key}-asked",
        label=f"Price of {item.line.text}",
        value=asked.value,
        unit="money",
        formula="as typed, beside the price that expense and hours ask for",
        given=(asked, item.suggested.price),
    )


def _typed(line: PricedLine) -> Figure:
    return Figure(
        key="typed",
        label=f"Price of {line.text}",
        value=float(line.unit_price),
        unit="money",
        formula="as typed",
        given=(Given(label=line.text, value=float(line.unit_price), unit="money", source=_FROZEN),),
        note=RULE,
    )


def _line(line: PricedLine, unit: Figure, key: str, of_all: Figure | None = None) -> dict[str, Any]:
    net = Figure(
        key=f"{key}-net",
        label=f"{line.text} before tax",
        value=float(line.net),
        unit="money",
        formula="quantity × price of each, rounded",
        given=(_given("Quantity", line.quantity, "1"), _given("Price of each", line.unit_price, "money")),
        note=RULE,
    )
    if of_all is not None:
        net = of_all.renamed(key=net.key, label=net.label)
    tax = Figure(
        key=f"{key}-tax",
        label=f"Tax on {line.text}",
        value=float(line.tax),
        unit="money",
        formula="before tax × tax, rounded",
        given=(_given("Before tax", line.net, "money"), _given("Tax", line.tax_percent, "%")),
        note=RULE,
    )
    return {"unit": _kept(unit.renamed(key=f"{key}-unit", label=unit.label), DEEP), "net": _kept(net, 1), "tax": _kept(tax, 1)}


def _said(found: PlannedJob) -> list[Figure]:
    """Return the figures behind the sentences: size, walls, life of the mold."""
    casting, life = found.mold.casting, found.mold.life
    figures = (
        *((casting.size, casting.skin_thickness) if casting else ()),
        life.expected if life else None,
    )
    return [figure for figure in figures if figure is not None]


def _given(label: str, value: Decimal, unit: str) -> Given:
    return Given(label=label, value=float(value), unit=unit)


def _kept(figure: Figure, depth: int) -> dict[str, Any]:
    return figure_to_json(pruned(figure, depth))


def _read_lines(kept: object) -> Iterable[LineWorking]:
    for item in _listed(kept):
        figures = read_figures([item.get(name) for name in ("unit", "net", "tax")]) if isinstance(item, Mapping) else []
        if len(figures) == 3:
            yield LineWorking(unit=figures[0], net=figures[1], tax=figures[2])


def _listed(kept: object) -> list[Any]:
    return kept if isinstance(kept, list) else []
