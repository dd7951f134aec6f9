"""What the page of an estimate's spread shows, as figures and rows."""

from collections.abc import Iterable
from dataclasses import dataclass

from costing.engine.classes import CLASSES
from costing.engine.classes import SOURCE as BANDS
from costing.engine.estimate import Estimate
from costing.engine.spread.drivers import Driver, as_given
from costing.engine.spread.results import PERCENTS, DriverShare, Measure, Range, Spread
from costing.services.spread import contingency_figure
from studio.figures import Figure, Given, Source, SourceKind

MOST_SHARES = 8
REST = DriverShare(key="rest", label="Everything else, and what drivers make only together", percent=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeRow:
    """One quantity: as planned, and what is not exceeded in 10, 50 and 90 of 100 cases."""

    label: str
    planned: Figure
    ends: tuple[Figure, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareRow:
    """A driver's share of the variance."""

    share: DriverShare
    figure: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureRow:
    """Something to measure, and the price's range then."""

    measure: Measure
    low: Figure
    high: Figure
    narrower: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class ContingencyRow:
    """A percentage to cover with what it puts aside."""

    percent: int
    cost: Figure
    aside: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverRow:
    """A driver with its law and numbers."""

    driver: Driver
    planned: Figure
    ends: tuple[Figure, Figure]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The class's band beside the computed range, as shares of the cost as planned."""

    number: int
    words: str
    low: Figure
    high: Figure


def range_rows(spread: Spread) -> list[RangeRow]:
    """Return each quantity with its percentiles."""
    return [_range_row(found, spread) for found in (*spread.ranges, spread.margin)]


def share_rows(spread: Spread) -> list[ShareRow]:
    """Return the largest shares of the cost's variance, and the rest in one row."""
    if not spread.shares:
        return []
    first = [share for share in spread.shares[:MOST_SHARES] if share.percent >= 0.5]
    rest = max(100 - sum(share.percent for share in first), 0.0)
    rows = [*first, DriverShare(key=REST.key, label=REST.label, percent=rest)]
    return [ShareRow(share=share, figure=_share(share, spread)) for share in rows]


def measure_rows(spread: Spread) -> list[MeasureRow]:
    """Return what could be measured, what narrows most first."""
    now = spread.of("price")
    return [
        MeasureRow(
            measure=measure,
            low=_end(measure.price, 10, spread, f"measure-{measure.key}"),
            high=_end(measure.price, 90, spread, f"measure-{measure.key}"),
            narrower=Figure(
                key=f"measure-{measure.key}-narrower",
                label="Narrower by",
                value=now.width - measure.price.width,
                unit="money",
                formula="P10 to P90 now − P10 to P90 then, both drawn with the same chances",
                given=(_as_drawn("P10 to P90 now", now.width, spread), _as_drawn("P10 to P90 then", measure.price.width, spread)),
                low=0.9 * (now.width - measure.price.width),
                high=1.1 * (now.width - measure.price.width),
            ),
        )
        for measure in spread.measures
        if now.width - measure.price.width > 0.005 * now.width
    ]


def contingency_rows(spread: Spread, offered: Iterable[int]) -> list[ContingencyRow]:
    """Return what is put aside at each percentage."""
    rows = []
    for percent in offered:
        aside = contingency_figure(spread, percent)
        cost = Figure(
            key=f"cost-at-{percent}", label=f"Cost covered in {percent} of 100 cases", unit="money",
            value=spread.cost_at(percent),
            formula=_formula(percent, spread), given=(_as_drawn("Cost as planned", spread.of("cost").planned, spread),),
        )  # fmt: skip
        rows.append(ContingencyRow(percent=percent, cost=cost, aside=aside.renamed(key=f"aside-{percent}", label=aside.label)))
    return rows


def driver_rows(spread: Spread) -> list[DriverRow]:
    """Return the drivers with where their numbers come from."""
    return [_driver_row(driver) for driver in spread.drivers]


def class_band(estimate: Estimate, spread: Spread) -> Band:
    """Return the band of the estimate's class round the cost as planned. [money]"""
    found = CLASSES[estimate.estimate_class.number]
    cost = spread.of("cost").planned
    planned = Given(label="Cost as planned", value=cost, unit="money", source=Source(kind=SourceKind.COMPUTED))
    low, high = found.low_percent[0], found.high_percent[1]

    def end(key: str, label: str, percent: float) -> Figure:
        share = Given(label="End of the band", value=percent, unit="%", source=BANDS)
        value = cost * (1 + percent / 100)
        return Figure(
            key=f"band-{key}", label=label, value=value, unit="money", formula="cost as planned × (1 + end of the band)",
            given=(planned, share), source=BANDS, low=0.98 * value, high=1.02 * value,
        )  # fmt: skip

    return Band(
        number=found.number, words=found.band, low=end("low", "Low end of the class", low), high=end("high", "High end", high)
    )


def _range_row(found: Range, spread: Spread) -> RangeRow:
    half = max(found.width, abs(found.planned) * 0.01) / 20
    planned = Figure(
        key=f"spread-{found.key}-planned", label=f"{found.label}, as planned", value=found.planned, unit=found.unit,
        formula="as the estimate counts it", low=found.planned - half, high=found.planned + half,
    )  # fmt: skip
    return RangeRow(
        label=found.label, planned=planned, ends=tuple(_end(found, percent, spread, "spread") for percent in PERCENTS)
    )


def _end(found: Range, percent: int, spread: Spread, stem: str) -> Figure:
    value = {10: found.p10, 50: found.p50, 90: found.p90}[percent]
    # As many digits as a twentieth of the range allows.
    half = max(found.width, abs(found.planned) * 0.01) / 20
    return Figure(
        key=f"{stem}-{found.key}-p{percent}", label=f"{found.label}, P{percent}", value=value, unit=found.unit,
        formula=_formula(percent, spread), given=(_as_drawn("As planned", found.planned, spread, found.unit),), low=value - half,
        high=value + half,
    )  # fmt: skip


def _formula(percent: int, spread: Spread) -> str:
    return f"not exceeded in {percent} of 100 of {spread.draws} estimates drawn"


def _as_drawn(label: str, value: float, spread: Spread, unit: str = "money") -> Given:
    text = f"{spread.draws} estimates drawn"
    return Given(label=label, value=value, unit=unit, source=Source(kind=SourceKind.COMPUTED, text=text))


def _share(share: DriverShare, spread: Spread) -> Figure:
    return Figure(
        key=f"share-{share.key}", label=share.label, value=share.percent, unit="%",
        low=share.percent - 0.5, high=share.percent + 0.5,
        formula="variance of the cost that this makes by itself ÷ whole variance",
        note="By regression on its own chance, first and second degree (Hermite polynomials).",
        given=(_as_drawn("P10 to P90 of the cost", spread.of("cost").width, spread),),
    )  # fmt: skip


def _driver_row(driver: Driver) -> DriverRow:
    given = as_given(driver)

    def figure(key: str, label: str, value: float) -> Figure:
        return Figure(
            key=f"driver-{driver.key}-{key}", label=f"{driver.label}, {label}", value=value, unit=driver.unit, given=(given,),
            formula=driver.law.label, source=driver.source,
        )  # fmt: skip

    return DriverRow(
        driver=driver,
        planned=figure("planned", "as planned", driver.planned),
        ends=(figure("low", "low", driver.low), figure("high", "high", driver.high)),
    )
