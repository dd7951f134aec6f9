"""PDFs: tagged, the same bytes for the same input, closed to the network and to foreign files."""

import http.server
import io
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from pypdf import PdfReader

from studio.bootstrap_system import pango_advice
from studio.documents import pdf, press
from studio.documents.errors import DocumentError, PressMissingError, TooLongToPrintError
from studio.documents.pdf import render_pdf, studio_logo
from studio.documents.press import PressFile, PressJob, RefusedAddressError, asset, from_json, to_json

PNG = (
    b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x02\x00\x00\x00\x90wS\xde"
    b"\x00\x00\x00\x0cIDATx\x9cc\xf8\xcf\xc0\x00\x00\x03\x01\x01\x00\xc9\xfe\x92\xef\x00\x00\x00\x00IEND\xaeB`\x82"
)


def job(**values: Any) -> PressJob:
    return PressJob(
        **{
            "html": "<p>x</p>",
            "paper": "A4",
            "pdf_variant": "pdf/ua-1",
            "identifier": b"0" * 16,
            "static_folders": pdf.static_folders(),
            "stylesheets": (),
            **values,
        }
    )


@pytest.fixture
def printed() -> Callable[..., PdfReader]:
    """Print a body of HTML."""

    def make(body: str, **values: Any) -> PdfReader:
        html = f'<!doctype html><html lang="en"><head><title>Test</title></head><body>{body}</body></html>'
        with patch.object(pdf, "render_to_string", return_value=html):
            return PdfReader(io.BytesIO(render_pdf("x.html", {}, **{"paper": "A4", **values})))

    return make


@pytest.fixture
def server() -> Iterator[tuple[str, list[str]]]:
    """Listen on loopback and note every request."""
    seen: list[str] = []

    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            seen.append(self.path)
            self.send_response(404)
            self.end_headers()

        def log_message(self, *_: Any) -> None:
            return

    listening = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=listening.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{listening.server_port}", seen
    listening.shutdown()
    listening.server_close()
    thread.join()


class TestRenderPdf:
    def test_prints_text_in_our_own_font_and_tags_it(self, printed: Callable[..., PdfReader]) -> None:
        reader = printed("<h1>Cure schedule</h1><p>Coat 1: 412 g</p>")
        assert "Coat 1: 412 g" in reader.pages[0].extract_text()
        assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
        assert reader.trailer["/Root"]["/Lang"] == "en"
        fonts = reader.pages[0]["/Resources"]["/Font"].values()
        assert {font.get_object()["/BaseFont"].split("+")[1].rstrip(",") for font in fonts} <= {
            "Source-Sans-3",
            "Source-Sans-3-Bold",
            "Source-Sans-3-Semi-Bold",
        }

    # published: ISO 216 (A4 is 210 mm by 297 mm) and ANSI Y14.1 (letter is 8.5 in by 11 in); a point is 1/72 in.
    @pytest.mark.parametrize(("paper", "width_pt", "height_pt"), [("A4", 595.28, 841.89), ("Letter", 612, 792)])
    def test_uses_the_paper(self, printed: Callable[..., PdfReader], paper: str, width_pt: float, height_pt: float) -> None:
        box = printed("<p>x</p>", paper=paper).pages[0].mediabox
        assert float(box.width) == pytest.approx(width_pt, abs=0.1)
        assert float(box.height) == pytest.approx(height_pt, abs=0.1)

    def test_gives_the_same_bytes_for_the_same_input(self) -> None:
        html = '<html lang="en"><head><title>T</title></head><body><p>Some <b>bold</b> words</p></body></html>'
        attached = (PressFile(name="quote.xml", content=b"<quote/>"),)
        with patch.object(pdf, "render_to_string", return_value=html):
            first, second = (render_pdf("x", {}, paper="A4", pdf_variant="pdf/a-3a", attachments=attached) for _ in range(2))
        assert first == second

    def test_carries_an_attachment(self, printed: Callable[..., PdfReader]) -> None:
        reader = printed("<p>x</p>", pdf_variant="pdf/a-3a", attachments=[PressFile(name="quote.xml", content=b"<quote/>")])
        assert reader.attachments == {"quote.xml": [b"<quote/>"]}

    def test_shows_a_picture_that_was_handed_over(self, printed: Callable[..., PdfReader]) -> None:
        reader = printed('<img src="studio://image/logo" alt="Our mark">', images={"logo": PNG})
        assert len(reader.pages[0].images) == 1

    def test_loads_nothing_from_the_network_or_from_files(
        self, printed: Callable[..., PdfReader], server: tuple[str, list[str]], tmp_path: Path
    ) -> None:
        address, seen = server
        secret = tmp_path / "secret.txt"
        secret.write_text("the safe is behind the clock")
        reader = printed(
            f"""<link rel="stylesheet" href="{address}/a.css"><style>@import "{address}/b.css";
            @font-face {{ font-family: F; src: url("{address}/c.ttf") }}
            body {{ font-family: F; background: url("{address}/d.png") }} p::before {{ content: url("file://{secret}") }}</style>
            <img src="{address}/e.png" alt="e"><object data="{address}/f.svg"></object><embed src="file://{secret}">
            <svg><image href="{address}/g.png" width="9" height="9"/><use href="{address}/h.svg#x"/></svg>
            <link rel="attachment" href="file://{secret}"><a rel="attachment" href="{address}/i">i</a><p>still here</p>"""
        )
        assert seen == []
        assert "still here" in reader.pages[0].extract_text()
        assert not any(b"behind the clock" in content for contents in reader.attachments.values() for content in contents)

    def test_refuses_what_is_too_long_before_laying_it_out(self, printed: Callable[..., PdfReader]) -> None:
        with pytest.raises(TooLongToPrintError, match="Split it"):
            printed("x" * (pdf.LONGEST_HTML_BYTES + 1))

    def test_stops_a_layout_that_never_ends(self, printed: Callable[..., PdfReader], settings: Any) -> None:
        settings.DOCUMENT_PRESS_LIMIT_S = 0.05
        with pytest.raises(TooLongToPrintError, match="too long"):
            printed("<p>x</p>")

    def test_names_the_command_when_pango_is_missing(self, printed: Callable[..., PdfReader]) -> None:
        with patch.object(pdf.subprocess, "run") as run:
            run.return_value.returncode, run.return_value.stdout = press.NO_PRESS_EXIT, b""
            run.return_value.stderr = b"cannot load library 'libpango-1.0-0'"
            with pytest.raises(PressMissingError) as caught:
                printed("<p>x</p>")
        assert pango_advice() in str(caught.value)

    def test_says_a_failure_of_the_layout(self, printed: Callable[..., PdfReader]) -> None:
        with pytest.raises(DocumentError, match="layout stopped"):
            printed("<p>x</p>", pdf_variant="pdf/unknown")


class TestPressProcess:
    def test_leaves_with_its_own_code_when_a_library_cannot_be_loaded(self, capsys: pytest.CaptureFixture[str]) -> None:
        with (
            patch.object(press, "_bound"),
            patch.object(press, "press", side_effect=OSError("cannot load library 'libpango-1.0-0': error 0x7e")),
            patch.object(press.sys, "stdin", io.TextIOWrapper(io.BytesIO(to_json(job())))),
        ):
            assert press.main() == press.NO_PRESS_EXIT
        assert "libpango" in capsys.readouterr().err

    def test_reads_back_the_job_that_was_written(self) -> None:
        written = job(images={"logo": PNG}, attachments=(PressFile(name="a", content=b"\x00\xff"),), stylesheets=("a.css",))
        assert from_json(to_json(written)) == written

    def test_starts_without_django(self) -> None:
        import subprocess
        import sys

        code = "import sys, studio.documents.press; print([name for name in sys.modules if name.startswith('django')])"
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        assert done.stdout.strip() == "[]"


class TestAsset:
    @pytest.mark.parametrize(
        "url",
        [
            "http://example.com/a.png",
            "https://example.com/",
            "file:///etc/passwd",
            "ftp://example.com/a",
            "data:text/plain,hello",
            "javascript:alert(1)",
            "//example.com/a",
            "/etc/passwd",
            "studio://static/../../settings/base.py",
            "studio://static/%2e%2e/%2e%2e/settings/base.py",
            "studio://static//etc/passwd",
            "studio://static/",
            "studio://static/missing.css",
            "studio://font/../../../etc/passwd",
            "studio://image/unknown",
            "studio://files/documents",
            "studio:static/studio/css/print.css",
        ],
    )
    def test_refuses(self, url: str) -> None:
        with pytest.raises(RefusedAddressError):
            asset(url, job())

    def test_serves_the_print_styles_and_the_fonts(self) -> None:
        content, content_type = asset("studio://static/studio/css/print.css", job())
        assert content_type == "text/css"
        assert b"@page" in content
        assert asset("studio://font/upright", job())[1] == "font/ttf"

    def test_serves_pictures_by_their_first_bytes_only(self) -> None:
        assert asset("studio://image/logo", job(images={"logo": PNG})) == (PNG, "image/png")
        with pytest.raises(RefusedAddressError, match="PNG, JPEG or WebP"):
            asset("studio://image/logo", job(images={"logo": b"<svg onload='x'/>"}))


@pytest.mark.django_db
class TestStudioLogo:
    def test_is_absent_without_one_and_when_its_file_is_gone(self) -> None:
        from studio.models import StudioProfile

        assert studio_logo() == {}
        StudioProfile.objects.filter(pk=1).update(logo="logo/gone.png")
        assert studio_logo() == {}

    def test_is_read_from_the_profile(self) -> None:
        from django.core.files.base import ContentFile

        from studio.models import StudioProfile

        profile = StudioProfile.objects.current()
        profile.logo.save("mark.png", ContentFile(PNG))
        assert studio_logo() == {"logo": PNG}


class TestLongPrint:
    def test_of_a_thousand_lines_stays_inside_the_bounds(self, printed: Callable[..., PdfReader]) -> None:
        lines = "".join(f"<tr><td>Line {number}</td><td>{number / 7:.2f}</td></tr>" for number in range(1000))
        reader = printed(f"<table>{lines}</table>")
        assert "Line 999" in reader.pages[-1].extract_text()
        assert len(reader.pages) > 10
