"""Loading beside trimesh: real scans out of packages, written by its exporters, and read by each of our readers."""

import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from trimesh.exchange.gltf import export_gltf

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_reader import read_mesh
from jobs.geometry.mesh_weld import weld
from jobs.geometry.raw_mesh import RawMesh
from tests.jobs.geometry.packed_builders import three_mf
from tests.scans import FILES, scan_arrays, scan_path

pytestmark = pytest.mark.scans
STLS = [name for name in FILES if name.endswith(".stl")]
WRITERS = {
    "binary STL": lambda mesh: mesh.export(file_type="stl"),
    "text STL": lambda mesh: mesh.export(file_type="stl_ascii"),
    "OBJ": lambda mesh: mesh.export(file_type="obj", include_normals=True),
    "binary PLY": lambda mesh: mesh.export(file_type="ply"),
    "text PLY": lambda mesh: mesh.export(file_type="ply", encoding="ascii"),
    "PLY with normals": lambda mesh: mesh.export(file_type="ply", vertex_normal=True),
    "OFF": lambda mesh: mesh.export(file_type="off"),
    "GLB": lambda mesh: mesh.export(file_type="glb"),
    "glTF": lambda mesh: export_gltf(trimesh.Scene(mesh), embed_buffers=True)["model.gltf"],
    # trimesh writes this one only with packages that are not installed; ours is written from the format's definition.
    "3MF": lambda mesh: three_mf(mesh.vertices, mesh.faces),
}


def read(data: bytes, *, compiled: bool) -> RawMesh:
    return read_mesh(io.BytesIO(data), len(data), compiled=compiled)[1]


def as_trimesh(mesh: RawMesh) -> Any:
    return trimesh.Trimesh(*weld(mesh.vertices, mesh.faces), process=False)


def written(mesh: Any, kind: str) -> bytes:
    data = WRITERS[kind](mesh)
    return data.encode() if isinstance(data, str) else data


class TestScans:
    @pytest.mark.parametrize("compiled", [False, True])
    @pytest.mark.parametrize("kind", WRITERS)
    @pytest.mark.parametrize("name", ["bunny", "teapot"])
    def test_come_through_every_format(self, name: str, kind: str, compiled: bool) -> None:
        points, faces = scan_arrays(name)
        scan = trimesh.Trimesh(points, faces, process=False)
        data = written(scan, kind)
        mesh = as_trimesh(read(data, compiled=compiled))
        assert len(mesh.faces) == len(scan.faces)
        assert mesh.area == pytest.approx(scan.area, rel=1e-6)
        assert mesh.volume == pytest.approx(scan.volume, rel=1e-5)
        assert mesh.bounds == pytest.approx(scan.bounds, rel=1e-6, abs=1e-6)

    # The plain reader takes over a second for the largest text.
    @pytest.mark.parametrize(
        ("name", "compiled"),
        [(name, compiled) for name in STLS for compiled in (False, True) if compiled or name != "bunny.ascii.stl"],
    )
    def test_are_read_as_trimesh_reads_them(self, name: str, compiled: bool) -> None:
        data = scan_path(name).read_bytes()
        mesh, other = as_trimesh(read(data, compiled=compiled)), trimesh.load(io.BytesIO(data), file_type="stl")
        assert len(mesh.faces) == len(other.faces)
        assert len(mesh.vertices) == len(other.vertices)
        assert mesh.area == pytest.approx(other.area, rel=1e-6)
        assert mesh.volume == pytest.approx(other.volume, rel=1e-6)
        assert len(mesh.edges_unique) == len(other.edges_unique)

    def test_bunny_is_of_the_size_that_its_package_states(self) -> None:
        assert len(scan_arrays("bunny")[1]) == 3674
        assert len(read(scan_path("bunny.bin.stl").read_bytes(), compiled=True).faces) == 69_451


class TestBrokenFiles:
    """Files made to be wrong, by the makers of the package."""

    # True: read, because what is wrong in it (names, normals, a header's text) has no bearing on the surface.
    READ = {
        "empty.stl": False, "fourVertices.ascii.stl": False, "incorrectFaceCounter.bin.stl": False,
        "missingEndsolid.ascii.stl": False, "missingFace.ascii.stl": True, "missingNormal.ascii.stl": True,
        "notANumberNormal.ascii.stl": True, "quad.ascii.stl": False, "singleFace.ascii.stl": True,
        "solidNameMismatch.ascii.stl": True, "twoVertices.ascii.stl": False, "wrongHeader.bin.stl": True,
        "wrongNormal.ascii.stl": True, "wrongNormals.ascii.stl": True,
    }  # fmt: skip

    def folder(self) -> Path:
        return scan_path("bunny.bin.stl").parents[1] / "broken"

    def test_are_all_judged(self) -> None:
        assert {path.name for path in self.folder().iterdir()} == set(self.READ)

    @pytest.mark.parametrize("compiled", [False, True])
    @pytest.mark.parametrize("name", READ)
    def test_are_read_where_the_surface_is_whole_and_refused_elsewhere(self, name: str, compiled: bool) -> None:
        data = (self.folder() / name).read_bytes()
        try:
            found: RawMesh | str = read(data, compiled=compiled)
        except GeometryError as refusal:
            found = str(refusal)
        assert isinstance(found, RawMesh) == self.READ[name], found
        if isinstance(found, RawMesh):
            other = trimesh.load(io.BytesIO(data), file_type="stl", process=False)
            assert np.allclose(found.vertices[found.faces], other.triangles)
