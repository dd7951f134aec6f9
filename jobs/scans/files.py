"""Where scans lie: under random names in a folder of their own, never under the name that they came with."""

import hashlib
import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.files.base import File

from jobs.errors import ScanRefused
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_files import read_header, refuse_mismatched_name
from jobs.geometry.mesh_limits import MAX_FILE_BYTES
from jobs.models import ScanFile

TOO_LARGE = (
    f"The file is larger than {MAX_FILE_BYTES / 1e6:.0f} MB. Reduce the number of triangles in the scanning program "
    "(half a million is plenty), or export it as binary STL, and send that file."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredScan:
    """A scan on the disk: its own name there, what it is, its size and its fingerprint."""

    stored_name: str
    file_format: str
    size_bytes: int
    sha256: str


def folder() -> Path:
    """Return the folder of scans, made when it is missing."""
    path = Path(settings.MEDIA_ROOT) / "scans"
    path.mkdir(parents=True, exist_ok=True)
    return path


def path_of(scan: ScanFile) -> Path:
    """Return where a scan's file lies."""
    return folder() / Path(scan.stored_name).name


def store(upload: "File[bytes]") -> StoredScan:
    """Write an upload to the disk and check by its first bytes that it is a mesh; refused files leave nothing behind."""
    stored_name = secrets.token_hex(16)
    path = folder() / stored_name
    try:
        size, fingerprint = _write(upload, path)
        with path.open("rb") as stream:
            header = read_header(stream, size)
        refuse_mismatched_name(upload.name or "", header.format)
    except GeometryError as error:
        path.unlink(missing_ok=True)
        raise ScanRefused(str(error)) from error
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return StoredScan(stored_name=stored_name, file_format=header.format.value, size_bytes=size, sha256=fingerprint)


def _write(upload: "File[bytes]", path: Path) -> tuple[int, str]:
    digest, size = hashlib.sha256(), 0
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        for chunk in upload.chunks():
            size += len(chunk)
            if size > MAX_FILE_BYTES:
                raise ScanRefused(TOO_LARGE, too_large=True)
            digest.update(chunk)
            file.write(chunk)
        file.flush()
        os.fsync(file.fileno())
    return size, digest.hexdigest()


def remove(stored_name: str) -> None:
    """Take a scan's file off the disk."""
    (folder() / Path(stored_name).name).unlink(missing_ok=True)
