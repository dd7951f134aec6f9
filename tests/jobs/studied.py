"""A job whose piece was studied: the drum of `planned_job`, its distances in closed form."""

from typing import Any

import numpy as np
import trimesh

from jobs.geometry.study.store import brief_to_json
from jobs.geometry.study.workspace import Workspace, save_workspace
from jobs.inputs import latest_record
from jobs.models import Job, PieceStudy
from jobs.services.plans import plan_of
from jobs.studies.asking import fingerprint_for
from jobs.studies.files import new_name, path_of
from jobs.studies.wishes import brief_for, shape_of
from studio.services.rates import current_rates
from tests.jobs.geometry.analytic import field_of, standing, to_cylinder, workspace_of

RADIUS_MM, HEIGHT_MM = 628.0 / (2 * np.pi), 300.0
# The filled outside stands this far from the drum, so that there is fill to draw and a chunk in it.
FILLED_MM = 40.0


def drum_workspace(**rest: Any) -> Workspace:
    """What a study of the drum leaves behind, in a coarse grid."""
    mesh = standing(trimesh.creation.cylinder(radius=RADIUS_MM, height=HEIGHT_MM, sections=96), open_base=True)
    grid: dict[str, Any] = {"half": (160.0, 160.0), "heights": (0.0, 360.0), "step_mm": 5.0}
    distance = field_of(to_cylinder(RADIUS_MM, HEIGHT_MM), **grid)
    outside = field_of(to_cylinder(RADIUS_MM + FILLED_MM, HEIGHT_MM + FILLED_MM), **grid)
    chunks = np.array([[RADIUS_MM + 27.0, 0.0, z] for z in (40.0, 80.0, 120.0)], dtype=np.float32)
    return workspace_of(mesh, distance, **{"outside": outside, "chunks": chunks, **rest})


def study_of(job: Job, workspace: Workspace | None = None, **fields: Any) -> PieceStudy:
    """A study of a job's piece for its plan; ready with its file, unless a state says otherwise."""
    plan, record, rates = plan_of(job), latest_record(job.piece), current_rates()
    assert record is not None
    values: dict[str, Any] = {
        "piece": job.piece, "takeoff": record, "of": record.method, "shape": shape_of(record), "state": PieceStudy.State.READY,
        "fingerprint": fingerprint_for(plan, record, rates), "brief": brief_to_json(brief_for(plan, rates)), **fields,
    }  # fmt: skip
    if values["state"] == PieceStudy.State.READY:
        values["stored_name"] = new_name()
        with path_of(values["stored_name"]).open("wb") as stream:
            save_workspace(stream, workspace or drum_workspace())
    PieceStudy.objects.filter(piece=job.piece, fingerprint=values["fingerprint"]).delete()
    return PieceStudy.objects.create(**values)
