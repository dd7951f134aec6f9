"""The limited process that opens an uploaded mesh: file on standard input, wishes in argument 1, answer on standard output.

Limits are set before anything of size is imported, and the process opens no file by name.
"""

import json
import os
import sys
from collections.abc import Callable
from functools import partial
from importlib import import_module
from typing import Any

from jobs.geometry.mesh_limits import BIG_FILE_BYTES, CPU_BIG_S, CPU_S, MEMORY_BYTES

_NEW_USERS_AND_NETWORK = 0x10000000 | 0x40000000
_OPEN_FILES = 64
# Of the processor's time: what measuring walls must not go beyond, so that the rest still arrives.
_ENGINE_SHARE = 0.6


def main() -> None:
    """Answer one request; every outcome that can be worded is worded."""
    serve(_answer)


def serve(answer: Callable[[dict[str, Any], int], dict[str, Any]], **limits: int) -> None:
    """Limit this process, answer the wish in argument 1, and say the answer."""
    size = os.fstat(0).st_size
    limit_process(size, **limits)
    try:
        said = answer(json.loads(sys.argv[1]), size)
    except MemoryError:
        said = {"refused": "memory"}
    say(said)


def say(words: dict[str, Any]) -> None:
    """Write one line: a step that is done, or last the answer."""
    sys.stdout.write(json.dumps(words, allow_nan=False) + "\n")
    sys.stdout.flush()


def limit_process(size_bytes: int, *, cpu_s: int | None = None, file_bytes: int = 0) -> None:
    """Bound memory, processor time, files and, where the system lets us, the network."""
    try:
        import resource
    except ImportError:  # a system without such limits; the wall clock still bounds the process
        return
    if cpu_s is None:
        cpu_s = CPU_BIG_S if size_bytes > BIG_FILE_BYTES else CPU_S
    for limit, soft, hard in (
        (resource.RLIMIT_AS, MEMORY_BYTES, MEMORY_BYTES),
        # The soft limit ends the process with a signal of its own, so that the asker can tell time from memory.
        (resource.RLIMIT_CPU, cpu_s, cpu_s + 2),
        (resource.RLIMIT_NOFILE, _OPEN_FILES, _OPEN_FILES),
        (resource.RLIMIT_FSIZE, file_bytes, file_bytes),
        (resource.RLIMIT_CORE, 0, 0),
    ):
        _, most = resource.getrlimit(limit)
        bound = hard if most == resource.RLIM_INFINITY else min(hard, most)
        resource.setrlimit(limit, (min(soft, bound), bound))
    _leave_network()


def _leave_network() -> None:
    """Step into an empty network where the system allows it; elsewhere nothing here opens a connection anyway."""
    import contextlib
    import ctypes

    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None, use_errno=True).unshare(_NEW_USERS_AND_NETWORK)


def _answer(wish: dict[str, Any], size: int) -> dict[str, Any]:
    # What is needed is loaded before the file, so that what runs out of memory is the file's share alone.
    import_module("numpy")
    from jobs.geometry.errors import GeometryError

    try:
        return _look(wish, size) if wish["do"] == "look" else _measure(wish, size)
    except GeometryError as error:
        return {"error": str(error)}


def _look(wish: dict[str, Any], size: int) -> dict[str, Any]:
    from jobs.geometry.mesh_reader import read_mesh, wants_kernels
    from jobs.geometry.mesh_size import size_of
    from jobs.geometry.walls_try import kernels_load

    with os.fdopen(0, "rb", closefd=False) as stream:
        compiled = bool(wish.get("walls")) and wants_kernels(stream, size) and kernels_load()
        header, mesh = read_mesh(stream, size, compiled=compiled)
    spans = mesh.vertices.max(axis=0).astype(float) - mesh.vertices.min(axis=0).astype(float)
    area, volume = size_of(mesh.vertices, mesh.faces)
    said = {"unit": mesh.unit, "up_axis": mesh.up_axis, "said": mesh.said, "area": area, "volume": volume}
    return {"format": header.format.value, "faces": len(mesh.faces), "extents": [float(span) for span in spans], **said}


def _measure(wish: dict[str, Any], size: int) -> dict[str, Any]:
    from jobs.geometry.mesh_brief import MeshBrief
    from jobs.geometry.mesh_reader import read_mesh
    from jobs.geometry.mesh_takeoff import takeoff_from_mesh
    from jobs.geometry.takeoff_store import given_from_json, takeoff_to_json
    from jobs.geometry.walls_try import fastest_steps, kernels_load, no_walls, walls_if_possible

    brief = MeshBrief(
        unit=wish["unit"],
        up_axis=wish["up_axis"],
        stands_on_board=wish["stands_on_board"],
        flange_width_mm=wish["flange_width_mm"],
        texture=given_from_json(wish["texture"]),
        spread_percent=given_from_json(wish["spread_percent"]),
    )
    compiled = bool(wish.get("walls")) and kernels_load()
    with os.fdopen(0, "rb", closefd=False) as stream:
        mesh = [read_mesh(stream, size, compiled=compiled)[1]]
    say({"step": "read", "faces": len(mesh[0].faces)})
    walls_of = partial(walls_if_possible, processor_s=_ENGINE_SHARE * (CPU_BIG_S if size > BIG_FILE_BYTES else CPU_S))
    steps = fastest_steps(compiled=compiled)
    # Handed over for good, so that its room is free again before the walls need it.
    takeoff = takeoff_from_mesh(
        mesh.pop(), brief, walls_of=walls_of if wish.get("walls") else no_walls, steps=steps,
        report=lambda found: say({"step": "surface", "takeoff": takeoff_to_json(found)}),
    )  # fmt: skip
    return {"takeoff": takeoff_to_json(takeoff)}


if __name__ == "__main__":
    main()
