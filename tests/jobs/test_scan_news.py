"""What measuring tells before it is done: put to use at once, filled in later, and never by somebody who lost the claim."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from jobs.claims import MOST_ATTEMPTS
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_child import MeshNews
from jobs.geometry.mesh_limits import WALL_S
from jobs.geometry.takeoff import Takeoff
from jobs.geometry.typed import TypedBrief, takeoff_from_typed
from jobs.geometry.walls_remarks import WALLS_BY_FORMULA, WALLS_TO_COME, to_come
from jobs.inputs import latest_record, takeoff_of
from jobs.models import PieceStudy, ScanFile, TakeoffRecord
from jobs.scans import measuring
from jobs.scans.claims import ClaimLost
from jobs.scans.news import News
from jobs.services.pieces import use_takeoff
from jobs.services.scans import add_scan, answer_scan
from jobs.studies import queueing
from tests.factories import JobFactory, planned_job
from tests.jobs.meshes import box_stl

pytestmark = pytest.mark.django_db
WISHES = {"stands_on_board": False, "flange_width_mm": 0.0, "texture_height_mm": 0.0, "texture_spacing_mm": 0.0}
Report = Callable[[MeshNews], None]


@pytest.fixture
def scan(monkeypatch: pytest.MonkeyPatch) -> ScanFile:
    """Return a scan whose unit is known and that waits to be measured."""
    monkeypatch.setattr(measuring, "push", lambda scan_id: True)
    sent = add_scan(piece=JobFactory().piece, upload=SimpleUploadedFile("box.stl", box_stl(300, 200, 500)), by=None)
    ScanFile.objects.filter(pk=sent.pk).update(unit="mm", wishes=WISHES)
    sent.refresh_from_db()
    return sent


def found(area_m2: float = 0.62) -> Takeoff:
    return takeoff_from_typed(TypedBrief(area_m2=area_m2, volume_m3=0.03, box_mm=(300.0, 200.0, 500.0)))


def reader(monkeypatch: pytest.MonkeyPatch, work: Callable[[Report], Takeoff]) -> None:
    """Let `work` stand in for the limited process."""

    def stand_in(path: Path, brief: MeshBrief, *, report: Report) -> Takeoff:
        assert path.exists()
        assert brief.unit == "mm"
        return work(report)

    monkeypatch.setattr(measuring, "measure_in_child", stand_in)


def surface(area_m2: float = 0.62) -> MeshNews:
    return MeshNews(step="surface", takeoff=to_come(found(area_m2)))


class TestNews:
    def test_are_put_to_use_before_the_walls_and_filled_in_after(self, scan: ScanFile, monkeypatch: pytest.MonkeyPatch) -> None:
        def work(report: Report) -> Takeoff:
            report(MeshNews(step="read", faces=12))
            report(surface())
            record = latest_record(scan.piece)
            assert record is not None
            assert "walls_to_come" in str(record.content)
            scan.refresh_from_db()
            assert scan.facts["step"] == "surface"
            assert scan.facts["found"] == {"area_m2": 0.62, "volume_m3": 0.03}
            return found(0.63)

        reader(monkeypatch, work)
        assert measuring.process(scan.pk) == "measured"
        record = TakeoffRecord.objects.get()
        assert record.area_m2 == 0.63
        assert "walls_to_come" not in str(record.content)

    def test_let_the_study_wait_for_the_walls(
        self, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
    ) -> None:
        pushed: list[int] = []
        monkeypatch.setattr(queueing, "push", pushed.append)
        monkeypatch.setattr(measuring, "push", lambda scan_id: True)
        sent = add_scan(piece=planned_job().piece, upload=SimpleUploadedFile("box.stl", box_stl(300, 200, 500)), by=None)
        ScanFile.objects.filter(pk=sent.pk).update(unit="mm", wishes=WISHES)
        PieceStudy.objects.all().delete()

        def work(report: Report) -> Takeoff:
            with django_capture_on_commit_callbacks(execute=True):
                report(surface())
            study = PieceStudy.objects.get()
            assert (study.state, pushed) == ("queued", [])
            # Nobody else pushes it in the meantime either, unless this worker is gone.
            assert study.due_at > timezone.now() + timedelta(seconds=WALL_S)
            return found(0.63)

        reader(monkeypatch, work)
        with django_capture_on_commit_callbacks(execute=True):
            assert measuring.process(sent.pk) == "measured"
        assert pushed == [PieceStudy.objects.get().pk]

    def test_come_only_once_kernels_are_compiled(self, scan: ScanFile, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(measuring, "wait_for_kernels", lambda: False)
        assert measuring.process(scan.pk) == "not compiled yet"
        scan.refresh_from_db()
        assert (scan.state, scan.attempts) == ("queued", 0)

    def test_hold_the_lease_for_longer(self, scan: ScanFile) -> None:
        mine = measuring.claim(scan.pk)
        assert mine is not None
        ScanFile.objects.update(lease_until_at=timezone.now() + timedelta(seconds=5))
        News(mine)(MeshNews(step="read", faces=12))
        scan.refresh_from_db()
        assert scan.lease_until_at is not None
        assert scan.lease_until_at > timezone.now() + timedelta(minutes=3)

    def test_of_a_reader_that_lost_its_claim_change_nothing(self, scan: ScanFile) -> None:
        mine = measuring.claim(scan.pk)
        assert mine is not None
        ScanFile.objects.update(lease_until_at=timezone.now() - timedelta(seconds=1))
        assert measuring.claim(scan.pk) is not None
        with pytest.raises(ClaimLost):
            News(mine)(surface())
        assert not TakeoffRecord.objects.exists()
        scan.refresh_from_db()
        assert "step" not in scan.facts

    def test_end_the_work_when_the_claim_is_lost(self, scan: ScanFile, monkeypatch: pytest.MonkeyPatch) -> None:
        def work(report: Report) -> Takeoff:
            ScanFile.objects.update(attempts=9)
            report(surface())
            raise AssertionError("the reader goes on for nobody")

        reader(monkeypatch, work)
        assert measuring.process(scan.pk) == "somebody else has it"
        assert not TakeoffRecord.objects.exists()

    def test_of_a_second_reader_fill_the_takeoff_that_the_first_began(
        self, scan: ScanFile, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        first = measuring.claim(scan.pk)
        assert first is not None
        News(first)(surface(0.61))  # and then its worker is killed
        ScanFile.objects.update(lease_until_at=timezone.now() - timedelta(seconds=1))

        def work(report: Report) -> Takeoff:
            report(surface(0.61))
            return found()

        reader(monkeypatch, work)
        assert measuring.process(scan.pk) == "measured"
        assert TakeoffRecord.objects.get().area_m2 == 0.62

    def test_leave_a_takeoff_in_use_that_was_put_back_meanwhile(self, scan: ScanFile, monkeypatch: pytest.MonkeyPatch) -> None:
        reader(monkeypatch, lambda report: found(0.5))
        measuring.process(scan.pk)
        earlier = TakeoffRecord.objects.get()
        answer_scan(scan=scan, unit="mm", up_axis="z", wishes=WISHES)

        def work(report: Report) -> Takeoff:
            report(surface())
            use_takeoff(record=earlier)
            return found()

        reader(monkeypatch, work)
        measuring.process(scan.pk)
        assert TakeoffRecord.objects.count() == 2
        in_use = latest_record(scan.piece)
        assert in_use is not None
        assert in_use.pk == earlier.pk

    def test_begin_a_takeoff_of_their_own_when_the_piece_is_measured_again(
        self, scan: ScanFile, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def work(report: Report) -> Takeoff:
            report(surface())
            return found()

        reader(monkeypatch, work)
        measuring.process(scan.pk)
        answer_scan(scan=scan, unit="mm", up_axis="y", wishes=WISHES)
        scan.refresh_from_db()
        assert not {"step", "takeoff", "found"} & set(scan.facts)
        measuring.process(scan.pk)
        assert TakeoffRecord.objects.count() == 2

    def test_stand_by_the_formula_when_the_walls_take_too_much(self, scan: ScanFile, monkeypatch: pytest.MonkeyPatch) -> None:
        def work(report: Report) -> Takeoff:
            report(surface())
            raise GeometryError("Reading the mesh took too long.")

        reader(monkeypatch, work)
        assert measuring.process(scan.pk) == "measured without walls"
        scan.refresh_from_db()
        assert scan.state == ScanFile.State.READY
        takeoff = takeoff_of(scan.piece)
        assert takeoff is not None
        assert WALLS_BY_FORMULA in takeoff.remarks
        assert WALLS_TO_COME not in takeoff.remarks

    def test_stand_by_the_formula_after_three_readers_were_lost(self, scan: ScanFile) -> None:
        for _ in range(MOST_ATTEMPTS):
            mine = measuring.claim(scan.pk)
            assert mine is not None
            News(mine)(surface())
            ScanFile.objects.update(lease_until_at=timezone.now() - timedelta(seconds=1))
        assert measuring.claim(scan.pk) is None
        takeoff = takeoff_of(scan.piece)
        assert takeoff is not None
        assert WALLS_BY_FORMULA in takeoff.remarks
        assert TakeoffRecord.objects.count() == 1
