"""What one could measure next, and how narrow a driver would be then."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from costing.engine.spread.drivers import AREA, HANDS, LOSSES, PRICES, TEMPERATURE, WALL, Driver, Law
from costing.engine.spread.results import DriverShare, Measure, Range

# What makes less of the cost's variance than this is not worth measuring.
WORTH_PERCENT = 1.0
MOST_RATES = 3
TAPE, SCAN = 0.12, 0.03
_TO_COME = Range(key="price", label="", unit="money", planned=0.0, p10=0.0, p50=0.0, p90=0.0)


def possible_measures(drivers: Sequence[Driver], shares: Sequence[DriverShare]) -> tuple[Measure, ...]:
    """List what could be measured, with the narrower drivers; prices are to be computed with them.

    Parameters
    ----------
    drivers : sequence of Driver
        As they are.
    shares : sequence of DriverShare
        What each makes of the cost's variance, largest first.
    """
    by_key = {driver.key: driver for driver in drivers}
    worth = [share.key for share in shares if share.percent >= WORTH_PERCENT]
    found = [*_of_the_piece(by_key, worth), *_of_materials(drivers, worth)]
    rates = [key for key in worth if key in by_key and by_key[key].group == HANDS][:MOST_RATES]
    found += [_measure(key, f"Timing “{by_key[key].label}”, and so halving its range,", (halved(by_key[key]),)) for key in rates]
    hands = tuple(halved(driver) for driver in drivers if driver.group == HANDS)
    if HANDS in worth and hands:
        found.append(_measure(HANDS, "Timing all your work, and so halving the range of every rate,", hands))
    return tuple(found)


def halved(driver: Driver) -> Driver:
    """Return a driver with half of its range on either side."""
    return replace(
        driver, low=driver.likely - (driver.likely - driver.low) / 2, high=driver.likely + (driver.high - driver.likely) / 2
    )


def _of_the_piece(by_key: dict[str, Driver], worth: Sequence[str]) -> Iterator[Measure]:
    area, wall, room = (by_key.get(key) for key in (AREA, WALL, TEMPERATURE))
    if area is not None and AREA in worth:
        off = area.high / area.likely - 1
        if off > TAPE * 1.2:
            yield _measure(AREA, "Measuring the piece with a tape", (_within(area, TAPE),))
        elif off > SCAN * 1.2:
            yield _measure(AREA, "Scanning the piece", (_within(area, SCAN),))
    if wall is not None and WALL in worth:
        even = replace(wall, low=0.97 * wall.likely, high=1.05 * wall.likely)
        yield _measure(WALL, "Weighing every coat against its mass as planned, and so holding the wall within 5 %,", (even,))
    if room is not None and TEMPERATURE in worth:
        warm = replace(room, low=room.likely - 1, high=room.likely + 1)
        yield _measure(TEMPERATURE, "Holding the room within a degree by a thermometer", (warm,))


def _of_materials(drivers: Sequence[Driver], worth: Sequence[str]) -> Iterator[Measure]:
    losses = tuple(halved(driver) for driver in drivers if driver.key in LOSSES and driver.key in worth)
    if losses:
        yield _measure("loss", "Weighing what stays in cups and brushes, and so halving its range,", losses)
    prices = [driver for driver in drivers if driver.group == PRICES]
    if any(driver.key in worth for driver in prices) or PRICES in worth:
        yield _measure(PRICES, "Asking for today’s prices of materials", tuple(_within(driver, 0.01) for driver in prices))


def _within(driver: Driver, off: float) -> Driver:
    """Return a log-normal driver that lies within a share of its middle in nine of ten cases."""
    if driver.law is not Law.LOG_NORMAL or driver.high / driver.likely - 1 <= off:
        return driver
    return replace(driver, low=driver.likely / (1 + off), high=driver.likely * (1 + off))


def _measure(key: str, words: str, narrower: tuple[Driver, ...]) -> Measure:
    return Measure(key=key, words=words, price=_TO_COME, drivers=narrower)
