"""Field, coated surface, views and search of pulls beside Embree and turned voxels in the same run: prints, asserts no time."""

import math
from typing import Any

import numpy as np
import pytest
from scipy.ndimage import affine_transform

from jobs.geometry.engine.tree import build_tree
from jobs.geometry.engine.warm import warm
from jobs.geometry.study.depth_map import DepthMap
from jobs.geometry.study.depths import depth_maps
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.field_build import build_field
from jobs.geometry.study.fill import CoatedSurface, coat, fill_of
from jobs.geometry.study.search import find_pulls
from jobs.geometry.study.views import look_around, rubber_mm3
from tests.benchmarks.geometry.bench_engine import bumpy, peak_mb, timed
from tests.jobs.geometry.study.solids import coated_mesh, cup, spool, two_balls

SIZES = {"20k": 5, "80k": 6, "330k": 7, "1.3M": 8}
WALL, STEP, PIXEL = 8.0, 2.0, 1.0
PULLS = [direction(azimuth, lift) for azimuth in range(0, 360, 45) for lift in (-60, -20, 20, 60)]


def embree_scene(solid: CoatedSurface) -> Any:
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene

    scene = EmbreeScene()
    TriangleMesh(scene, solid.vertices[solid.faces])
    return scene


def embree_heights(scene: Any, far: float, seen: DepthMap) -> tuple[Any, float]:
    """Return the heights of the same pixels by rays against the pull, −inf beside the solid, and the time it took."""
    rows, columns = np.indices(seen.highest.shape)
    way = np.array([seen.pull.x, seen.pull.y, seen.pull.z])
    u, v = seen.corner[0] + columns.ravel() * seen.pixel_mm, seen.corner[1] + rows.ravel() * seen.pixel_mm
    starts = (u[:, None] * seen.across[0] + v[:, None] * seen.across[1] + far * way).astype(np.float32)
    ways = np.tile(-way, (len(starts), 1)).astype(np.float32)
    distances, took = timed(lambda: scene.run(starts, ways, query="DISTANCE"))
    return np.where(distances < 10 * far, far - distances, -np.inf).reshape(seen.highest.shape), took


def turned_voxels_mm3(solid: CoatedSurface, pull: Direction, seen: Any) -> tuple[float, float]:
    """Return the fill between a pull and its opposite by voxels of 2 mm turned into the pull's frame, and the time it took."""
    frame = np.vstack([seen.across, (pull.x, pull.y, pull.z)])
    local = solid.vertices @ frame.T
    low, high = local.min(axis=0) - STEP, local.max(axis=0) + STEP
    shape = tuple(np.ceil((high - low) / STEP).astype(int) + 1)
    offset = (low @ frame - solid.field.origin) / solid.field.step_mm

    def work() -> float:
        inside = affine_transform(
            solid.field.values, frame.T * STEP / solid.field.step_mm, offset, shape, order=1, mode="nearest"
        )
        full = inside < solid.wall_mm
        columns = full.any(axis=2)
        heights = full.shape[2] - full[:, :, ::-1].argmax(axis=2) - full.argmax(axis=2)
        return float(heights[columns].sum() - full.sum()) * STEP**3

    return timed(work)


@pytest.mark.benchmark
class TestFillSpeed:
    @pytest.mark.parametrize("name", SIZES)
    def test_pulls(self, name: str, capsys: pytest.CaptureFixture[str]) -> None:
        warm()
        mesh = bumpy(SIZES[name])
        tree, treed = timed(lambda: build_tree(np.array(mesh.vertices), np.array(mesh.faces)))
        field, built = timed(lambda: build_field(tree, low_mm=0.0, high_mm=WALL, on_board=False, step_mm=STEP))
        solid, coating = timed(lambda: coat(field, WALL, on_board=False))
        maps, drawn = timed(lambda: depth_maps(solid.vertices, solid.faces, PULLS, pixel_mm=PIXEL))
        scene, far = embree_scene(solid), 2.0 * float(np.abs(solid.vertices).max())
        heights, embree = zip(*(embree_heights(scene, far, seen) for seen in maps[:4]), strict=True)
        apart = np.concatenate([
            np.abs(seen.highest[both] - other[both])
            for seen, other in zip(maps, heights, strict=False)
            for both in [np.isfinite(seen.highest) & np.isfinite(other)]
        ])  # fmt: skip
        worst = float(np.quantile(apart, 0.999))
        opposite = Direction(x=-PULLS[2].x, y=-PULLS[2].y, z=-PULLS[2].z)
        (volume, bound), filled = timed(
            lambda: fill_of(solid, (maps[2], *depth_maps(solid.vertices, solid.faces, (opposite,), pixel_mm=PIXEL)))
        )
        voxels, turning = turned_voxels_mm3(solid, PULLS[2], maps[2])
        rubber = rubber_mm3(solid)

        def search() -> int:
            # A copy of the surface is a new one to the search: nothing is remembered.
            fresh = CoatedSurface(vertices=solid.vertices, faces=solid.faces, volume_mm3=solid.volume_mm3, on_board=False,
                                  wall_mm=WALL, field=field)  # fmt: skip
            for pieces in (2, 3, 4):
                find_pulls(fresh, pieces=pieces)
            return len(look_around(fresh).pulls)

        tried, searched = timed(search)
        each, rays = drawn / len(PULLS) * 1e3, sum(embree) / len(embree) * 1e3
        with capsys.disabled():
            print(  # noqa: T201
                f"\n{name} ({len(mesh.faces):,} triangles; coated {len(solid.faces):,}): tree {treed:.2f} s, field of "
                f"{field.values.size:,} nodes {built:.2f} s, coat {coating * 1e3:.0f} ms\n"
                f"  a view {each:.2f} ms; Embree {rays:.2f} ms ({rays / each:.1f} ×); turned voxels {turning * 1e3:.1f} ms "
                f"({turning * 1e3 / each:.0f} ×); of 1,000 heights 999 differ from Embree's by less than {worst:.1e} mm\n"
                f"  fill {filled * 1e3:.0f} ms: {volume / rubber:.2%} of the rubber, bound {bound / rubber:.2%}; voxels are "
                f"off by {(voxels - volume) / rubber:+.2%}\n"
                f"  search of {tried} pulls for 2, 3 and 4 pieces {searched:.2f} s; peak {peak_mb():.0f} MB"
            )
        assert worst < 0.02
        assert abs(voxels - volume) < 0.02 * rubber + bound

    def test_known_answers(self, capsys: pytest.CaptureFixture[str]) -> None:
        east, west, up, down = direction(0, 0), direction(180, 0), direction(0, 90), direction(0, -90)
        cases = [("cup", cup(), (east, west), 347_414.0), ("spool", spool(), (up, down), 151_291.6),
                 ("two balls", two_balls(), (up, down), 223_799.0),
                 ("cup, three pulls", cup(), (east, direction(120, 0), direction(240, 0)), 347_414.0)]  # fmt: skip
        lines = []
        for name, mesh, pulls, exact in cases:
            solid = coated_mesh(mesh, step=1.5)
            volume, bound = fill_of(solid, depth_maps(solid.vertices, solid.faces, pulls, pixel_mm=1.0))
            rubber = rubber_mm3(solid)
            lines.append(f"{name}: off by {(volume - exact) / rubber:+.3%} of the rubber, bound {bound / rubber:.3%}")
            assert math.isfinite(bound)
            assert abs(volume - exact) < 0.005 * rubber
        with capsys.disabled():
            print("\n  " + "\n  ".join(lines))  # noqa: T201
