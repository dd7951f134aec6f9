"""A process under the limits of the measuring one: it reads damaged files one after another and tells how each came out."""

import io
import json
import resource
import signal
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_files import read_header
from jobs.geometry.mesh_reader import read_mesh
from jobs.geometry.mesh_takeoff import takeoff_from_mesh
from jobs.geometry.mesh_worker import limit_process
from jobs.geometry.raw_mesh import RawMesh
from jobs.geometry.walls_try import kernels_load
from tests.jobs.geometry.mutants import mutant, triangles_of

# Of the processor, for one file of a few kilobytes.
MOST_S = 2.0
TAKEOFF_EVERY = 7


def main() -> None:
    """Read the mutants of each kind that is asked for, and print what came of them."""
    wish = json.loads(sys.argv[1])
    if not kernels_load():
        raise SystemExit("the kernels do not load")
    limit_process(0)
    signal.signal(signal.SIGVTALRM, _too_long)
    answers = {kind: _read_all(kind, wish["count"]) for kind in wish["kinds"]}
    answers["process"] = {
        "peak_mib": peak_mib(),
        "cpu_s": time.process_time(),
        "files": len(list(Path("/proc/self/fd").iterdir())),
    }
    json.dump(answers, sys.stdout)


def peak_mib() -> float:
    """Return the most memory that this program held; `ru_maxrss` would begin with that of the process that started it."""
    try:
        with Path("/proc/self/status").open() as lines:
            return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) / 1024
    except FileNotFoundError:  # not Linux
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _too_long(*_: object) -> None:
    raise TimeoutError


def _read_all(kind: str, count: int) -> dict[str, Any]:
    out: dict[str, Any] = {"read": 0, "refused": 0, "compared": 0, "timeouts": [], "faults": [], "slowest_s": 0.0}
    before = peak_mib()
    for number in range(count):
        data = mutant(kind, number)
        start = time.process_time()
        signal.setitimer(signal.ITIMER_VIRTUAL, MOST_S)
        try:
            _judge(kind, number, data, out)
        except TimeoutError:
            out["timeouts"].append(number)
        except Exception as error:  # whatever else a file sets off is a fault of the reader
            out["faults"].append([number, f"{type(error).__name__}: {error}"[:300]])
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        out["slowest_s"] = max(out["slowest_s"], time.process_time() - start)
    out["grown_mib"] = peak_mib() - before
    return out


def _judge(kind: str, number: int, data: bytes, out: dict[str, Any]) -> None:
    results = [_outcome(data, compiled=compiled) for compiled in (False, True)]
    plain, fast = results
    if isinstance(plain, str):
        assert plain == fast, f"the plain reader says “{plain}”, the compiled one {fast!r:.200}"
        assert plain.endswith("."), plain
        assert len(plain) < 500, plain
        out["refused"] += 1
        return
    assert isinstance(fast, RawMesh), f"only the compiled reader refuses: {fast}"
    corners = plain.vertices[plain.faces].astype(float)
    assert np.array_equal(corners, fast.vertices[fast.faces].astype(float)), "the two readers differ"
    assert plain.split_polygons == fast.split_polygons
    out["read"] += 1
    assert np.isfinite(corners).all()
    wanted = triangles_of(data, kind) if read_header(io.BytesIO(data), len(data)).format.value in _SAME[kind] else None
    if wanted is not None:
        assert corners.shape == wanted.shape, f"{corners.shape[0]} faces were read where the file holds {wanted.shape[0]}"
        size = float(np.abs(wanted).max())
        assert np.allclose(corners, wanted, rtol=1e-6, atol=1e-9 * size), "other corners were read than the file holds"
        out["compared"] += 1
    if number % TAKEOFF_EVERY == 0:
        assert _measured(plain)


def _measured(mesh: RawMesh) -> bool:
    """Say whether a takeoff comes of it, or a sentence."""
    try:
        return takeoff_from_mesh(mesh, MeshBrief(stands_on_board=False)).area.value > 0
    except GeometryError as refusal:
        return str(refusal).endswith(".")


_SAME = {
    "binary STL": {"binary STL"}, "text STL": {"text STL"}, "OBJ": {"OBJ"}, "GLB": {"GLB"}, "glTF": {"glTF"}, "3MF": {"3MF"},
    "model of a 3MF": {"3MF"}, "OFF": {"OFF"}, "text PLY": {"PLY"}, "little-endian PLY": {"PLY"}, "big-endian PLY": {"PLY"},
    "PLY of polygons": {"PLY"},
}  # fmt: skip


def _outcome(data: bytes, *, compiled: bool) -> RawMesh | str:
    stream = io.BytesIO(data)
    try:
        _, mesh = read_mesh(stream, len(data), compiled=compiled)
    except GeometryError as refusal:
        return str(refusal)
    finally:
        assert stream.getvalue() == data, "reading changed the file"
    return mesh


if __name__ == "__main__":
    main()
