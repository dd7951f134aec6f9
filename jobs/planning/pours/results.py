"""What a pour needs round it: a blanket of clay under the shell, or a box."""

from dataclasses import dataclass

from studio.figures import Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class ClayPlan:
    """The blanket of clay that keeps the gap under a shell open until rubber is poured: area (m²), wall (mm), clay (L)."""

    area: Figure
    wall: Figure
    volume: Figure
    minutes: Figure
    minutes_out: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxPlan:
    """The box round a block: its inside (mm), the least rubber round the piece (mm), its boards (m²), what it holds (L).

    `block_mass` is all that is lifted out of the box, the piece left out (g).
    """

    length: Figure
    width: Figure
    height: Figure
    margin: Figure
    volume: Figure
    boards: Figure
    block_mass: Figure
    minutes: Figure
