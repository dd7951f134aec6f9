"""How long a printed quote takes beside a plain table of as many rows laid out by the same engine in the same run."""

import io
import time
from collections.abc import Callable

import pytest
from pypdf import PdfReader

from costing.printing import render_quote
from costing.services.quotes import freeze_quote
from jobs.models import Job
from studio.models import Account, Document
from tests.costing.rows import make_job
from tests.factories import QuoteFactory

PLAIN = """
import sys
from weasyprint import HTML
rows = "".join(f"<tr><td>Casting no. {n}</td><td>1</td><td>1.00</td><td>1.00</td></tr>" for n in range(int(sys.argv[1])))
HTML(string=f"<table>{rows}</table>").write_pdf(sys.argv[2])
"""


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def plain_table(rows: int, path: str) -> float:
    """Lay out a plain table in a process of its own, as the press does."""
    import subprocess
    import sys

    return seconds(lambda: subprocess.run([sys.executable, "-c", PLAIN, str(rows), path], check=True, capture_output=True))


def printed(pk: int) -> bytes:
    return render_quote(Document(kind="quote", subject_id=pk, title="quote")).content


@pytest.mark.benchmark
@pytest.mark.django_db
class TestQuotePrintSpeed:
    def test_three_pages(self, account: Account, tmp_path: object, capsys: pytest.CaptureFixture[str]) -> None:
        quote = freeze_quote(job=make_job(), by=account)
        times = [seconds(lambda: printed(quote.pk)) for _ in range(3)]
        pages = len(PdfReader(io.BytesIO(printed(quote.pk))).pages)
        peer = plain_table(20, f"{tmp_path}/plain.pdf")
        with capsys.disabled():
            said = f"{min(times):.2f} s best of 3; {min(times) / peer:.1f} × a plain table ({peer:.2f} s)"
            print(f"\na quote of {pages} pages: {said}")  # noqa: T201
        assert pages == 3

    def test_a_thousand_lines(self, db: None, tmp_path: object, capsys: pytest.CaptureFixture[str]) -> None:
        job: Job = make_job()
        quote = QuoteFactory(job=job, lines=999)
        content = b""

        def work() -> None:
            nonlocal content
            content = printed(quote.pk)

        spent, peer = seconds(work), plain_table(1_000, f"{tmp_path}/plain.pdf")
        pages = len(PdfReader(io.BytesIO(content)).pages)
        with capsys.disabled():
            print(f"\na quote of 1,000 lines, {pages} pages: {spent:.1f} s; {spent / peer:.1f} × a plain table ({peer:.1f} s)")  # noqa: T201
        assert pages > 20
