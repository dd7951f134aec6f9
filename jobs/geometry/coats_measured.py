"""Walls read off the ladder that was measured on a scan or a body, in the figures' units."""

from dataclasses import dataclass

from jobs.geometry.measured import Method, Takeoff
from jobs.geometry.walls import Rung, wall_between
from studio.figures import Figure, Given, Source, SourceKind

_SCAN = Source(kind=SourceKind.MEASURED, text="3D scan, distance from its surface")
_BODY = Source(kind=SourceKind.COMPUTED, text="body made from the tape readings, distance from its surface")
NOTE = "Measured, not by a formula: where coats from two walls of a cleft meet, they count once."


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredWall:
    """A wall in m³ and m², its bound, and what it was read from."""

    volume_m3: float
    bound_m3: float
    area_m2: float
    given: tuple[Figure, ...]
    source: Source


def measured_blanket(takeoff: Takeoff, thickness_mm: float) -> MeasuredWall | None:
    """Read a blanket off the measured ladder; None where the scan was not measured so far."""
    if takeoff.walls is None:
        return None
    return _read(takeoff, takeoff.walls.blanket, thickness_mm, "Blanket")


def measured_casting(takeoff: Takeoff, wall_mm: float) -> MeasuredWall | None:
    """Read a casting's wall off the measured ladder; None where the scan was not measured so far."""
    if takeoff.walls is None:
        return None
    ladder = takeoff.walls.casting
    solid = takeoff.walls.solid_from_mm
    if solid > 0 and ladder and ladder[-1].thickness_mm < solid:
        # A solid piece ends the ladder: all of its volume, and nothing hollow left.
        end = Rung(thickness_mm=solid, volume_mm3=takeoff.volume.value * 1e9, bound_mm3=0.0, area_mm2=0.0)
        if end.volume_mm3 > ladder[-1].volume_mm3:
            ladder = (*ladder, end)
    return _read(takeoff, ladder, wall_mm, "Casting")


def leaves_no_hollow(takeoff: Takeoff, wall_mm: float) -> bool | None:
    """Say whether a wall fills the piece, as far as that was measured; None where it was not."""
    if takeoff.walls is None or takeoff.walls.solid_from_mm <= 0:
        return None
    return wall_mm >= takeoff.walls.solid_from_mm


def _read(takeoff: Takeoff, ladder: tuple[Rung, ...], thickness_mm: float, what: str) -> MeasuredWall | None:
    found = wall_between(ladder, thickness_mm, area_mm2=takeoff.area.value * 1e6)
    if found is None:
        return None
    rungs = [rung for rung in ladder if rung.thickness_mm >= thickness_mm][:1]
    rungs = [rung for rung in ladder if rung.thickness_mm < thickness_mm][-1:] + rungs
    if any(rung.thickness_mm == thickness_mm for rung in rungs):
        rungs = [rung for rung in rungs if rung.thickness_mm == thickness_mm]
    source = _BODY if takeoff.method is Method.TAPE else _SCAN
    given = tuple(
        Figure(
            key=f"rung_{number}",
            label=f"{what} as measured",
            value=rung.volume_mm3 * 1e-9,
            unit="m3",
            formula="measured at this wall",
            given=(Given(label="Wall", value=rung.thickness_mm, unit="mm", source=source),),
            source=source,
            low=max(rung.volume_mm3 - rung.bound_mm3, 0.0) * 1e-9,
            high=(rung.volume_mm3 + rung.bound_mm3) * 1e-9,
        )
        for number, rung in enumerate(rungs, start=1)
    )
    return MeasuredWall(
        volume_m3=found.volume_mm3 * 1e-9, bound_m3=found.bound_mm3 * 1e-9, area_m2=found.area_mm2 * 1e-6, given=given,
        source=source,
    )  # fmt: skip
