"""Stop a scan that grows too large while it comes in, long before it fills the disk."""

from typing import Any

from jobs.geometry.mesh_limits import MAX_FILE_BYTES
from studio.web import uploading


class BoundedUploadHandler(uploading.BoundedUploadHandler):
    """The bounded upload of a file as large as a scan may be."""

    def __init__(self, request: Any = None, *, most_bytes: int = MAX_FILE_BYTES) -> None:
        super().__init__(request, most_bytes=most_bytes)
