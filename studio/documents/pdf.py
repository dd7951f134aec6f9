"""Make a PDF from a template: the template here, the layout in the press."""

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from studio.bootstrap_system import pango_advice
from studio.documents import press
from studio.documents.errors import DocumentError, PressMissingError, TooLongToPrintError
from studio.documents.press import PressFile, PressJob
from studio.models import StudioProfile

LONGEST_HTML_BYTES = 4_000_000
PRINT_CSS = ("studio/css/print.css",)
# The font subsetter stamps the hour it ran at, and sets are walked in hash order; both are fixed here.
SAME_BYTES = {"SOURCE_DATE_EPOCH": "946684800", "PYTHONHASHSEED": "0"}
# Signs without a shape, which no font has: a print would show boxes for them, and readers of its text stumble.
_SHAPELESS = [*range(0x09), 0x0B, 0x0C, *range(0x0E, 0x20), *range(0x7F, 0xA0), 0xFFFE, 0xFFFF]
PRINTABLE = {**dict.fromkeys(_SHAPELESS, None), 0x2028: "\n", 0x2029: "\n"}
TOO_LONG = "This print is too long to lay out. Split it, or ask for fewer lines, and try again."


@cache
def static_folders() -> tuple[str, ...]:
    """Return the folders of this program's own static files."""
    own = Path(settings.BASE_DIR).resolve()
    found = [Path(storage.location) for finder in finders.get_finders() for storage in getattr(finder, "storages", {}).values()]
    folders = {folder.resolve() for folder in found if folder.resolve().parent.parent == own}
    return tuple(sorted(map(str, folders)))


def studio_logo() -> dict[str, bytes]:
    """Return the studio's logo for `images=`, if it has one; templates show it as `studio://image/logo`."""
    logo = StudioProfile.objects.current().logo
    if not logo:
        return {}
    try:
        with logo.open("rb") as file:
            return {"logo": file.read()}
    except OSError:
        return {}


def render_pdf(
    template: str,
    context: Mapping[str, Any],
    *,
    paper: str,
    pdf_variant: str = "pdf/ua-1",
    attachments: Iterable[PressFile] = (),
    images: Mapping[str, bytes] | None = None,
) -> bytes:
    """Lay out a template as a PDF; the same input gives the same bytes.

    Pages are styled by studio/css/print.css. A template may load `studio://static/…` (this program's static files) and
    `studio://image/<name>` (from `images`), nothing else. Raises DocumentError with what a person can change.
    """
    html = render_to_string(template, {**context, "paper": paper}).translate(PRINTABLE)
    if len(html.encode()) > LONGEST_HTML_BYTES:
        raise TooLongToPrintError(TOO_LONG)
    job = PressJob(
        html=html,
        paper=paper,
        pdf_variant=pdf_variant,
        identifier=hashlib.sha256(html.encode()).digest()[:16],
        static_folders=static_folders(),
        stylesheets=PRINT_CSS,
        images=dict(images or {}),
        attachments=tuple(attachments),
    )
    return _run(job)


def _run(job: PressJob) -> bytes:
    """Run the press in a child process and turn its failures into sentences."""
    try:
        done = subprocess.run(  # noqa: S603 - our own interpreter and module
            [sys.executable, "-m", press.__name__],
            input=press.to_json(job),
            capture_output=True,
            timeout=settings.DOCUMENT_PRESS_LIMIT_S,
            check=False,
            cwd=settings.BASE_DIR,
            env={**os.environ, **SAME_BYTES},
        )
    except subprocess.TimeoutExpired:
        raise TooLongToPrintError(TOO_LONG) from None
    if done.returncode == 0 and done.stdout.startswith(b"%PDF"):
        return done.stdout
    tail = done.stderr.decode(errors="replace").strip().splitlines()[-1:] or ["no message"]
    if done.returncode == press.NO_PRESS_EXIT:
        raise PressMissingError(f"Prints need the Pango text libraries, which this machine lacks. {pango_advice()}")
    if done.returncode < 0 or "MemoryError" in tail[0]:
        raise TooLongToPrintError(TOO_LONG)
    raise DocumentError(f"The page layout stopped: {tail[0]}")
