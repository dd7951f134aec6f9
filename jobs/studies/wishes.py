"""What a plan asks the study of its piece, and the fingerprint by which the answer is found again."""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from jobs.geometry.study.brief import PartingPlane, StudyBrief
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.store import brief_to_json
from jobs.models import PieceStudy, Plan, TakeoffRecord
from studio.figures import Given

# Raised when the same question would be answered differently by a newer version of the geometry.
VERSION = 1
USUAL_CHUNK_MM = 15.0
USUAL_COVER_MM = 5.0
# A layer of glass mat of 450 g/m² wetted with resin: common practice, no source. For drawings, and the check of removal.
LAMINATE_LAYER_MM = 1.0
COVER_RATE = "face_cover_mm"


def source_of(record: TakeoffRecord) -> dict[str, Any] | None:
    """Return what identifies the shape that a takeoff was read from, or None when it is not known."""
    if record.method == PieceStudy.Of.SCAN:
        return {"scan": record.shape} if record.shape else None
    if record.method == PieceStudy.Of.TAPE:
        return {"tape": record.readings} if record.readings else None
    return None


def shape_of(record: TakeoffRecord) -> str:
    """Return the fingerprint of the shape alone, empty when it is not known."""
    source = source_of(record)
    return "" if source is None else _hash({"version": VERSION, "source": source})


def brief_for(plan: Plan, rates: Mapping[str, Given]) -> StudyBrief:
    """Put the decisions together that a study depends on; raises GeometryError for those that cannot be.

    Parameters
    ----------
    plan : Plan
        Kept or not, its job and piece loaded.
    rates : mapping
        The studio's rates: how much rubber covers a chunk.
    """
    cover, scrap = rates.get(COVER_RATE), plan.scrap_bin
    return StudyBrief(
        wall_mm=float(plan.wall_mm),
        on_board=plan.job.piece.stands_on_board,
        shell_mm=_shell_mm(plan),
        # Without a shell nothing is pulled; one piece is never divided.
        pieces=1 if plan.shell_kind == Plan.ShellKind.NONE else plan.shell_pieces,
        pulls=() if plan.shell_kind == Plan.ShellKind.NONE else pulls_of(plan),
        parting=None if plan.shell_kind == Plan.ShellKind.NONE else parting_of(plan),
        rank=plan.division_rank,
        chunk_edge_mm=USUAL_CHUNK_MM if scrap is None else min(max(float(scrap.chunk_edge_mm), 3.0), 200.0),
        cover_mm=USUAL_COVER_MM if cover is None else min(max(cover.value, 0.0), 100.0),
    )


def pulls_of(plan: Plan) -> tuple[Direction, ...]:
    """Return the pulls that a person fixed."""
    return tuple(direction(float(pull["azimuth_deg"]), float(pull["lift_deg"])) for pull in plan.pinned_pulls)


def parting_of(plan: Plan) -> PartingPlane | None:
    """Return where a person wants two pieces to meet."""
    kept = plan.parting
    if not kept:
        return None
    return PartingPlane(azimuth_deg=float(kept["azimuth_deg"]), offset_mm=float(kept["offset_mm"]))


def fingerprint_of(source: Mapping[str, Any], brief: StudyBrief) -> str:
    """Return the name of a question about a shape: equal for equal shapes and decisions, and only for those."""
    return _hash({"version": VERSION, "source": source, "brief": brief_to_json(brief)})


def _hash(told: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(told, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def _shell_mm(plan: Plan) -> float:
    if plan.shell_kind == Plan.ShellKind.NONE:
        return 0.0
    if plan.shell_kind == Plan.ShellKind.LAMINATE:
        return min(plan.shell_layers * LAMINATE_LAYER_MM, 200.0)
    return min(float(plan.shell_thickness_mm), 200.0)
