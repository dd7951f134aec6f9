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
    if abs(pull.lift_deg) >= _STRAIGHT_DEG:
        return "straight up" if pull.lift_deg > 0 else "straight down"
    return f"to the {_side_and_lift(pull)}"


def facing_said(way: Direction) -> str:
    """Say which part of a piece faces a way: "its top", "its front left", "its back, 30° up"."""
    if abs(way.lift_deg) >= _STRAIGHT_DEG:
        return "its top" if way.lift_deg > 0 else "its underside"
    return f"its {_side_and_lift(way)}"


def degrees_said(way: Direction) -> str:
    """Write a direction as it is typed, first around, then up: "90°, 30°"."""
    return f"{round(way.azimuth_deg) % 360}°, {round(way.lift_deg)}°".replace("-", "−")


def _side_and_lift(way: Direction) -> str:
    lift = way.lift_deg
    if abs(lift) < _LEVEL_DEG:
        return side_of(way)
    return f"{side_of(way)}, {round(abs(lift) / 5) * 5}° {'up' if lift > 0 else 'down'}"
