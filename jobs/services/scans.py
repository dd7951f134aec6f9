"""Scans of a piece: taking one in, answering what its file does not say, trying again, letting it go."""

from collections.abc import Mapping
from functools import partial
from typing import Any

from django.core.files.base import File
from django.db import transaction

from jobs.errors import JobsError
from jobs.geometry.mesh_units import MM_PER_UNIT
from jobs.models import Piece, ScanFile
from jobs.scans import files, measuring, news
from studio.models import Account

MOST_SCANS = 20
State = ScanFile.State


def add_scan(*, piece: Piece, upload: "File[bytes]", by: Account | None) -> ScanFile:
    """Keep an uploaded mesh under a random name and let the worker look at it; raises ScanRefused."""
    if piece.scans.count() >= MOST_SCANS:
        raise JobsError(f"{MOST_SCANS} scans of this piece are kept already; remove one that is no longer needed first.")
    stored = files.store(upload)
    try:
        with transaction.atomic():
            scan = ScanFile.objects.create(
                piece=piece,
                uploaded_by=by,
                original_name=(upload.name or "scan")[:200],
                stored_name=stored.stored_name,
                file_format=stored.file_format,
                size_bytes=stored.size_bytes,
                sha256=stored.sha256,
            )
            measuring.queue(scan)
    except BaseException:
        files.remove(stored.stored_name)
        raise
    return scan


@transaction.atomic
def answer_scan(*, scan: ScanFile, unit: str, up_axis: str, wishes: Mapping[str, Any]) -> ScanFile:
    """Say what the file does not: its unit, which way is up, how the piece stands; then let it be measured."""
    if unit not in MM_PER_UNIT:
        raise JobsError("Choose the unit of the file.")
    answered = ScanFile.objects.filter(pk=scan.pk, state__in=[State.ASKED, State.REFUSED, State.READY]).update(
        unit=unit, up_axis=up_axis, wishes=dict(wishes), state=State.QUEUED, reason="", attempts=0
    )
    if answered:
        news.forget(scan.pk)
    else:
        raise JobsError("This scan is being read already; wait until it is done.")
    measuring.queue(scan)
    return scan


@transaction.atomic
def retry_scan(*, scan: ScanFile) -> ScanFile:
    """Let the worker try a refused scan again."""
    again = ScanFile.objects.filter(pk=scan.pk, state=State.REFUSED).update(state=State.QUEUED, reason="", attempts=0)
    if again:
        measuring.queue(scan)
    return scan


@transaction.atomic
def remove_scan(*, scan: ScanFile) -> None:
    """Remove a scan and its file; takeoffs measured from it stay."""
    stored_name = scan.stored_name
    scan.delete()
    transaction.on_commit(partial(files.remove, stored_name))
