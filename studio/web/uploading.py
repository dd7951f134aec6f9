"""Stop an upload that grows too large while it comes in, long before it fills the disk."""

from typing import Any

from django.core.files.uploadhandler import StopUpload, TemporaryFileUploadHandler


class BoundedUploadHandler(TemporaryFileUploadHandler):
    """Write an upload to a temporary file and drop the connection past the limit; the view reads `too_large`."""

    def __init__(self, request: Any = None, *, most_bytes: int) -> None:
        super().__init__(request)
        self.most_bytes = most_bytes
        self.received = 0
        self.too_large = False

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """Count what came in, over all files of the request."""
        self.received += len(raw_data)
        if self.received > self.most_bytes:
            self.too_large = True
            self.file.close()
            raise StopUpload(connection_reset=True)
        return super().receive_data_chunk(raw_data, start)
