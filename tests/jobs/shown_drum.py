"""A job whose piece is studied: the drum of `planned_job` in two shell pieces, with small pictures."""

import io
from functools import cache

import numpy as np
import trimesh

from jobs.geometry.study.directions import direction
from jobs.geometry.study.picture import light_mesh
from jobs.geometry.study.results import Division, GaugeKind, GaugeSpot, Parting, Position, Positions, ShellPiece, Study
from jobs.geometry.study.stills import stills
from jobs.geometry.study.store import brief_to_json, study_to_json
from jobs.geometry.study.workspace import Picture, save_workspace
from jobs.inputs import latest_record
from jobs.models import Job, PieceStudy
from jobs.services.plans import plan_of
from jobs.studies import files
from jobs.studies.asking import fingerprint_for
from jobs.studies.wishes import brief_for, shape_of
from studio.services.rates import current_rates
from tests.jobs.studied import drum_workspace

RADIUS, HEIGHT = 100.0, 300.0


def study_of_drum() -> Study:
    """What a study of the drum might find; its figures are invented, its geometry is right."""
    rim = tuple((RADIUS * float(np.cos(a)), RADIUS * float(np.sin(a)), HEIGHT) for a in np.linspace(0, np.pi, 7))
    pieces = tuple(
        ShellPiece(
            number=number, pull=direction(azimuth, 0), pinned=number == 2, area_mm2=120_000.0, reach_mm=100.0,
            size_mm=(100.0, 200.0, 300.0),
        )
        for number, azimuth in ((1, 0.0), (2, 180.0))
    )  # fmt: skip
    division = Division(
        rank=0, pieces=pieces, partings=(Parting(between=(1, 2), points=rim, closed=False, length_mm=314.0),), parting_mm=314.0,
        fill_mm3=0.0, fill_bound_mm3=1.0, outside_mm2=240_000.0, order=(1, 2), blocked=(),
    )  # fmt: skip
    return Study(
        wall_mm=10.0, cell_mm=2.0, divisions=(division,), taken=division, scrap=None,
        positions=Positions(
            slope_limit_deg=50.0, positions=(Position(up=direction(0, 90), area_mm2=31_000.0),), left_out_mm2=0.0
        ),
        gauges=(GaugeSpot(kind=GaugeKind.CROWN, point=(0.0, 0.0, HEIGHT), outward=direction(0, 90), why="It is the top."),),
    )  # fmt: skip


@cache
def drawings() -> bytes:
    """The drum's file of drawings."""
    drum = trimesh.creation.cylinder(RADIUS, HEIGHT, sections=48)
    vertices, faces = light_mesh(drum.vertices + np.array([0, 0, HEIGHT / 2]), drum.faces, most_faces=3_000)
    layers = {
        "depth": np.zeros(len(vertices)), "slope": np.linspace(0, 180, len(vertices)), "fill": vertices[:, 2] / 30,
        "piece": np.where(vertices[:, 0] > 0, 1, 2),
    }  # fmt: skip
    picture = Picture(vertices=vertices, faces=faces, layers={name: layer.astype(np.float32) for name, layer in layers.items()})
    pulls = tuple(piece.pull for piece in study_of_drum().taken.pieces)
    stream = io.BytesIO()
    save_workspace(stream, drum_workspace(picture=picture, stills=stills(picture, size_px=(160, 120), pulls=pulls)))
    return stream.getvalue()


def studied(job: Job) -> PieceStudy:
    """Add a ready study, with its drawings, that fits the kept plan of a measured job."""
    plan, record = plan_of(job), latest_record(job.piece)
    name = files.new_name()
    files.path_of(name).write_bytes(drawings())
    values = {
        "takeoff": record, "of": record.method, "shape": shape_of(record), "state": PieceStudy.State.READY,
        "brief": brief_to_json(brief_for(plan, current_rates())), "result": study_to_json(study_of_drum()),
        "figures": study_to_json(study_of_drum(), drawn=False), "stored_name": name,
    }  # fmt: skip
    fingerprint = fingerprint_for(plan, record, current_rates())
    study, _ = PieceStudy.objects.update_or_create(piece=job.piece, fingerprint=fingerprint, defaults=values)
    return study
