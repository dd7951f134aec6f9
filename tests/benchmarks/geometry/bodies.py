"""Bodies for the benchmarks: a ring with waves, of any number of triangles, and a scan that a package carries, closed."""

import math
import os
import resource
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

from tests.scans import scan_path

SIZES = {"10k": 10_000, "100k": 100_000, "1M": 1_000_000, "2M": 2_000_000}


def wavy_ring(triangles: int) -> tuple[Any, Any]:
    """Return points (n, 3) and faces (m, 3) of a ring of 240 mm with waves of 4 mm, about as many triangles as asked."""
    short = round(math.sqrt(triangles / 4))
    long = 2 * short
    a, b = (grid.reshape(-1) for grid in np.meshgrid(np.arange(long), np.arange(short), indexing="ij"))
    u, v = 2 * math.pi * a / long, 2 * math.pi * b / short
    r = 40 + 4 * np.sin(12 * u) * np.sin(5 * v)
    points = np.stack([(80 + r * np.cos(v)) * np.cos(u), (80 + r * np.cos(v)) * np.sin(u), r * np.sin(v)], axis=1)
    here, right = a * short + b, ((a + 1) % long) * short + b
    up, both = a * short + (b + 1) % short, ((a + 1) % long) * short + (b + 1) % short
    faces = np.concatenate([np.stack([here, right, both], axis=1), np.stack([here, both, up], axis=1)])
    return points, faces


def closed_scan(halvings: int) -> tuple[Any, Any]:
    """Return points (n, 3) and faces (m, 3) of a packaged scan of 200 mm, its holes fanned shut, each triangle cut into 4ⁿ."""
    scan = trimesh.load(scan_path("bunny.bin.stl"))
    points, faces = scan.vertices.tolist(), scan.faces.tolist()
    for entity in scan.outline().entities:
        loop = list(entity.points[:-1])
        points.append(scan.vertices[loop].mean(axis=0))
        faces.extend([after, before, len(points) - 1] for before, after in zip(loop, [*loop[1:], loop[0]], strict=True))
    whole = trimesh.Trimesh(points, faces)
    whole.fix_normals()
    for _ in range(halvings):
        whole = whole.subdivide()
    vertices = np.asarray(whole.vertices)
    return (vertices - vertices.min(axis=0)) * (200 / np.ptp(vertices, axis=0).max()), np.asarray(whole.faces)


def stl_of(points: Any, faces: Any) -> bytes:
    """Write a binary STL."""
    rows = np.zeros(len(faces), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    rows["corners"] = points[faces]
    return b"\0" * 80 + np.uint32(len(faces)).tobytes() + rows.tobytes()


def machine() -> str:
    """Name the machine and say how busy it is."""
    names = [line.split(":")[1].strip() for line in Path("/proc/cpuinfo").read_text().splitlines() if "model name" in line]
    load = " ".join(f"{value:.1f}" for value in os.getloadavg())
    return f"{len(names)} × {names[0]}, load average {load}"


def peak_mb() -> float:
    """Return the most memory this process has had. [MB]"""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
