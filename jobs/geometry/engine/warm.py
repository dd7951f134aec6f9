"""Compile every kernel and keep it on disk, so that nobody waits for the compiler later: run as a module in set-up.

The compiler uses one processor, so two processes share the work: each compiles a group that takes about as long as the other.
"""

import subprocess
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numba
import numpy as np

from jobs.geometry.engine.folder import READY
from jobs.geometry.engine.octree import level_sums
from jobs.geometry.engine.soup import check_mesh, weld_fast, weld_stl
from jobs.geometry.engine.tree import DistanceTree, build_tree
from jobs.geometry.engine.warm_readers import warm_readers
from jobs.geometry.engine.warm_steps import warm_steps

if TYPE_CHECKING:
    from jobs.geometry.study.fill import CoatedSurface

_CORNERS = np.array([(x, y, z) for x in (0.0, 10.0) for y in (0.0, 10.0) for z in (0.0, 10.0)])
_FACES = np.array([
    (0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1),
    (2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3),
])  # fmt: skip
# Of the cube with 2 mm around it, by Steiner's formula (published: J. Steiner, 1840).
_COATED_MM3 = 1000 + 600 * 2 + 30 * np.pi * 4 + 4 / 3 * np.pi * 8


def warm() -> None:
    """Compile all kernels by measuring a cube, and check what they say.

    Raises
    ------
    RuntimeError
        When they say something else than the exact formula.
    """
    _warm_shape()
    _warm_scan()


def _warm_shape() -> None:
    """Compile what studies a shape; begins with the tree, which the other group needs last."""
    tree = build_tree(_CORNERS, _FACES)
    found, _ = tree.distances(np.array([(5.0, 5.0, 12.0), (5.0, 5.0, 9.0)]), signed=True, board_mm=0.0)
    if not np.allclose(found, (2.0, -1.0), atol=1e-4):
        raise RuntimeError("The compiled kernels measure distances wrongly on this machine.")
    _warm_study(tree)


def _warm_scan() -> None:
    """Compile what reads, checks and measures a scan; begins with its edges, which the other group needs last."""
    soup, loose = _CORNERS[_FACES].reshape(-1, 3), np.arange(36).reshape(-1, 3)
    checks = [check_mesh(*weld_fast(points, loose)) for points in (soup, soup.astype(np.float32))]
    facets = np.zeros((12, 25), dtype="<u2")
    facets[:, 6:24] = soup.astype("<f4").view("<u2").reshape(12, 18)
    vertices, faces, bad = weld_stl(facets.tobytes())
    checks.append(check_mesh(vertices.astype(np.float64), faces))
    if bad or any(check.volume_mm3 != 1000.0 or check.hole_edges for check in checks):
        raise RuntimeError("The compiled weld reads a cube wrongly on this machine.")
    warm_steps(_CORNERS, _FACES)
    warm_readers()
    (outside,) = level_sums(build_tree(_CORNERS, _FACES), np.array([2.0]), cell_mm=1.0)
    if abs(outside.volume_mm3 - _COATED_MM3) > 1e-3 * _COATED_MM3:
        raise RuntimeError("The compiled kernels measure a cube wrongly on this machine.")


def _warm_study(tree: DistanceTree) -> None:
    from jobs.geometry.study.depth_of_hollows import depths
    from jobs.geometry.study.depths import depth_maps
    from jobs.geometry.study.directions import Direction
    from jobs.geometry.study.field_build import build_field
    from jobs.geometry.study.fill import coat, fill_of
    from jobs.geometry.study.search import find_pulls

    coated = coat(build_field(tree, low_mm=0.0, high_mm=3.0, on_board=False), 2.0, on_board=False)
    pulls, *_ = find_pulls(coated, pieces=3)
    maps = depth_maps(coated.vertices, coated.faces, pulls, pixel_mm=1.0)
    fill, bound = fill_of(coated, maps)
    top = depth_maps(coated.vertices, coated.faces, (Direction(x=0.0, y=0.0, z=1.0),), pixel_mm=1.0)[0].highest.max()
    if abs(coated.volume_mm3 - _COATED_MM3) > 1e-2 * _COATED_MM3 or abs(float(top) - 12.0) > 1e-2 or fill > bound:
        raise RuntimeError("The compiled kernels coat a cube wrongly on this machine.")
    _warm_pieces(coated)
    deep = depths(coated.vertices.astype(np.float64), coated.vertices.astype(np.float64), distance=coated.field, on_board=False)
    if not 0.0 <= float(deep.max()) < 1.0:
        raise RuntimeError("The compiled kernels wrap a cube wrongly on this machine.")


def _warm_pieces(coated: "CoatedSurface") -> None:
    from jobs.geometry.study.brief import PartingPlane
    from jobs.geometry.study.depths import depth_maps
    from jobs.geometry.study.directions import Direction
    from jobs.geometry.study.divide import divide

    pulls = (Direction(x=1.0, y=0.0, z=0.0), Direction(x=-1.0, y=0.0, z=0.0))
    maps = depth_maps(coated.vertices, coated.faces, pulls, pixel_mm=1.0)
    for parting in (None, PartingPlane(azimuth_deg=0.0)):
        divided = divide(coated, maps, pulls=pulls, shell_mm=2.0, on_board=False, parting=parting, fill=(0.0, 0.0))
        if abs(divided.solid.volume_mm3 - _COATED_MM3) > 1e-2 * _COATED_MM3:
            raise RuntimeError("The compiled kernels fill a cube wrongly on this machine.")


def main(arguments: Sequence[str] = ()) -> None:
    """Compile one group, or both at once and leave the mark that says so."""
    from pathlib import Path

    if arguments:
        _GROUPS[arguments[0]]()
        return
    groups = [subprocess.Popen([sys.executable, "-B", "-s", "-m", __spec__.name, name]) for name in _GROUPS]  # noqa: S603
    codes = [group.wait() for group in groups]
    if any(codes):
        raise RuntimeError("The kernels could not be compiled on this machine.")
    # Read back by one process: should both have kept the same kernel at once, one of the two was lost, and is compiled here.
    warm()
    (Path(numba.config.CACHE_DIR) / READY).touch()  # type: ignore[attr-defined]


_GROUPS = {"shape": _warm_shape, "scan": _warm_scan}

if __name__ == "__main__":
    main(sys.argv[1:])
