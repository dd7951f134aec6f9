"""Measure walls where that is possible, and go without where it is not: the rest of a takeoff does not depend on it."""

from importlib import import_module

from jobs.geometry.mesh_measure import MeshMeasure
from jobs.geometry.mesh_steps import PLAIN, MeshSteps
from jobs.geometry.walls import MeasuredWalls


def walls_if_possible(measure: MeshMeasure, *, processor_s: float) -> MeasuredWalls | None:
    """Measure walls within `processor_s` of this process; None when memory, time or the compiler stand in the way."""
    try:
        from jobs.geometry.engine.ladder import Effort, measured_walls

        walls = measured_walls(measure, Effort(processor_s=processor_s))
    except (MemoryError, ImportError, OSError, RuntimeError, ArithmeticError):
        return None
    return walls if walls.blanket else None


def no_walls(measure: MeshMeasure) -> MeasuredWalls | None:  # noqa: ARG001 - stands in for the one above
    """Measure none."""
    return None


def kernels_load() -> bool:
    """Say whether the compiled kernels can be loaded into this process: they need room, which may be short."""
    try:
        for name in ("steps", "texts"):
            import_module(f"jobs.geometry.engine.{name}")
    except (MemoryError, ImportError, OSError, RuntimeError):
        return False
    return True


def fastest_steps(*, compiled: bool) -> MeshSteps:
    """Return the compiled steps or the plain ones; both measure the same."""
    if compiled:
        from jobs.geometry.engine.steps import COMPILED

        return COMPILED
    return PLAIN
