"""Lines and numbers of text meshes, with bounds."""

import math
from collections.abc import Iterator, Sequence
from typing import BinaryIO

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_LINE_BYTES


def text_lines(stream: BinaryIO) -> Iterator[tuple[int, bytes]]:
    """Yield (number, line) of every line that is not blank; refuse endless lines and bytes that are no text."""
    number = 0
    while line := stream.readline(MAX_LINE_BYTES + 1):
        number += 1
        if len(line) > MAX_LINE_BYTES:
            raise GeometryError(f"Line {number:,} of the file is longer than {MAX_LINE_BYTES:,} bytes: it is damaged.")
        if number == 1:
            line = line.removeprefix(b"\xef\xbb\xbf")
        line = line.strip()
        if b"\0" in line:
            raise GeometryError(f"Line {number:,} of the file is not text: it is damaged. Export the scan again.")
        # Old Macintosh line ends come as one long line.
        for part in line.split(b"\r") if b"\r" in line else (line,):
            if part.strip():
                yield number, part.strip()


def numbers_of(words: Sequence[bytes], line: int) -> list[float]:
    """Read numbers, or refuse with the line's number; NaN and infinity pass on to be counted."""
    try:
        values = [float(word) for word in words]
    except ValueError:
        values = []
    # Python would read 1_0 as ten.
    if not values or any(b"_" in word for word in words):
        raise GeometryError(f"Line {line:,} of the file holds something that is not a number. Export the scan again.")
    return values


def whole_number(word: bytes, line: int) -> int:
    """Read an index, or refuse with the line's number."""
    digits = word[1:] if word[:1] in (b"-", b"+") else word
    if not digits.isdigit() or len(digits) > 12:
        raise GeometryError(f"Line {line:,} of the file holds something that is not a point's number. Export it again.")
    return int(word)


def finite_whole(value: float, line: int) -> int:
    """Turn a number that must be whole into an int, or refuse."""
    if not math.isfinite(value) or value != int(value):
        raise GeometryError(f"Line {line:,} of the file holds something that is not a point's number. Export it again.")
    return int(value)
