"""Loading, checking and measuring meshes beside other libraries in the same run: prints times and ratios, asserts no time."""

import io
import math
import resource
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.engine.soup import check_mesh, weld_stl
from jobs.geometry.engine.volumes import Surface, blanket_volumes
from jobs.geometry.engine.warm import warm

SIZES = {"10k": 5, "80k": 6, "330k": 7, "1.3M": 8}
T = 10.0


def timed(work: Callable[[], Any]) -> tuple[Any, float]:
    """Return what work gives, and the shorter of two turns by the clock."""
    shortest, given = math.inf, None
    for _ in range(2):
        start = time.perf_counter()
        given = work()
        shortest = min(shortest, time.perf_counter() - start)
    return given, shortest


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000


def bumpy(subdivisions: int) -> Any:
    """Return a ball of 100 mm with waves of 6 mm: hollows that a wall of 10 mm rounds off."""
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions, radius=100)
    x, y, z = (np.array(mesh.vertices) / 100).T
    mesh.vertices *= (1 + 0.06 * np.sin(9 * x) * np.sin(9 * y) * np.sin(9 * z))[:, None]
    return mesh


@pytest.mark.benchmark
class TestEngineSpeed:
    @pytest.mark.parametrize("name", SIZES)
    def test_load_and_check_beside_trimesh(self, name: str, capsys: pytest.CaptureFixture[str]) -> None:
        warm()
        mesh = bumpy(SIZES[name])
        data = mesh.export(file_type="stl")
        (vertices, faces, bad), load = timed(lambda: weld_stl(data[84:]))
        points = vertices.astype(np.float64)
        check, checked = timed(lambda: check_mesh(points, faces))
        _, peer_load = timed(lambda: trimesh.load(io.BytesIO(data), file_type="stl"))

        def peer() -> tuple[float, ...]:
            other = trimesh.Trimesh(points, faces, process=False)
            return other.area, other.volume, other.is_watertight, other.body_count, len(other.edges_unique)

        (area, volume, *_, edges), peer_check = timed(peer)
        with capsys.disabled():
            print(  # noqa: T201
                f"\n{name} ({len(faces):,} triangles): load and weld {load * 1e3:.1f} ms, {peer_load / load:.1f} × faster than "
                f"trimesh; check {checked * 1e3:.1f} ms, {peer_check / checked:.1f} × faster; peak {peak_mb():.0f} MB"
            )
        assert bad == 0
        assert check.area_mm2 == pytest.approx(area)
        assert check.volume_mm3 == pytest.approx(volume)
        assert check.edges == edges

    @pytest.mark.parametrize("name", ["10k", "80k", "330k"])
    def test_blanket_beside_libigl(self, name: str, capsys: pytest.CaptureFixture[str]) -> None:
        import igl

        warm()
        mesh = bumpy(SIZES[name])
        vertices, faces = np.array(mesh.vertices), np.array(mesh.faces)
        surface = Surface(vertices=vertices, faces=faces, volume_mm3=mesh.volume)
        (fine,) = blanket_volumes(surface, (T,), on_board=False, cell_mm=1.0)
        lines = []
        for cell in (8.0, 4.0):
            (ours,), took = timed(lambda cell=cell: blanket_volumes(surface, (T,), on_board=False, cell_mm=cell))
            error = ours.volume_mm3 / fine.volume_mm3 - 1
            lines.append(f"h {cell:g}: {took:.3f} s, {error:+.1e} (bound {ours.bound_mm3 / fine.volume_mm3:.1e})")
        grid, cell = _grid(vertices, 4.0)
        start = time.perf_counter()
        signs = igl.SIGNED_DISTANCE_TYPE_FAST_WINDING_NUMBER
        distance = igl.signed_distance(grid.reshape(-1, 3), vertices, faces, sign_type=signs)[0]
        kept = np.clip(0.5 - (distance - T) / cell, 0, 1).sum() * cell**3
        peer = time.perf_counter() - start
        lines.append(
            f"libigl on a grid of 4: {peer:.2f} s, {(kept - mesh.volume) / fine.volume_mm3 - 1:+.1e}, "
            f"{peer / took:.0f} × slower than ours at 4"
        )
        with capsys.disabled():
            print(f"\n{name} ({len(faces):,} triangles), wall {T:g}:\n  " + "\n  ".join(lines))  # noqa: T201
        assert abs(ours.volume_mm3 - fine.volume_mm3) <= ours.bound_mm3 + fine.bound_mm3


def _grid(vertices: Any, cell: float) -> tuple[Any, float]:
    low, high = vertices.min(axis=0) - T - 2 * cell, vertices.max(axis=0) + T + 2 * cell
    axes = [np.arange(a, b, cell) for a, b in zip(low, high, strict=True)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1), cell
