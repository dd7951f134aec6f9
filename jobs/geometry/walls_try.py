"""Measure walls where that is possible, and go without where it is not: the rest of a takeoff does not depend on it."""

from collections.abc import Callable
from importlib import import_module

from jobs.geometry.mesh_measure import MeshMeasure
from jobs.geometry.mesh_weld import weld
from jobs.geometry.raw_mesh import Doubles, Floats, Ints
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
        for name in ("soup", "texts"):
            import_module(f"jobs.geometry.engine.{name}")
    except (MemoryError, ImportError, OSError, RuntimeError):
        return False
    return True


def fastest_weld(*, compiled: bool, welded: bool = False) -> Callable[[Floats, Ints], tuple[Doubles, Ints]]:
    """Return the compiled weld where there is one, the plain one otherwise; both merge the same points.

    What is welded already only changes its precision.
    """
    if welded:
        return lambda vertices, faces: (vertices.astype(float), faces)
    if compiled:
        from jobs.geometry.engine.soup import weld_fast

        return weld_fast
    return weld
