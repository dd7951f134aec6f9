"""Compile the steps of measuring a mesh by measuring a cube."""

from jobs.geometry.engine.steps import COMPILED
from jobs.geometry.mesh_measure import measure_welded
from jobs.geometry.raw_mesh import Doubles, Ints


def warm_steps(corners: Doubles, faces: Ints) -> None:
    """Measure a cube of 10 mm with one face turned over, or raise RuntimeError."""
    turned = faces.copy()
    turned[3] = turned[3, ::-1]
    measure = measure_welded(corners, turned, stands_on_board=True, steps=COMPILED)
    if (measure.area_mm2, measure.turned_faces, measure.parts.count) != (500.0, 1, 1):
        raise RuntimeError("The compiled steps measure a cube wrongly on this machine.")
