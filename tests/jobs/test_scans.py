from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from jobs.claims import MOST_ATTEMPTS
from jobs.errors import JobsError, ScanRefused
from jobs.inputs import takeoff_of
from jobs.models import ScanFile, TakeoffRecord
from jobs.scans import files, measuring
from jobs.services.scans import add_scan, answer_scan, remove_scan, retry_scan
from tests.factories import JobFactory
from tests.jobs.meshes import box_obj, box_stl

pytestmark = pytest.mark.django_db
WISHES = {"stands_on_board": False, "flange_width_mm": 0.0, "texture_height_mm": 0.0, "texture_spacing_mm": 0.0}


@pytest.fixture(autouse=True)
def pushed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Catch what is pushed to the worker."""
    ids: list[int] = []

    def push(scan_id: int) -> bool:
        ids.append(scan_id)
        return True

    monkeypatch.setattr(measuring, "push", push)
    return ids


def sent(content: bytes = b"", name: str = "box.stl") -> ScanFile:
    upload = SimpleUploadedFile(name, content or box_stl(300, 200, 500))
    return add_scan(piece=JobFactory().piece, upload=upload, by=None)


class TestAddScan:
    def test_stores_under_a_name_of_its_own(self) -> None:
        scan = sent(name="../../evil name.stl")
        path = files.path_of(scan)
        assert path.parent == files.folder()
        assert path.stat().st_mode & 0o777 == 0o600
        assert "evil" not in path.name

    @pytest.mark.parametrize(
        ("name", "content"),
        [
            ("box.obj", box_stl(1, 1, 1)),
            ("box.stl", box_obj(1, 1, 1)),
            ("box.ply", box_stl(1, 1, 1)),
            ("box.stl", b"PK\x03\x04" + b"\0" * 200),
            ("box.stl", b"%PDF-1.7 \n" + b"\0" * 200),
            ("box.stl", box_stl(1, 1, 1)[:-10]),
            ("box.stl", b"<html></html>"),
        ],
    )
    def test_refuses_what_is_not_what_its_name_says_and_keeps_no_file(self, name: str, content: bytes) -> None:
        with pytest.raises(ScanRefused):
            sent(content, name)
        assert list(files.folder().iterdir()) == []
        assert not ScanFile.objects.exists()

    def test_stops_writing_past_the_limit(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(files, "MAX_FILE_BYTES", 500)
        with pytest.raises(ScanRefused) as refused:
            sent()
        assert refused.value.too_large
        assert list(files.folder().iterdir()) == []

    def test_waits_for_the_commit_before_it_is_pushed(self, pushed: list[int], django_capture_on_commit_callbacks: Any) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            scan = sent()
            assert pushed == []
        assert pushed == [scan.pk]


class TestProcess:
    def test_asks_for_the_unit_with_a_guess(self) -> None:
        scan = sent()
        assert measuring.process(scan.pk) == "asked"
        scan.refresh_from_db()
        assert scan.state == ScanFile.State.ASKED
        assert scan.facts["extents"] == [300, 200, 500]
        assert scan.facts["guess"] == "mm"

    @pytest.mark.parametrize(("unit", "scale"), [("mm", 1.0), ("cm", 10.0), ("in", 25.4)])
    def test_measures_a_box_exactly_in_its_unit(self, unit: str, scale: float) -> None:
        # exact: surface 2(ab + bc + ca), volume abc; inch by NIST SP 811.
        scan = sent(box_stl(30, 20, 50))
        measuring.process(scan.pk)
        answer_scan(scan=scan, unit=unit, up_axis="z", wishes=WISHES)
        assert measuring.process(scan.pk) == "measured"
        takeoff = takeoff_of(scan.piece)
        assert takeoff is not None
        assert takeoff.area.value == pytest.approx(2 * (600 + 1000 + 1500) * scale**2 / 1e6, rel=1e-5)
        assert takeoff.volume.value == pytest.approx(30000 * scale**3 / 1e9, rel=1e-5)

    def test_does_nothing_the_second_time(self) -> None:
        scan = sent()
        measuring.process(scan.pk)
        answer_scan(scan=scan, unit="mm", up_axis="z", wishes=WISHES)
        measuring.process(scan.pk)
        assert measuring.process(scan.pk) == "nothing to do"
        assert TakeoffRecord.objects.count() == 1

    def test_refuses_a_mesh_of_nan_with_a_sentence(self) -> None:
        scan = sent(b"v nan 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "bad.obj")
        measuring.process(scan.pk)
        scan.refresh_from_db()
        assert scan.state == ScanFile.State.REFUSED
        assert scan.reason
        assert takeoff_of(scan.piece) is None

    def test_lets_a_reader_that_lost_its_claim_write_nothing(self) -> None:
        scan = sent()
        mine = measuring.claim(scan.pk)
        assert mine is not None
        ScanFile.objects.filter(pk=scan.pk).update(lease_until_at=timezone.now() - timedelta(seconds=1))
        theirs = measuring.claim(scan.pk)
        assert theirs is not None
        measuring.look(mine)
        scan.refresh_from_db()
        assert scan.state == ScanFile.State.READING

    def test_gives_up_after_three_readers_were_lost(self) -> None:
        scan = sent()
        for _ in range(MOST_ATTEMPTS):
            assert measuring.claim(scan.pk) is not None
            ScanFile.objects.update(lease_until_at=timezone.now() - timedelta(seconds=1))
        assert measuring.claim(scan.pk) is None
        scan.refresh_from_db()
        assert (scan.state, scan.reason) == (ScanFile.State.REFUSED, measuring.GAVE_UP)

    def test_may_be_tried_again(self, pushed: list[int], django_capture_on_commit_callbacks: Any) -> None:
        scan = sent(b"v nan 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "bad.obj")
        measuring.process(scan.pk)
        with django_capture_on_commit_callbacks(execute=True):
            retry_scan(scan=scan)
        scan.refresh_from_db()
        assert scan.state == ScanFile.State.QUEUED
        assert scan.pk in pushed


class TestSweep:
    def test_pushes_what_nobody_took(self, pushed: list[int]) -> None:
        scan = sent()
        assert measuring.sweep() == 0
        with time_machine.travel(timezone.now() + timedelta(minutes=1), tick=False):
            assert measuring.sweep() == 1
        assert pushed[-1] == scan.pk

    def test_leaves_a_scan_alone_while_somebody_reads_it(self) -> None:
        scan = sent()
        measuring.claim(scan.pk)
        with time_machine.travel(timezone.now() + timedelta(minutes=1), tick=False):
            assert measuring.sweep() == 0


class TestAnswerScan:
    def test_refuses_an_unknown_unit(self) -> None:
        scan = sent()
        measuring.process(scan.pk)
        with pytest.raises(JobsError, match="unit"):
            answer_scan(scan=scan, unit="furlong", up_axis="z", wishes=WISHES)

    def test_waits_while_it_is_read(self) -> None:
        scan = sent()
        with pytest.raises(JobsError, match="being read"):
            answer_scan(scan=scan, unit="mm", up_axis="z", wishes=WISHES)


class TestRemoveScan:
    def test_takes_the_file_and_leaves_the_takeoff(self, django_capture_on_commit_callbacks: Any) -> None:
        scan = sent()
        measuring.process(scan.pk)
        answer_scan(scan=scan, unit="mm", up_axis="z", wishes=WISHES)
        measuring.process(scan.pk)
        piece, path = scan.piece, files.path_of(scan)
        with django_capture_on_commit_callbacks(execute=True):
            remove_scan(scan=scan)
        assert not path.exists()
        assert takeoff_of(piece) is not None
