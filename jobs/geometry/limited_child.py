"""Run one of our limited processes, hear its lines while it works, and end it when its time is up; standard library only."""

import contextlib
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from jobs.geometry.line_reader import MOST_BYTES, lines_until

_ROOT = Path(__file__).resolve().parents[2]
Heard = Callable[[dict[str, Any]], None]


def run_limited(
    worker: Sequence[str],
    wish: Mapping[str, Any],
    *,
    stdin: int,
    wall_s: float,
    environment: Mapping[str, str],
    heard: Heard | None,
    pass_fds: Sequence[int] = (),
    most_bytes: int = MOST_BYTES,
) -> tuple[int, dict[str, Any] | None]:
    """Start a process and listen to it until it ends.

    Parameters
    ----------
    worker : sequence of str
        What the interpreter is to run.
    wish : mapping
        Its argument, as JSON. It limits itself: running code between fork and exec is unsafe where threads run.
    stdin : int
        Descriptor of its standard input.
    wall_s : float
        How long it may take by the clock. [s]
    environment : mapping
        All of its environment.
    heard : callable, optional
        Called with each line that names a "step"; what it raises ends the process and reaches the caller.
    pass_fds : sequence of int
        Further descriptors that it keeps.
    most_bytes : int
        How much it may say in all.

    Returns
    -------
    code : int
        As the process ended, negative for a signal.
    answer : dict or None
        The last line that was no step; None where that is no JSON object, or there was none.

    Raises
    ------
    TimeoutError
        When its time was up; it is gone then, and so are all that it started.
    ValueError
        When it said more than any answer needs.
    """
    child = subprocess.Popen(  # noqa: S603 - our own interpreter and module, no shell
        [sys.executable, "-B", "-s", *worker, json.dumps(wish)],
        stdin=stdin,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=_ROOT,
        env=environment,
        pass_fds=pass_fds,
        start_new_session=True,
    )
    answer: dict[str, Any] | None = None
    end = time.monotonic() + wall_s
    try:
        assert child.stdout is not None
        for line in lines_until(child.stdout.fileno(), end, most_bytes=most_bytes):
            said = _object_in(line)
            if said is not None and "step" in said and heard is not None:
                heard(said)
            else:
                answer = said
        child.wait(timeout=max(end - time.monotonic(), 0.1))
    except subprocess.TimeoutExpired:
        raise TimeoutError("it did not end in time") from None
    finally:
        if child.poll() is None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(child.pid, signal.SIGKILL)
        child.communicate()
    return child.returncode, answer


def _object_in(line: bytes) -> dict[str, Any] | None:
    try:
        said = json.loads(line)
    except ValueError:
        return None
    return said if isinstance(said, dict) else None
