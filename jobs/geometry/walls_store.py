"""Measured walls as plain JSON values."""

from collections.abc import Mapping, Sequence
from typing import Any

from jobs.geometry.walls import MeasuredWalls, Rung


def walls_to_json(walls: MeasuredWalls | None) -> dict[str, Any] | None:
    """Turn measured walls into lists of numbers: thickness, volume, bound, area, in mm."""
    if walls is None:
        return None
    return {
        "blanket": [_row(rung) for rung in walls.blanket],
        "casting": [_row(rung) for rung in walls.casting],
        "solid_from_mm": walls.solid_from_mm,
    }


def walls_from_json(data: Mapping[str, Any] | None) -> MeasuredWalls | None:
    """Read what `walls_to_json` wrote."""
    if data is None:
        return None
    return MeasuredWalls(
        blanket=_ladder(data["blanket"]), casting=_ladder(data["casting"]), solid_from_mm=float(data["solid_from_mm"])
    )


def _row(rung: Rung) -> list[float]:
    return [rung.thickness_mm, rung.volume_mm3, rung.bound_mm3, rung.area_mm2]


def _ladder(rows: Sequence[Sequence[float]]) -> tuple[Rung, ...]:
    return tuple(Rung(thickness_mm=float(t), volume_mm3=float(v), bound_mm3=float(b), area_mm2=float(a)) for t, v, b, a in rows)
