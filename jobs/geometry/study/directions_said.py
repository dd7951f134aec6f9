"""Directions in words: the front is the side towards −y, as in the pictures and sections."""

from jobs.geometry.study.directions import Direction

SIDES = ("right", "back right", "back", "back left", "left", "front left", "front", "front right")
_STRAIGHT_DEG = 80.0
_LEVEL_DEG = 5.0


def side_of(way: Direction) -> str:
    """Name the nearest of eight sides, seen by somebody who stands before the front."""
    return SIDES[round(way.azimuth_deg / 45.0) % 8]


def pull_said(pull: Direction) -> str:
    """Say where something is pulled to: "to the front left", "straight up", "to the back, 30° up"."""
    lift = pull.lift_deg
    if abs(lift) >= _STRAIGHT_DEG:
        return "straight up" if lift > 0 else "straight down"
    if abs(lift) < _LEVEL_DEG:
        return f"to the {side_of(pull)}"
    return f"to the {side_of(pull)}, {_degrees(lift)} {'up' if lift > 0 else 'down'}"


def facing_said(way: Direction) -> str:
    """Say which part of a piece faces a way: "its top", "its front left", "its back, 30° above the level"."""
    lift = way.lift_deg
    if abs(lift) >= _STRAIGHT_DEG:
        return "its top" if lift > 0 else "its underside"
    if abs(lift) < _LEVEL_DEG:
        return f"its {side_of(way)}"
    return f"its {side_of(way)}, {_degrees(lift)} {'above' if lift > 0 else 'below'} the level"


def _degrees(lift: float) -> str:
    return f"{round(abs(lift) / 5) * 5}°"
