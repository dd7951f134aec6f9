"""What an estimate hangs on: each driver with the law of its spread, its numbers and where they come from."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from costing.engine.brief import MaterialPrice
from costing.engine.spend import Spend
from jobs.geometry.takeoff import Method
from jobs.planning.brief import Making, PlanBrief
from studio.figures import Given, Source, SourceKind
from studio.workrates import WORK_RATES, Stage

AREA, WALL, TEMPERATURE, SPOILED = "area", "wall", "temperature", "spoiled"
HANDS, PRICES = "hands", "prices"
LOSSES = ("blanket_loss_percent", "detail_loss_percent", "pour_loss_percent", "shell_loss_percent", "resin_loss_percent")
HABITS = ("pot_life_usable_share", "mix_min")
# How strongly the rates of one studio, and the prices of one market, move together: the share of the variance (of the normal
# variable behind each) that they have in common. Common practice, no source.
IN_COMMON = {HANDS: 0.3, PRICES: 0.5}
# A log-normal's two numbers hold nine of ten cases: 5 in 100 lie below and 5 above.
Z_95 = 1.6448536269514722


class Law(StrEnum):
    """How a driver is spread."""

    PERT = "pert"
    LOG_NORMAL = "log-normal"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {
            "pert": "three-point beta: never below low, never above high",
            "log-normal": "log-normal: low and high hold nine of ten cases",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """One uncertain input: `planned` is what the estimate counts on, low and high as its law says.

    A log-normal's middle is `likely`. `group` names the drivers that it moves together with; nothing where it moves alone.
    """

    key: str
    label: str
    unit: str
    planned: float
    law: Law
    low: float
    likely: float
    high: float
    source: Source
    group: str = ""

    @property
    def sigma(self) -> float:
        """Standard deviation of the logarithm of a log-normal driver."""
        return (math.log(self.high) - math.log(self.low)) / (2 * Z_95)

    @property
    def is_fixed(self) -> bool:
        """Whether nothing is spread."""
        return self.low == self.high

    def fixed(self) -> "Driver":
        """Return the driver at what the estimate counts on."""
        return replace(self, law=Law.PERT, low=self.planned, likely=self.planned, high=self.planned)


def rate_keys() -> tuple[str, ...]:
    """Return the rates of work that are minutes of hands, in the order of the table; sizes and habits are decisions."""
    return tuple(
        kind.key for kind in WORK_RATES.values()
        if kind.stage is not Stage.MATERIAL and kind.unit.split("/")[0] in ("min", "h") and "wait" not in kind.key
        and kind.key not in ("shift_h", "laminate_heat_min")
    )  # fmt: skip


def drivers_of(
    brief: PlanBrief, *, used_rates: Iterable[str], spend: Spend, prices: Mapping[int | str, MaterialPrice]
) -> tuple[Driver, ...]:
    """Gather the drivers of a plan.

    Parameters
    ----------
    brief : PlanBrief
        The plan's brief with the studio's rates.
    used_rates : iterable of str
        Rates of work and losses that the plan's minutes or masses hang on.
    spend : Spend
        Materials with their cost.
    prices : mapping
        What is known of each material's price.
    """
    found = [_area(brief), *_wall(brief), _temperature(brief)]
    found += [_rate(brief, key) for key in used_rates]
    if brief.casting is not None:
        found.append(_spoiled())
    seen = dict.fromkeys(line.material_key for line in spend.lines if line.cost is not None and line.cost.value > 0)
    found += [_price(key, prices[key]) for key in seen if key in prices and prices[key].per_kg is not None]
    return tuple(driver for driver in found if not driver.is_fixed)


def _area(brief: PlanBrief) -> Driver:
    takeoff = brief.takeoff
    share, area = takeoff.spread_percent, takeoff.area.value
    words = {Method.SCAN: "scanned", Method.TAPE: "measured with a tape", Method.TYPED: "guessed"}[takeoff.method]
    off = min(share.value, 90.0) / 100
    # The stated ± is read as a factor either way, so that no area is less than nought.
    return Driver(
        key=AREA, label=f"Surface of the piece, {words}",
        unit="m2", planned=area, law=Law.LOG_NORMAL,
        low=area / (1 + off), likely=area, high=area * (1 + off), source=share.source,
    )  # fmt: skip


def _wall(brief: PlanBrief) -> list[Driver]:
    if brief.making is Making.BLOCK:
        # What a box holds is measured off its boards.
        return []
    wall = brief.wall_mm.value
    low, high = (0.9, 1.2) if brief.making is Making.BRUSHED else (0.95, 1.1)
    words = (
        "laid by hand, a wall comes out rather thicker than planned" if brief.making is Making.BRUSHED else "clay keeps the gap"
    )
    return [
        Driver(
            key=WALL, label="Wall laid, against the wall planned", unit="mm", planned=wall, law=Law.PERT, low=low * wall,
            likely=wall, high=high * wall, source=Source(kind=SourceKind.COMMON_PRACTICE, text=words),
        )
    ]  # fmt: skip


def _temperature(brief: PlanBrief) -> Driver:
    day = brief.temperature_c.value
    return Driver(
        key=TEMPERATURE, label="Temperature of the room", unit="degC", planned=day, law=Law.PERT, low=day - 3, likely=day,
        high=day + 3, source=Source(kind=SourceKind.COMMON_PRACTICE, text="a heated room drifts by some degrees"),
    )  # fmt: skip


def _rate(brief: PlanBrief, key: str) -> Driver:
    given = brief.rates.get(key) or WORK_RATES[key].as_given()
    low = given.value if given.low is None else min(given.low, given.value)
    high = given.value if given.high is None else max(given.high, given.value)
    hands = key not in LOSSES and key != "pot_life_usable_share"
    return Driver(
        key=key, label=given.label, unit=given.unit, planned=given.value, law=Law.PERT, low=low, likely=given.value, high=high,
        source=given.source, group=HANDS if hands else "",
    )  # fmt: skip


def _spoiled() -> Driver:
    return Driver(
        key=SPOILED, label="Castings spoiled and cast again", unit="%", planned=0.0, law=Law.PERT, low=0.0, likely=2.0, high=15.0,
        source=Source(kind=SourceKind.COMMON_PRACTICE, text="the estimate itself counts on none"),
    )  # fmt: skip


def _price(key: int | str, price: MaterialPrice) -> Driver:
    given = price.per_kg
    assert given is not None
    if given.low is not None and given.high is not None and 0 < given.low < given.high:
        low, high, source = given.low, given.high, given.source
    else:
        low, high = given.value / 1.1, given.value * 1.1
        text = f"{given.source.text}; ± 10 % until it is bought, common practice, no source".lstrip("; ")
        source = replace(given.source, text=text)
    return Driver(
        key=f"price-{key}", label=f"Price of {price.name}", unit=given.unit, planned=given.value, law=Law.LOG_NORMAL, low=low,
        likely=given.value, high=high, source=source, group=PRICES,
    )  # fmt: skip


def as_given(driver: Driver) -> Given:
    """Return a driver as an input with its range and source."""
    return Given(
        label=driver.label, value=driver.planned, unit=driver.unit, source=driver.source, low=driver.low, high=driver.high
    )
