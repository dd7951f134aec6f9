"""Drawings of an estimate's spread: the cumulative curve of the cost, and what makes its variance."""

from collections.abc import Sequence

from django.utils.safestring import SafeString

from costing.engine.spread.results import PERCENTS, DriverShare, Spread
from studio.models import StudioProfile
from studio.web.drawing import Canvas
from studio.web.quantities import show

WIDTH, HEIGHT = 460.0, 320.0
LEFT, RIGHT, TOP, FLOOR = 62.0, 16.0, 26.0, 262.0
BAR_LEFT, BAR_STEP, BAR_DEEP, BARS_TOP = 26.0, 26.0, 16.0, 12.0


def cost_curve(spread: Spread, asked: float, profile: StudioProfile) -> SafeString:
    """Draw in how many of 100 cases the cost stays below an amount, with P10, P50, P90 and the price before tax."""
    low, high = min(spread.curve[0], spread.of("cost").planned), max(spread.curve[-1], spread.of("cost").planned)
    span = max(high - low, 1e-9)

    def x(cost: float) -> float:
        return LEFT + (cost - low) / span * (WIDTH - RIGHT - LEFT)

    def y(percent: float) -> float:
        return FLOOR - percent / 100 * (FLOOR - TOP)

    cost = spread.of("cost")
    told = ", ".join(f"{percent} of 100 below {_money(spread.cost_at(percent), spread, profile)}" for percent in PERCENTS)
    canvas = Canvas(
        width=WIDTH,
        height=HEIGHT,
        title="Cost, and in how many of 100 cases it is not exceeded",
        description=f"A curve that rises to the right: {told}. As planned: {_money(cost.planned, spread, profile)}.",
    )
    canvas.line((LEFT, TOP), (LEFT, FLOOR), width=1.2)
    canvas.line((LEFT, FLOOR), (WIDTH - RIGHT, FLOOR), width=1.2)
    for percent in (0, 50, 100):
        canvas.line((LEFT - 5, y(percent)), (LEFT, y(percent)))
        canvas.text((LEFT - 8, y(percent) + 4.5), percent, size=13, anchor="end", pale=True)
    canvas.text((4, TOP - 10), "Cases of 100", anchor="start")
    canvas.line((x(cost.planned), TOP), (x(cost.planned), FLOOR), pen="look-stroke", width=1.2, dashes="6 4")
    if low < asked < high:
        canvas.line((x(asked), TOP), (x(asked), FLOOR), pen="stop-stroke", width=1.2, dashes="2 4")
    canvas.shape(
        [(x(value), y(percent)) for percent, value in enumerate(spread.curve, start=1)], pen="stroke", width=2.2, closed=False
    )
    for percent, anchor in zip(PERCENTS, ("start", "middle", "end"), strict=True):
        spot = (x(spread.cost_at(percent)), y(percent))
        canvas.line((LEFT, spot[1]), spot, pen="pale-stroke", width=0.6)
        canvas.line(spot, (spot[0], FLOOR + 5), pen="pale-stroke", width=0.6)
        canvas.ring(spot, 4, fill="ink-fill")
        canvas.text((spot[0] + 9, spot[1] + 15), f"P{percent}", size=13, bold=True)
        row = FLOOR + (40 if percent == 50 else 22)
        canvas.text((spot[0], row), _money(spread.cost_at(percent), spread, profile), size=13, anchor=anchor)
    return canvas.svg()


def share_bars(shares: Sequence[DriverShare], profile: StudioProfile) -> SafeString | str:
    """Draw what each driver makes of the variance as a bar; its number stands in the table."""
    if not shares:
        return ""
    most = max(1e-9, *(share.percent for share in shares))
    words = "; ".join(f"{n} {share.label}: {show(round(share.percent), '%', profile)}" for n, share in enumerate(shares, start=1))
    canvas = Canvas(
        width=WIDTH, height=BARS_TOP + BAR_STEP * len(shares) + 4, title="What makes the spread of the cost", description=words
    )
    for row, share in enumerate(shares):
        top = BARS_TOP + row * BAR_STEP
        long = (WIDTH - BAR_LEFT - 60) * share.percent / most
        canvas.text((BAR_LEFT - 8, top + 13), row + 1, size=13, anchor="end", pale=True)
        canvas.box((BAR_LEFT, top), (max(long, 1.0), BAR_DEEP), fill="tint-b", pen="stroke", width=0.8)
        canvas.text((BAR_LEFT + max(long, 1.0) + 6, top + 13), show(round(share.percent), "%", profile), size=13)
    return canvas.svg()


def _money(amount: float, spread: Spread, profile: StudioProfile) -> str:
    """Write an amount with no more digits than the spread allows."""
    half = spread.of("cost").width / 20
    return str(show(amount, "money", profile, low=amount - half, high=amount + half))
