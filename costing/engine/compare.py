"""One way of a job against the plan in use: which saves hours, which saves material, and at what price of an hour they meet."""

from dataclasses import dataclass

from costing.engine.breakeven import break_even_rate
from studio.figures import Figure

# Differences smaller than this share of what the plan in use takes are told by no estimate.
_SAME = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """What sets a way apart from the plan in use; `rate` is the price of an hour at which both cost the same [money/h]."""

    words: str
    rate: Figure | None = None


def compare(*, key: str, spend: Figure, hours: Figure, used_spend: Figure, used_hours: Figure) -> Compared:
    """Compare a way with the plan in use; `key` begins the key of the figure."""
    dearer, slower = _sign(spend, used_spend), _sign(hours, used_hours)
    if dearer == slower == 0:
        return Compared(words="About as many hours and as much for material.")
    if dearer * slower >= 0:
        amount = {1: "More", 0: "As many", -1: "Fewer"}[slower]
        cost = {1: "more", 0: "as much", -1: "less"}[dearer]
        return Compared(words=f"{amount} hours, and {cost} for material.")
    rate = break_even_rate(
        spend=used_spend.value, hours=used_hours.value, other_spend=spend.value, other_hours=hours.value
    )  # fmt: skip
    figure = Figure(
        key=f"{key}-break-even",
        label="Both cost the same at",
        value=rate,
        unit="money/h",
        formula="difference in material ÷ difference in hours",
        given=(spend, used_spend, hours, used_hours),
        note="The price of an hour is labour and overhead together.",
    )
    words = "Less for material and more hours: it pays while an hour costs less than" if slower > 0 else (
        "Fewer hours and more for material: it pays once an hour costs more than"
    )  # fmt: skip
    return Compared(words=words, rate=figure)


def _sign(figure: Figure, used: Figure) -> int:
    difference = figure.value - used.value
    if abs(difference) <= _SAME * max(abs(used.value), 1e-9):
        return 0
    return 1 if difference > 0 else -1
