"""The limited process that studies a shape: wishes in argument 1, a scan on standard input, answers as lines on standard output.

Limits are set before anything of size is imported; it opens no file by name, and writes its drawings to a descriptor it was
given.
"""

import os
import time
from dataclasses import replace
from importlib import import_module
from typing import Any

from jobs.geometry.mesh_limits import STUDY_CPU_S, STUDY_FILE_BYTES
from jobs.geometry.mesh_worker import say, serve

# Of the processor's time; what is left is for writing the answer down.
_WALLS_UNTIL = 0.8


def main() -> None:
    """Answer one request; every outcome that can be worded is worded."""
    serve(_answer, cpu_s=STUDY_CPU_S, file_bytes=STUDY_FILE_BYTES)


def _answer(wish: dict[str, Any], size: int) -> dict[str, Any]:
    import_module("scipy.sparse.csgraph")
    from jobs.geometry.errors import GeometryError
    from jobs.geometry.study.run import run_study
    from jobs.geometry.study.store import brief_from_json, study_to_json
    from jobs.geometry.study.workspace import save_workspace
    from jobs.geometry.walls_try import walls_if_possible

    begun = time.perf_counter()

    def report(step: str, told: dict[str, Any]) -> None:
        say({"step": step, "seconds": round(time.perf_counter() - begun, 3), **told})

    try:
        measure, remarks = _tape_measure(wish) if "tape" in wish else (_scan_measure(wish, size), ())
        report("measured", {"triangles": len(measure.exposed), "area_m2": measure.area_mm2 * 1e-6})
        study, workspace = run_study(measure, brief_from_json(wish["brief"]), report=report)
        # Walls count where the body made from tape readings is as large as they tell.
        if "tape" in wish and {remark.key for remark in remarks}.isdisjoint({"tape_body_alone", "tape_mesh_differs"}):
            study = replace(study, walls=walls_if_possible(measure, processor_s=_WALLS_UNTIL * STUDY_CPU_S))
            report("walls", {})
        with os.fdopen(int(wish["drawings"]), "wb", closefd=False) as drawings:
            save_workspace(drawings, workspace)
        report("kept", {})
    except GeometryError as error:
        return {"error": str(error)}
    except OSError:
        return {"error": "The drawings of this piece need more room than they are given, or the disk is full."}
    return {"study": study_to_json(replace(study, remarks=remarks))}


def _scan_measure(wish: dict[str, Any], size: int) -> Any:
    from jobs.geometry.mesh_brief import MeshBrief
    from jobs.geometry.mesh_measure import measure_welded
    from jobs.geometry.mesh_reader import read_mesh
    from jobs.geometry.mesh_takeoff import upright
    from jobs.geometry.walls_try import fastest_steps, kernels_load

    compiled = kernels_load()
    with os.fdopen(0, "rb", closefd=False) as stream:
        _, mesh = read_mesh(stream, size, compiled=compiled)
    brief = MeshBrief(unit=wish["unit"], up_axis=wish["up_axis"], stands_on_board=wish["stands_on_board"])
    steps = fastest_steps(compiled=compiled)
    points, triangles = (mesh.vertices.astype(float), mesh.faces) if mesh.welded else steps.weld(mesh.vertices, mesh.faces)
    del mesh
    return measure_welded(upright(points, brief), triangles, stands_on_board=brief.stands_on_board, steps=steps)


def _tape_measure(wish: dict[str, Any]) -> tuple[Any, tuple[Any, ...]]:
    """Measure the body made from tape readings, and return what is to be said of it."""
    from jobs.geometry.mesh_measure import measure_mesh
    from jobs.geometry.tape_mesh import tape_mesh
    from jobs.geometry.tape_store import tape_from_json

    brief = tape_from_json(wish["tape"])
    made = tape_mesh(brief)
    return measure_mesh(made.vertices, made.faces, stands_on_board=brief.stands_on_board), made.remarks


if __name__ == "__main__":
    main()
