"""How far a measured area may be off, by the way it was measured."""

from collections.abc import Mapping

from jobs.geometry.measured import Method
from studio.figures import Given, Source, SourceKind

SPREADS: Mapping[Method, Given] = {
    Method.SCAN: Given(
        label="Spread of the area",
        value=3.0,
        unit="%",
        source=Source(kind=SourceKind.FROM_MEMORY, text="3D scan, ± 2 to 3 %"),
        low=2.0,
        high=3.0,
    ),
    Method.TAPE: Given(
        label="Spread of the area",
        value=12.0,
        unit="%",
        source=Source(kind=SourceKind.FROM_MEMORY, text="tape, ± 8 to 15 %"),
        low=8.0,
        high=15.0,
    ),
    Method.TYPED: Given(
        label="Spread of the area",
        value=30.0,
        unit="%",
        source=Source(kind=SourceKind.FROM_MEMORY, text="guess, ± 30 %"),
    ),
}


def spread_range(value: float, spread_percent: float) -> tuple[float, float]:
    """Bound a value by ± its spread."""
    share = spread_percent / 100.0
    return value * (1 - share), value * (1 + share)


def volume_spread_percent(area_spread_percent: float) -> float:
    """Spread a volume: lengths are off by half of what areas are, volumes by three halves."""
    return min(1.5 * area_spread_percent, 99.0)
