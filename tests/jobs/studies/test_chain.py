"""From the upload to the plan with real processes: a box with a groove all round, pulled by two shell pieces."""

import math
import struct
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.geometry.study.store import study_from_json
from jobs.inputs import latest_record
from jobs.models import PieceStudy
from jobs.scans import measuring
from jobs.services.plans import keep_plan, mold_plan, plan_of
from jobs.services.scans import add_scan, answer_scan
from jobs.studies import queueing, working
from jobs.studies.asking import study_for
from jobs.studies.files import open_workspace
from tests.factories import planned_job

pytestmark = pytest.mark.django_db(transaction=True)
WISHES = {"stands_on_board": True, "flange_width_mm": 40.0, "texture_height_mm": 0.0, "texture_spacing_mm": 0.0}
# A spool: radius 30, in its waist 12, 90 high.
PROFILE = ((0, 0), (30, 0), (30, 30), (12, 30), (12, 60), (30, 60), (30, 90), (0, 90))
SIDES = 48


def spool_stl() -> bytes:
    rings = [
        [(r * math.cos(a), r * math.sin(a), float(h)) for a in (2 * math.pi * n / SIDES for n in range(SIDES))]
        for r, h in PROFILE
    ]
    triangles = []
    for low, high in pairwise(rings):
        for n in range(SIDES):
            m = (n + 1) % SIDES
            triangles += [(low[n], low[m], high[m]), (low[n], high[m], high[n])]
    whole = [corners for corners in triangles if len(set(corners)) == 3]
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *(c for corner in one for c in corner), 0) for one in whole)
    return b"spool".ljust(80) + struct.pack("<I", len(whole)) + body


class TestChain:
    def test_goes_from_a_scan_to_a_plan_with_fixed_pulls(self, monkeypatch: Any) -> None:
        monkeypatch.setattr(measuring, "push", lambda scan_id: True)
        monkeypatch.setattr(queueing, "push", lambda study_id: True)
        job = planned_job()
        scan = add_scan(piece=job.piece, upload=SimpleUploadedFile("spool.stl", spool_stl()), by=None)
        measuring.process(scan.pk)
        answer_scan(scan=scan, unit="mm", up_axis="z", wishes=WISHES)
        assert measuring.process(scan.pk) == "measured"

        plan = plan_of(job)
        keep_plan(plan=plan, values={"wall_mm": Decimal(6)}, revision=plan.revision, by=None)
        row = PieceStudy.objects.get(state="queued")
        assert (row.of, row.takeoff) == ("scan", latest_record(job.piece))
        assert working.process(row.pk) == "studied"
        row.refresh_from_db()
        assert [step["step"] for step in row.steps][:2] == ["measured", "positions"]
        assert {(step["pieces"], step["rank"]) for step in row.steps if step["step"] == "division"} >= {(2, 0), (3, 0), (4, 0)}
        found = study_from_json(row.result)
        # exact: from the side nothing of a spool lies under anything else, so two pieces need no fill.
        free = mold_plan(job)
        assert found.taken.fill_mm3 <= found.taken.fill_bound_mm3
        assert free.positions == len(found.positions.positions)
        assert free.seam.value == pytest.approx(found.taken.parting_mm / 1000)
        space = open_workspace(study_for(plan_of(job)))
        assert len(space.faces) > 500
        assert set(space.outside_piece) == {1, 2}
        assert space.picture is not None
        assert space.stills

        # Pulled straight up, the first piece cannot pass the waist; what its partner does not free is filled.
        plan = plan_of(job)
        pulls = [{"azimuth_deg": 0.0, "lift_deg": 90.0}, {"azimuth_deg": 0.0, "lift_deg": 60.0}]
        keep_plan(plan=plan, values={"pinned_pulls": pulls}, revision=plan.revision, by=None)
        assert any("another way of pulling" in remark.text for remark in mold_plan(job).remarks)
        pinned = PieceStudy.objects.get(state="queued")
        assert working.process(pinned.pk) == "studied"
        made = mold_plan(job)
        pinned.refresh_from_db()
        taken = study_from_json(pinned.result).taken
        assert all(piece.pinned for piece in taken.pieces)
        assert made.fill.volume.value == pytest.approx(taken.fill_mm3 / 1e6)
        assert made.rubber_fresh.value > free.rubber_fresh.value + 20
        assert study_for(plan_of(job)).fits

    def test_says_what_is_wrong_with_pulls_that_leave_no_end(self, monkeypatch: Any) -> None:
        monkeypatch.setattr(queueing, "push", lambda study_id: True)
        job = planned_job()
        plan = plan_of(job)
        pulls = [{"azimuth_deg": 0.0, "lift_deg": 0.0}, {"azimuth_deg": 2.0, "lift_deg": 0.0}]
        keep_plan(plan=plan, values={"pinned_pulls": pulls}, revision=plan.revision, by=None)
        row = PieceStudy.objects.get()
        assert working.process(row.pk) == "refused"
        row.refresh_from_db()
        assert "Turn one" in row.reason
        assert row.reason in " ".join(remark.text for remark in mold_plan(job).remarks)
