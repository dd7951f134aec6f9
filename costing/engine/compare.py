"""Two ways of one job side by side: which saves hours, which saves money, and at what prices they meet."""

from dataclasses import dataclass, replace

from costing.engine.frontier.crossing import Crossing, crossing_of
from costing.engine.frontier.sums import WaySums
from studio.figures import Figure, Given

# Differences smaller than this share of what both take are told by no estimate.
_SAME = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """What sets a way apart from another.

    `slower` is True where the way takes more hours and spends less, False where it takes fewer and spends more, None where no
    price of an hour decides between them: `words` say then what is so. `saved` [money, or g of rubber where
    money may not be seen] and `hours` [h] are what one takes more
    than the other; `rate` [money/h] and `price` [money/kg] are where both cost the same. `dearer` says that the way is the
    cheaper one while rubber costs more than `price`.
    """

    slower: bool | None
    words: str = ""
    saved: Figure | None = None
    hours: Figure | None = None
    rate: Figure | None = None
    price: Figure | None = None
    dearer: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One of two ways: its sums, and the same as figures that open."""

    sums: WaySums
    hours: Figure
    spend: Figure
    rubber: Figure | None = None


def compare(*, key: str, way: Side, other: Side, hour: Given | Figure | None = None, price: Given | None = None) -> Compared:
    """Compare a way with another.

    Parameters
    ----------
    key : str
        Begins the keys of the figures.
    way, other : Side
        The way, and what it is held against.
    hour : Given or Figure, optional
        What an hour counts while the rubber's price is sought. [money/h]
    price : Given, optional
        The price of the rubber that both were counted at. [money/kg]
    """
    dearer, slower = _sign(way.spend, other.spend), _sign(way.hours, other.hours)
    cross = crossing_of(
        _as_shown(way),
        _as_shown(other),
        rate_per_h=hour.value if hour else 0.0,
        price_per_kg=None if price is None else price.value,
    )
    at_price = _price(key, cross, way, other, hour, price)
    told = {"price": at_price, "dearer": (other.sums.rubber_kg - way.sums.rubber_kg) > 0}
    if dearer * slower >= 0 or cross.rate is None:
        return Compared(slower=None, words=_plain_words(dearer, slower), **told)  # type: ignore[arg-type]
    return Compared(
        slower=slower > 0,
        saved=_apart(f"{key}-saved", "Difference in spend", way.spend, other.spend, way.spend.unit),
        hours=_apart(f"{key}-hours", "Difference in hours", way.hours, other.hours, "h"),
        rate=Figure(
            key=f"{key}-break-even", label="Both cost the same at", value=cross.rate, unit="money/h",
            formula="difference in spend ÷ difference in hours", given=(way.spend, other.spend, way.hours, other.hours),
        ),
        **told,  # type: ignore[arg-type]
    )  # fmt: skip


def _as_shown(side: Side) -> WaySums:
    """Return sums of the very numbers that the working shows; they are ranked by the minute, much in a small difference."""
    return replace(side.sums, hours=side.hours.value, spend=side.spend.value)


def _price(key: str, cross: Crossing, way: Side, other: Side, hour: Given | Figure | None, price: Given | None) -> Figure | None:
    if cross.price is None or price is None or way.rubber is None or other.rubber is None:
        return None
    given: tuple[Given | Figure, ...] = (way.spend, other.spend, way.hours, other.hours, way.rubber, other.rubber, price)
    return Figure(
        key=f"{key}-break-even-price", label="Both cost the same when rubber costs", value=cross.price, unit="money/kg",
        formula="price now + difference in cost ÷ difference in rubber, an hour counted as said",
        given=given if hour is None else (*given, hour),
        note="Every cost here grows in a straight line with the price of the rubber, so this is exact.",
    )  # fmt: skip


def _plain_words(dearer: int, slower: int) -> str:
    if dearer == slower == 0:
        return "About as many hours and as much money."
    amount = {1: "More", 0: "As many", -1: "Fewer"}[slower]
    cost = {1: "more", 0: "as much", -1: "less"}[dearer]
    return f"{amount} hours, and {cost} money."


def _apart(key: str, label: str, one: Figure, other: Figure, unit: str) -> Figure:
    return Figure(
        key=key,
        label=label,
        value=abs(one.value - other.value),
        unit=unit,
        formula="larger − smaller",
        given=(one, other),
    )


def _sign(figure: Figure, other: Figure) -> int:
    difference = figure.value - other.value
    if abs(difference) <= _SAME * max(abs(other.value), 1e-9):
        return 0
    return 1 if difference > 0 else -1
