"""Measure an uploaded mesh in a process of its own, so that no file can harm the one that asks."""

import os
import signal
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jobs.geometry.engine.folder import READY, kernel_folder
from jobs.geometry.errors import GeometryError
from jobs.geometry.kernels import KernelsLate, prepared_kernels
from jobs.geometry.limited_child import run_limited
from jobs.geometry.measured import Takeoff
from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_limits import BIG_FILE_BYTES, MAX_FILE_BYTES, WALL_BIG_S, WALL_S
from jobs.geometry.mesh_units import UnitGuess, guess_unit
from jobs.geometry.takeoff_store import given_to_json, takeoff_from_json

_ROOT = Path(__file__).resolve().parents[2]
_WORKER = ["-m", "jobs.geometry.mesh_worker"]
TOO_LARGE = (
    "The mesh needs more memory than a takeoff is given. Reduce the number of triangles in the scanning program (half a "
    "million is plenty) and upload it again."
)
TOO_SLOW = (
    "Reading the mesh took too long, so it was stopped. Reduce the number of triangles in the scanning program, or export "
    "it as binary STL, and upload it again."
)
UNREADABLE = "The file made its reader stop; it is damaged. Export the scan again, as binary STL if you can."


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshGlance:
    """A first look at a mesh: what it is, how many triangles, how large in its own unit, and which unit that may be.

    `up_axis` and `said`, what to tell the person about unit and axis, are empty where the file says nothing of them.
    """

    format: str
    faces: int
    extents: tuple[float, float, float]
    guess: UnitGuess
    area: float
    volume: float
    up_axis: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshNews:
    """How far measuring has come: "read" (the file), then "surface" with a takeoff whose walls are still to come."""

    step: str
    faces: int = 0
    takeoff: Takeoff | None = None


def look_in_child(path: Path) -> MeshGlance:
    """Read a mesh file far enough to ask for its unit, or raise GeometryError with what is wrong."""
    kernels = kernel_folder(_kernel_base()) if kernels_are_ready() else None
    answer = _ask(path, {"do": "look", "walls": kernels is not None}, kernels)
    x, y, z = answer["extents"]
    return MeshGlance(
        format=answer["format"], faces=answer["faces"], extents=(x, y, z), guess=guess_unit((x, y, z), answer["unit"]),
        area=float(answer["area"]), volume=float(answer["volume"]),
        up_axis=answer["up_axis"], said=answer["said"],
    )  # fmt: skip


def measure_in_child(path: Path, brief: MeshBrief, *, report: Callable[[MeshNews], None] | None = None) -> Takeoff:
    """Measure a mesh file.

    Parameters
    ----------
    path : Path
        The uploaded file.
    brief : MeshBrief
        Unit, axis that points up, board, flange and texture.
    report : callable, optional
        Told every step as it is done; what it raises ends the measuring and reaches the caller.

    Returns
    -------
    Takeoff

    Raises
    ------
    GeometryError
        With what is wrong with the file or the brief, also when reading it took too much memory or time.
    """
    wish = {
        "do": "measure",
        "unit": brief.unit,
        "up_axis": brief.up_axis,
        "stands_on_board": brief.stands_on_board,
        "flange_width_mm": brief.flange_width_mm,
        "texture": given_to_json(brief.texture),
        "spread_percent": given_to_json(brief.spread_percent),
    }
    kernels = ready_to_measure()
    wish["walls"] = kernels is not None

    def heard(said: dict[str, Any]) -> None:
        if report is not None:
            takeoff = takeoff_from_json(said["takeoff"]) if "takeoff" in said else None
            report(MeshNews(step=str(said["step"]), faces=int(said.get("faces", 0)), takeoff=takeoff))

    return takeoff_from_json(_ask(path, wish, kernels, heard)["takeoff"])


def ready_to_measure() -> Path | None:
    """Have the kernels compiled (half a minute, once a version) and return their folder; set-up calls it ahead."""
    return prepared_kernels(_kernel_base(), child_environment())


def wait_for_kernels() -> bool:
    """Have the kernels compiled if need be; False when that takes too long and is to be gone on with later.

    True also where they cannot be compiled at all: those who want them say so themselves.
    """
    try:
        ready_to_measure()
    except KernelsLate:
        return False
    return True


def kernels_are_ready() -> bool:
    """Say whether the kernels are compiled already."""
    return (kernel_folder(_kernel_base()) / READY).exists()


def _ask(
    path: Path, wish: dict[str, Any], kernels: Path | None = None, heard: Callable[[dict[str, Any]], None] | None = None
) -> dict[str, Any]:
    try:
        size = path.stat().st_size
        stream = path.open("rb")
    except OSError:
        raise GeometryError("The uploaded file is no longer there; upload it again.") from None
    with stream:
        if size > MAX_FILE_BYTES:
            raise GeometryError(
                f"The file is {size / 1e6:.0f} MB; the largest that can be read is {MAX_FILE_BYTES / 1e6:.0f} MB. Reduce "
                "the number of triangles in the scanning program, then upload it again."
            )
        try:
            code, answer = run_limited(
                _WORKER, wish, stdin=stream.fileno(), wall_s=WALL_BIG_S if size > BIG_FILE_BYTES else WALL_S,
                environment=child_environment(kernels), heard=heard,
            )  # fmt: skip
        except TimeoutError:
            raise GeometryError(TOO_SLOW) from None
        except ValueError:
            raise GeometryError(UNREADABLE) from None
    if code == -signal.SIGXCPU:
        raise GeometryError(TOO_SLOW)
    if code == -signal.SIGKILL:  # the system ran out of memory
        raise GeometryError(TOO_LARGE)
    if code != 0 or answer is None:
        raise GeometryError(UNREADABLE)
    if answer.get("refused") == "memory":
        raise GeometryError(TOO_LARGE)
    if "error" in answer:
        raise GeometryError(str(answer["error"]))
    return answer


def _kernel_base() -> Path:
    named = os.environ.get("HANDLAID_KERNELS")
    return Path(named or Path(os.environ.get("HANDLAID_DATA", _ROOT / "var")) / "kernels").resolve()


def child_environment(kernels: Path | None = None) -> dict[str, str]:
    """Nothing of ours goes in; one thread for linear algebra and few pools, whose room would eat the memory limit."""
    names = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
    kept = {name: os.environ[name] for name in ("PATH", "LD_LIBRARY_PATH", "SYSTEMROOT") if name in os.environ}
    threads = {
        "NUMBA_NUM_THREADS": str(min(os.cpu_count() or 1, 4)), "NUMBA_THREADING_LAYER": "workqueue", "MALLOC_ARENA_MAX": "2",
    }  # fmt: skip
    cache = {} if kernels is None else {"NUMBA_CACHE_DIR": str(kernels)}
    return {**kept, **threads, **cache, **dict.fromkeys(names, "1"), "PYTHONPATH": str(_ROOT), "PYTHONUTF8": "1"}
