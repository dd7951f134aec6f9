"""The zip archive of a 3MF file: bounds on what it holds, and its parts unpacked in small pieces."""

import struct
import zipfile
import zlib
from collections.abc import Iterator
from typing import BinaryIO

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_UNPACKED_BYTES, MAX_UNPACKED_RATIO, MAX_ZIP_ENTRIES

_END, _END_64 = b"PK\x05\x06", b"PK\x06\x06"
_TAIL_BYTES = 66_000
_MOST_LIST_BYTES = 2_000_000
_PIECE_BYTES = 1 << 16
# Below this a part may be as tightly packed as it likes.
_FREE_BYTES = 5_000_000
DAMAGED = "The 3MF file's archive is damaged: it was cut short or changed. Export the scan again."


class Package:
    """An opened archive; names are matched without regard to case, as the format has it."""

    def __init__(self, stream: BinaryIO) -> None:
        _refuse_long_list(stream)
        try:
            self._archive = zipfile.ZipFile(stream)
        except (zipfile.BadZipFile, ValueError, NotImplementedError, struct.error, UnicodeDecodeError, OSError):
            raise GeometryError(DAMAGED) from None
        entries = self._archive.infolist()
        if len(entries) > MAX_ZIP_ENTRIES:
            raise _too_many()
        self._entries = {entry.filename.lstrip("/").lower(): entry for entry in entries}
        if len(self._entries) != len(entries):
            raise GeometryError("The 3MF file's archive holds a name twice: it is damaged. Export the scan again.")
        self._unpacked = 0

    def holds(self, name: str) -> bool:
        """Say whether a part is there."""
        return name.lstrip("/").lower() in self._entries

    def pieces(self, name: str) -> Iterator[bytes]:
        """Unpack a part in small pieces.

        Raises
        ------
        GeometryError
            As soon as more comes out than is allowed, whatever the archive says of its sizes.
        """
        entry = self._entries.get(name.lstrip("/").lower())
        if entry is None:
            raise GeometryError(f"The 3MF file lacks its part “{name[:60]}”: it is damaged. Export the scan again.")
        if entry.flag_bits & 1:
            raise GeometryError("The 3MF file is locked with a password. Export it without one.")
        most, unpacked = max(_FREE_BYTES, MAX_UNPACKED_RATIO * entry.compress_size), 0
        try:
            with self._archive.open(entry) as part:
                while piece := part.read(_PIECE_BYTES):
                    unpacked += len(piece)
                    self._unpacked += len(piece)
                    if unpacked > most or self._unpacked > MAX_UNPACKED_BYTES:
                        raise GeometryError(
                            f"The 3MF file unpacks to more than {min(most, MAX_UNPACKED_BYTES) / 1e6:.0f} MB, more than a mesh "
                            "of its size can. Export the scan as binary STL."
                        )
                    yield piece
        except GeometryError:
            raise
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, struct.error, OSError):
            raise GeometryError(DAMAGED) from None


def _refuse_long_list(stream: BinaryIO) -> None:
    """Look at what the archive says of its list of names before it is read into memory."""
    size = stream.seek(0, 2)
    stream.seek(max(0, size - _TAIL_BYTES))
    tail = stream.read(_TAIL_BYTES)
    at = tail.rfind(_END)
    if at < 0 or at + 22 > len(tail):
        raise GeometryError(DAMAGED)
    entries, list_bytes = struct.unpack_from("<HI", tail, at + 10)
    if entries == 0xFFFF or list_bytes == 0xFFFFFFFF:
        far = tail.rfind(_END_64, 0, at)
        if far < 0 or far + 48 > len(tail):
            raise GeometryError(DAMAGED)
        entries, list_bytes = struct.unpack_from("<QQ", tail, far + 32)
    if entries > MAX_ZIP_ENTRIES or list_bytes > _MOST_LIST_BYTES:
        raise _too_many()


def _too_many() -> GeometryError:
    return GeometryError(
        f"The 3MF file's archive lists more than {MAX_ZIP_ENTRIES:,} files, which no scan needs. Export the scan as binary STL."
    )
