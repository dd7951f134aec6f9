"""Loading and welding mesh files beside trimesh, each in a fresh process: times, ratios and peak memory; asserts no time."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.mesh_child import child_environment, ready_to_measure
from tests.jobs.geometry.packed_builders import model_xml, package

ROOT = Path(__file__).resolve().parents[3]
# Rings and sides of a ball of waves; triangles are twice their product. The largest texts are beyond the largest file.
SIZES = {"10k": (50, 100), "100k": (200, 250), "1M": (600, 833), "2M": (900, 1111)}
LARGEST = {"text STL": "100k", "OBJ": "1M", "text PLY": "1M", "OFF": "1M", "3MF": "1M"}

OURS = """
import json, sys, time
from jobs.geometry.engine import soup, texts
from jobs.geometry.mesh_reader import read_mesh
def peak(): return int(open("/proc/self/status").read().split("VmHWM:")[1].split()[0]) / 1000
before, times, worked = peak(), [], []
for _ in range(3):
    start, work = time.perf_counter(), time.process_time()
    with open(sys.argv[1], "rb") as stream:
        mesh = read_mesh(stream, stream.seek(0, 2), compiled=True)[1]
    points, faces = (mesh.vertices, mesh.faces) if mesh.welded else soup.weld_fast(mesh.vertices, mesh.faces)
    times.append(time.perf_counter() - start)
    worked.append(time.process_time() - work)
    counts = len(points), len(faces)
    del mesh, points, faces
told = {"first_s": times[0], "s": min(times), "cpu_s": min(worked), "before_mb": before, "peak_mb": peak(), "counts": counts}
json.dump(told, sys.stdout)
"""
PEER = """
import json, sys, time
import trimesh
def peak(): return int(open("/proc/self/status").read().split("VmHWM:")[1].split()[0]) / 1000
before, times, worked = peak(), [], []
for _ in range(2):
    start, work = time.perf_counter(), time.process_time()
    mesh = trimesh.load_mesh(sys.argv[1], merge_tex=True, merge_norm=True)
    times.append(time.perf_counter() - start)
    worked.append(time.process_time() - work)
    counts = len(mesh.vertices), len(mesh.faces)
    del mesh
told = {"first_s": times[0], "s": min(times), "cpu_s": min(worked), "before_mb": before, "peak_mb": peak(), "counts": counts}
json.dump(told, sys.stdout)
"""


def waves(rings: int, sides: int) -> Any:
    """Return a closed ball of 100 with waves of 6, in 2 × rings × sides triangles."""
    tilt, turn = np.meshgrid(np.pi * (np.arange(rings) + 0.5) / rings, 2 * np.pi * np.arange(sides) / sides, indexing="ij")
    size = 100 + 6 * np.sin(9 * tilt) * np.sin(9 * turn)
    middle = np.stack([size * np.sin(tilt) * np.cos(turn), size * np.sin(tilt) * np.sin(turn), size * np.cos(tilt)], axis=-1)
    points = np.vstack([middle.reshape(-1, 3), [(0, 0, 100), (0, 0, -100)]])
    at = np.arange(rings * sides).reshape(rings, sides)
    here, right = at[:-1], np.roll(at, -1, axis=1)[:-1]
    below, across = at[1:], np.roll(at, -1, axis=1)[1:]
    top, bottom = np.full(sides, len(points) - 2), np.full(sides, len(points) - 1)
    # The two triangles of a patch follow one another, as programs write them.
    patches = np.stack([here, below, across, here, across, right], axis=-1).reshape(-1, 3)
    caps = [np.stack(three, axis=-1) for three in ((top, at[0], np.roll(at[0], -1)), (bottom, np.roll(at[-1], -1), at[-1]))]
    return trimesh.Trimesh(points, np.concatenate([patches, *caps]), process=False)


def three_mf(mesh: Any) -> bytes:
    points = "".join(f'<vertex x="{x:.6f}" y="{y:.6f}" z="{z:.6f}" />\n' for x, y, z in mesh.vertices.tolist())
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}" />\n' for a, b, c in mesh.faces.tolist())
    held = f"<mesh><vertices>\n{points}</vertices><triangles>\n{faces}</triangles></mesh>"
    return package(model_xml(f'<object id="1" type="model">{held}</object>', '<item objectid="1"/>'))


WRITERS: dict[str, tuple[str, Callable[[Any], Any]]] = {
    "binary STL": ("stl", lambda mesh: mesh.export(file_type="stl")),
    "text STL": ("stl", lambda mesh: mesh.export(file_type="stl_ascii")),
    "OBJ": ("obj", lambda mesh: mesh.export(file_type="obj", include_normals=False)),
    "binary PLY": ("ply", lambda mesh: mesh.export(file_type="ply")),
    "text PLY": ("ply", lambda mesh: mesh.export(file_type="ply", encoding="ascii")),
    "GLB": ("glb", lambda mesh: mesh.export(file_type="glb")),
    "OFF": ("off", lambda mesh: mesh.export(file_type="off")),
    "3MF": ("3mf", three_mf),
}


def in_child(code: str, path: Path, kernels: Path) -> dict[str, Any]:
    """Run a few lines on a file in a fresh process; returns what they print, or an empty dict where they fail."""
    done = subprocess.run(
        [sys.executable, "-B", "-s", "-c", code, str(path)], cwd=ROOT, capture_output=True, check=False, timeout=600,
        env={**os.environ, **child_environment(), "NUMBA_CACHE_DIR": str(kernels)},
    )  # fmt: skip
    answer: dict[str, Any] = json.loads(done.stdout) if done.returncode == 0 else {}
    return answer


@pytest.mark.benchmark
@pytest.mark.parametrize("kind", WRITERS)
def test_load_and_weld_beside_trimesh(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kernels = ready_to_measure()
    assert kernels is not None
    suffix, write = WRITERS[kind]
    names = list(SIZES)
    for name in names[: names.index(LARGEST.get(kind, "2M")) + 1]:
        mesh = waves(*SIZES[name])
        data = write(mesh)
        path = tmp_path / f"piece.{suffix}"
        path.write_bytes(data.encode() if isinstance(data, str) else data)
        del data
        ours, peer = in_child(OURS, path, kernels), in_child(PEER, path, kernels)
        assert ours["counts"] == [len(mesh.vertices), len(mesh.faces)]
        beside = "trimesh does not read it"
        if peer:
            beside = f"trimesh {peer['s']:.3f} s, peak {peer['peak_mb']:.0f} MB: {peer['s'] / ours['s']:.1f} × faster "
            beside += f"by the clock, {peer['cpu_s'] / ours['cpu_s']:.1f} × by processor time"
        with capsys.disabled():
            print(  # noqa: T201
                f"\n{kind} {name} ({len(mesh.faces):,} triangles, {path.stat().st_size / 1e6:.0f} MB): {ours['s']:.3f} s "
                f"(first time {ours['first_s']:.3f} s), peak {ours['peak_mb']:.0f} MB, of them "
                f"{ours['peak_mb'] - ours['before_mb']:.0f} MB for the file; {beside}",
                end="",
            )
        path.unlink()
