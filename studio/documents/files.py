"""Where finished documents lie, and how one gets there whole or not at all."""

import contextlib
import hashlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from studio.documents.claims import held
from studio.documents.registry import RenderedFile
from studio.models import Document

ENDINGS = {"application/pdf": ".pdf", "text/csv": ".csv", "text/calendar": ".ics", "application/xml": ".xml"}
LEFTOVER_AGE_S = 3600


def folder() -> Path:
    """Return the folder of finished documents, made when it is missing."""
    path = Path(settings.DOCUMENTS_DIR)
    path.mkdir(parents=True, exist_ok=True)
    return path


def path_of(document: Document) -> Path:
    """Return where a ready document's file lies."""
    return folder() / Path(document.stored_name).name


@contextlib.contextmanager
def _written(content: bytes, name: str) -> Iterator[Path]:
    """Write to a temporary file that reached the disk; remove it unless it was moved to its place."""
    path = folder() / f".{name}.part"
    try:
        with path.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        yield path
    finally:
        path.unlink(missing_ok=True)


def _reach_disk(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def finish(document: Document, rendered: RenderedFile) -> bool:
    """Put the file in its place and close the row, if the claim still holds; False when it was lost.

    A crash between the two leaves the row to be rendered again over the same name, so there is never a second file.
    """
    ending = ENDINGS.get(rendered.content_type.partition(";")[0], ".bin")
    stored_name = f"{document.public_id}{ending}"
    with _written(rendered.content, f"{document.public_id}-{document.token}") as temporary, transaction.atomic():
        done = Document.objects.filter(held(document)).update(
            state=Document.State.READY,
            step="",
            token=None,
            lease_until_at=None,
            file_name=Path(rendered.filename).name[:200],
            stored_name=stored_name,
            content_type=rendered.content_type,
            size_bytes=len(rendered.content),
            sha256=hashlib.sha256(rendered.content).hexdigest(),
            finished_at=timezone.now(),
        )
        if done:
            temporary.replace(folder() / stored_name)
            _reach_disk(folder())
    return bool(done)


def remove_leftovers() -> int:
    """Remove temporary files of renderers that were killed; return how many."""
    removed = 0
    for path in folder().glob(".*.part"):
        with contextlib.suppress(FileNotFoundError):
            if time.time() - path.stat().st_mtime > LEFTOVER_AGE_S:
                path.unlink()
                removed += 1
    return removed
