"""Read a child's lines as they come, until it closes its end or time is up; standard library only."""

import os
import select
import time
from collections.abc import Iterator

# A takeoff with its outline and walls takes about 60 000 bytes; a child that says more than this says nonsense.
MOST_BYTES = 16_000_000
_AT_ONCE = 65_536


def lines_until(file_descriptor: int, end_s: float, *, most_bytes: int = MOST_BYTES) -> Iterator[bytes]:
    """Give every line (without its end) of a pipe.

    Parameters
    ----------
    file_descriptor : int
        The end to read from.
    end_s : float
        When to give up, on `time.monotonic()`. [s]
    most_bytes : int
        How much may be said in all.

    Raises
    ------
    TimeoutError
        When time is up before the other end is closed.
    ValueError
        When more is said than any answer needs.
    """
    pending, total = b"", 0
    waiting = select.poll()
    waiting.register(file_descriptor, select.POLLIN | select.POLLHUP)
    while True:
        if not waiting.poll(max(end_s - time.monotonic(), 0.0) * 1000):
            raise TimeoutError("no more was said in time")
        part = os.read(file_descriptor, _AT_ONCE)
        if not part:
            break
        total += len(part)
        if total > most_bytes:
            raise ValueError("more was said than any answer needs")
        *lines, pending = (pending + part).split(b"\n")
        yield from lines
    if pending:
        yield pending
