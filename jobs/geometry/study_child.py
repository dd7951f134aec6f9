"""Study a shape in a process of its own: it says each step as soon as that is known, and writes its drawings to a file."""

import os
import signal
import subprocess
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jobs.geometry.errors import GeometryError
from jobs.geometry.limited_child import run_limited
from jobs.geometry.mesh_child import child_environment, ready_to_measure
from jobs.geometry.mesh_limits import MAX_FILE_BYTES, STUDY_WALL_S
from jobs.geometry.tape import TapeBrief
from jobs.geometry.tape_store import tape_to_json

_WORKER = ["-m", "jobs.geometry.study_worker"]
# Nearly all of it is the whole study with its parting lines.
_MOST_BYTES = 64_000_000
TOO_LARGE = (
    "Studying this shape needs more memory than it is given. Reduce the number of triangles in the scanning program (half a "
    "million is plenty) and send the scan again, or type fill, seam and positions yourself."
)
TOO_SLOW = (
    "Studying this shape took too long, so it was stopped. Reduce the number of triangles in the scanning program and send "
    "the scan again, or type fill, seam and positions yourself."
)
STOPPED = "This shape made its study stop. Export the scan again, or type fill, seam and positions yourself."
NOT_COMPILED = (
    "The shape cannot be studied on this machine, because the compiler is missing here. Type fill, seam and positions yourself."
)
Report = Callable[[dict[str, Any]], None]


class StudyAbandoned(Exception):
    """The asker wants it no longer; the child is stopped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanShape:
    """An uploaded mesh and how it is read."""

    path: Path
    unit: str
    up_axis: str
    stands_on_board: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeShape:
    """The body that tape readings describe."""

    brief: TapeBrief


def study_in_child(shape: ScanShape | TapeShape, brief: Mapping[str, Any], *, drawings: int, report: Report) -> dict[str, Any]:
    """Study a shape.

    Parameters
    ----------
    shape : ScanShape or TapeShape
        What is studied.
    brief : mapping
        What is asked, as `study.store.brief_to_json` writes it.
    drawings : int
        Descriptor of an open, empty file for the workspace.
    report : callable
        Called with each step as the child says it: "step", "seconds", and what is known by then.

    Returns
    -------
    dict
        As `study.store.study_to_json` writes it.

    Raises
    ------
    GeometryError
        With what is wrong with the shape or the brief, also when it took too much memory or time.
    StudyAbandoned
        When `report` raised it; the child is gone then.
    """
    kernels = ready_to_measure()
    if kernels is None:
        raise GeometryError(NOT_COMPILED)
    wish: dict[str, Any] = {"brief": dict(brief), "drawings": drawings}
    if isinstance(shape, TapeShape):
        return _run({**wish, "tape": tape_to_json(shape.brief)}, subprocess.DEVNULL, drawings, kernels, report)
    wish |= {"unit": shape.unit, "up_axis": shape.up_axis, "stands_on_board": shape.stands_on_board}
    try:
        stream = shape.path.open("rb")
    except OSError:
        raise GeometryError("The uploaded file is no longer there; upload it again.") from None
    with stream:
        if os.fstat(stream.fileno()).st_size > MAX_FILE_BYTES:
            raise GeometryError(TOO_LARGE)
        return _run(wish, stream.fileno(), drawings, kernels, report)


def _run(wish: dict[str, Any], stdin: int, drawings: int, kernels: Path, report: Report) -> dict[str, Any]:
    try:
        code, answer = run_limited(
            _WORKER, wish, stdin=stdin, wall_s=STUDY_WALL_S, environment=child_environment(kernels), heard=report,
            pass_fds=(drawings,), most_bytes=_MOST_BYTES,
        )  # fmt: skip
    except TimeoutError:
        raise GeometryError(TOO_SLOW) from None
    except ValueError:
        raise GeometryError(STOPPED) from None
    answer = answer or {}
    if code == -signal.SIGXCPU:
        raise GeometryError(TOO_SLOW)
    # Killed from outside: the system ran out of memory.
    if code == -signal.SIGKILL or answer.get("refused") == "memory":
        raise GeometryError(TOO_LARGE)
    if "error" in answer:
        raise GeometryError(str(answer["error"]))
    study = answer.get("study")
    if code != 0 or not isinstance(study, dict):
        raise GeometryError(STOPPED)
    return study
