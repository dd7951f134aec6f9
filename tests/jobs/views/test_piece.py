import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser

from jobs.models import GirthReading, Job, ScanFile, TakeoffRecord
from jobs.scans import files as scan_files
from jobs.scans import measuring, uploading
from jobs.views import scans as scan_views
from tests.factories import JobFactory, planned_job
from tests.jobs.geometry.builders import box_mesh
from tests.jobs.geometry.packed_builders import glb
from tests.jobs.meshes import box_stl

pytestmark = pytest.mark.django_db

DRUM = {
    "girths-TOTAL_FORMS": "3", "girths-INITIAL_FORMS": "0", "solids-TOTAL_FORMS": "0", "solids-INITIAL_FORMS": "0",
    "girths-0-girth": "40 cm", "girths-0-along": "250", "girths-1-girth": "400", "girths-2-girth": "",
    "stands-stands_on_board": "on", "stands-flange_width": "40",
}  # fmt: skip


@pytest.fixture
def job() -> Job:
    return JobFactory()


class TestPieceShow:
    def test_offers_both_ways_to_measure(self, owner_client: Browser, job: Job) -> None:
        page = owner_client.get(f"/jobs/{job.number}/piece/").content.decode()
        assert "Measure it with a tape" in page
        assert f"/jobs/{job.number}/piece/scans/add/" in page

    def test_draws_the_section(self, owner_client: Browser) -> None:
        page = owner_client.get(f"/jobs/{planned_job().number}/piece/").content.decode()
        assert "Section through the piece" in page

    def test_puts_an_earlier_measurement_back(self, owner_client: Browser, job: Job) -> None:
        address = f"/jobs/{job.number}/piece/tape/"
        owner_client.post(address, {**DRUM, "action": "keep"})
        owner_client.post(address, {**DRUM, "girths-1-girth": "300", "action": "keep"})
        old = TakeoffRecord.objects.order_by("pk")[0]
        answer = owner_client.post(f"/jobs/{job.number}/piece/takeoffs/{old.pk}/use/", follow=True)
        assert "in use again" in answer.content.decode()
        assert GirthReading.objects.get(piece=job.piece, position=2).girth_mm == 400


class TestTapeShow:
    def test_keeps_readings_in_any_unit(self, owner_client: Browser, job: Job) -> None:
        answer = owner_client.post(f"/jobs/{job.number}/piece/tape/", {**DRUM, "action": "keep"})
        assert answer["Location"] == f"/jobs/{job.number}/piece/"
        # exact: C h + C²/4π for a drum of 400 mm girth, 250 mm high, standing on a board.
        assert TakeoffRecord.objects.get().area_m2 == pytest.approx(0.112732, rel=1e-4)
        assert [row.girth_mm for row in GirthReading.objects.all()] == [400, 400]

    def test_shows_figures_without_keeping_them(self, owner_client: Browser, job: Job) -> None:
        answer = owner_client.post(f"/jobs/{job.number}/piece/tape/", DRUM, headers={"HX-Request": "true"})
        page = answer.content.decode()
        assert "<html" not in page
        assert "Surface to coat" in page
        assert not TakeoffRecord.objects.exists()

    def test_strikes_the_old_figure_through(self, owner_client: Browser) -> None:
        job = planned_job()
        address = f"/jobs/{job.number}/piece/tape/"
        opened = owner_client.get(address)
        posted = {**DRUM, "baseline": opened.context["baseline"]}
        page = owner_client.post(address, posted, headers={"HX-Request": "true"}).content.decode()
        assert '<s class="was">' in page

    @pytest.mark.parametrize(
        ("action", "girths"),
        [
            ("add-girths", ["40 cm", "400", "", ""]),
            ("remove-girths-0", ["400", ""]),
            ("up-girths-1", ["400", "40 cm", ""]),
            ("down-girths-0", ["400", "40 cm", ""]),
            ("up-girths-0", ["40 cm", "400", ""]),
            ("remove-girths-99", ["40 cm", "400", ""]),
            ("explode-girths-1", ["40 cm", "400", ""]),
        ],
    )
    def test_changes_rows_without_losing_what_was_typed(
        self, owner_client: Browser, job: Job, action: str, girths: list[str]
    ) -> None:
        answer = owner_client.post(f"/jobs/{job.number}/piece/tape/", {**DRUM, "action": action})
        shown = [form["girth"].value() or "" for form in answer.context["editor"].girths]
        assert shown == girths
        assert answer.status_code == 200

    def test_adds_a_solid_row_that_is_ready_to_fill_in(self, owner_client: Browser, job: Job) -> None:
        answer = owner_client.post(f"/jobs/{job.number}/piece/tape/", {**DRUM, "action": "add-solids"})
        assert len(answer.context["editor"].solids.forms) == 1
        assert answer.context["takeoff"] is not None

    @pytest.mark.parametrize(
        ("fault", "sentence"),
        [
            ({"girths-0-girth": "NaN"}, "no amount"),
            ({"girths-0-girth": "1e400"}, "no amount"),
            ({"girths-0-girth": "9" * 50}, "far too large"),
            ({"girths-0-girth": "2 kg"}, "measures"),
            ({"girths-0-girth": "-3"}, "between"),
            ({"girths-0-along": ""}, "distance along the surface"),
            ({"girths-0-girth": "x" * 1_000_000}, "too long"),
            ({"stands-texture_height": "2"}, "ridge to ridge"),
        ],
    )
    def test_says_what_is_wrong_and_keeps_the_rest(
        self, owner_client: Browser, job: Job, fault: dict[str, str], sentence: str
    ) -> None:
        answer = owner_client.post(f"/jobs/{job.number}/piece/tape/", {**DRUM, **fault, "action": "keep"})
        page = answer.content.decode()
        assert answer.status_code == 422
        assert sentence in page
        assert 'value="400"' in page
        assert not TakeoffRecord.objects.exists()

    def test_wants_every_length_of_a_solid(self, owner_client: Browser, job: Job) -> None:
        solid = {"solids-TOTAL_FORMS": "1", "solids-0-shape": "cylinder", "solids-0-sense": "added", "solids-0-count": "1",
                 "solids-0-length": "30"}  # fmt: skip
        answer = owner_client.post(f"/jobs/{job.number}/piece/tape/", {**DRUM, **solid, "action": "keep"})
        assert "Give the height of the cylinder" in answer.content.decode()

    @pytest.mark.parametrize("total", ["9999999999", "-1", "NaN", "", "1e9"])
    def test_survives_counters_that_lie(self, owner_client: Browser, job: Job, total: str) -> None:
        answer = owner_client.post(f"/jobs/{job.number}/piece/tape/", {**DRUM, "girths-TOTAL_FORMS": total})
        assert answer.status_code == 200


class TestScans:
    @pytest.fixture(autouse=True)
    def _no_worker(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(measuring, "push", lambda scan_id: True)

    def _send(self, browser: Browser, job: Job, name: str = "box.stl", content: bytes = b"") -> Any:
        upload = SimpleUploadedFile(name, content or box_stl(300, 200, 500))
        return browser.post(f"/jobs/{job.number}/piece/scans/add/", {"file": upload})

    def test_go_from_the_file_to_the_takeoff(self, owner_client: Browser, job: Job) -> None:
        answer = self._send(owner_client, job)
        scan = ScanFile.objects.get()
        address = f"/jobs/{job.number}/piece/scans/{scan.pk}/"
        assert answer["Location"] == address
        assert "hx-trigger" in owner_client.get(address).content.decode()
        measuring.process(scan.pk)
        asked = owner_client.get(address).content.decode()
        assert "says nothing about its unit" in asked
        # exact: box 300 × 200 × 500, in millimetres 0.62 m² all round and 30 L, in centimetres a hundred and a thousand times it
        plain = asked.replace("\xa0", " ")
        assert "millimetres: it is 500 mm at its longest, has 0.62 m² of surface and holds 30 L" in plain
        assert "has 62 m² of surface and holds 30,000 L" in plain
        owner_client.post(f"{address}measure/", {"unit": "mm", "up_axis": "z", "stands_on_board": "on"})
        measuring.process(scan.pk)
        assert "See the takeoff" in owner_client.get(address).content.decode()
        # exact: box 300 × 200 × 500 standing on a board: four sides and the top.
        assert TakeoffRecord.objects.get().area_m2 == pytest.approx((2 * 0.15 + 2 * 0.1 + 0.06), rel=1e-5)

    def test_show_what_is_known_while_walls_are_measured(self, owner_client: Browser, job: Job) -> None:
        self._send(owner_client, job)
        scan = ScanFile.objects.get()
        address = f"/jobs/{job.number}/piece/scans/{scan.pk}/"
        ScanFile.objects.update(state=ScanFile.State.READING, unit="mm", facts={"step": "read", "faces": 12})
        assert "The file is read" in owner_client.get(address).content.decode()
        found = {"area_m2": 0.56, "volume_m3": 0.03}
        ScanFile.objects.update(facts={"step": "surface", "faces": 12, "found": found})
        page = owner_client.get(address).content.decode()
        assert "Now walls over it and inside it are being measured" in page
        assert "Surface to coat" in page
        assert "hx-trigger" in page
        assert "See the takeoff so far" in page

    def test_put_in_what_the_file_says_itself(self, owner_client: Browser, job: Job) -> None:
        self._send(owner_client, job, "box.glb", glb(*box_mesh(0.3, 0.5, 0.2)))
        scan = ScanFile.objects.get()
        address = f"/jobs/{job.number}/piece/scans/{scan.pk}/"
        measuring.process(scan.pk)
        asked = owner_client.get(address).content.decode()
        assert "Files of this kind are in metres, with y up." in asked
        assert "says nothing about its unit" not in asked
        assert re.search(r'<input[^>]*name="unit"[^>]*value="m"[^>]*checked', asked)
        assert re.search(r'<option value="y" selected', asked)
        owner_client.post(f"{address}measure/", {"unit": "m", "up_axis": "y", "stands_on_board": "on"})
        measuring.process(scan.pk)
        # exact: 300 × 200 on the board, 500 tall.
        assert TakeoffRecord.objects.get().area_m2 == pytest.approx((2 * 0.15 + 2 * 0.1 + 0.06), rel=1e-5)

    def test_name_every_kind_that_can_be_sent(self, owner_client: Browser, job: Job) -> None:
        page = owner_client.get(f"/jobs/{job.number}/piece/scans/add/").content.decode()
        assert "STL, OBJ, PLY, GLB, glTF, 3MF or OFF" in page
        assert 'accept=".stl,.obj,.ply,.glb,.gltf,.3mf,.off"' in page

    def test_refuse_a_foreign_file_with_its_reason(self, owner_client: Browser, job: Job) -> None:
        answer = self._send(owner_client, job, "box.stl", b"%PDF-1.7\n" + b"x" * 300)
        assert answer.status_code == 422
        assert "PDF document" in answer.content.decode()
        assert not ScanFile.objects.exists()

    def test_refuse_an_empty_file(self, owner_client: Browser, job: Job) -> None:
        upload = SimpleUploadedFile("box.stl", b"")
        answer = owner_client.post(f"/jobs/{job.number}/piece/scans/add/", {"file": upload})
        assert answer.status_code == 422
        assert "empty" in answer.content.decode()

    def test_stop_an_upload_while_it_grows_too_large(
        self, owner_client: Browser, job: Job, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        handler = uploading.BoundedUploadHandler
        monkeypatch.setattr(scan_views, "BoundedUploadHandler", lambda request: handler(request, most_bytes=400))
        answer = self._send(owner_client, job)
        assert answer.status_code == 413
        assert "larger than" in answer.content.decode()
        assert list(scan_files.folder().iterdir()) == []

    def test_do_not_read_what_is_announced_as_too_large(
        self, owner_client: Browser, job: Job, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(scan_views, "MAX_FILE_BYTES", 100)
        monkeypatch.setattr(scan_views, "FORM_BYTES", 100)
        assert self._send(owner_client, job).status_code == 413

    def test_check_the_token_against_forged_requests(self, owner_client: Browser, job: Job) -> None:
        strict = Browser(enforce_csrf_checks=True)
        strict.cookies = owner_client.cookies
        assert self._send(strict, job).status_code == 403
        assert not ScanFile.objects.exists()

    def test_belong_to_their_job_alone(self, owner_client: Browser, job: Job) -> None:
        self._send(owner_client, job)
        other = JobFactory()
        scan = ScanFile.objects.get()
        assert owner_client.get(f"/jobs/{other.number}/piece/scans/{scan.pk}/").status_code == 404
