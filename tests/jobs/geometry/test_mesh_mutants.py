"""Damaged mesh files, thousands of them: each is refused with a sentence, or read exactly as it now stands.

They are made anew in every run, the same ones each time, and read in a few processes under the limits of the measuring one.
"""

import hashlib
import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_child import child_environment, look_in_child, ready_to_measure
from jobs.geometry.mesh_files import MeshHeader
from jobs.geometry.mesh_reader import read_mesh
from jobs.geometry.raw_mesh import RawMesh
from tests.jobs.geometry import mutant_reader
from tests.jobs.geometry.mutants import ORIGINALS, mutant

ROOT = Path(__file__).resolve().parents[3]
EACH = 1_000
SHARES = (
    ("binary STL", "text STL", "OBJ"),
    ("text PLY", "little-endian PLY", "big-endian PLY", "PLY of polygons"),
    ("GLB", "glTF", "OFF"),
    ("3MF", "model of a 3MF"),
)


def read_mutants(kinds: tuple[str, ...], count: int) -> dict[str, Any]:
    """Have the mutants of some kinds read in a limited process; returns what it tells, kind by kind."""
    kernels = ready_to_measure()
    assert kernels is not None
    done = subprocess.run(
        [sys.executable, "-B", "-s", "-m", "tests.jobs.geometry.mutant_reader", json.dumps({"kinds": kinds, "count": count})],
        cwd=ROOT, env={**child_environment(), "NUMBA_CACHE_DIR": str(kernels)}, stdin=subprocess.DEVNULL,
        capture_output=True, check=False, timeout=200,
    )  # fmt: skip
    assert done.returncode == 0, f"the process ended with {done.returncode}: {done.stderr.decode()[-1500:]}"
    answers: dict[str, Any] = json.loads(done.stdout)
    return answers


class TestMutants:
    def test_are_at_least_five_thousand_of_all_kinds(self) -> None:
        assert {kind for share in SHARES for kind in share} == set(ORIGINALS)
        assert EACH * len(ORIGINALS) >= 5_000

    @pytest.mark.parametrize("kinds", SHARES, ids=lambda kinds: kinds[0])
    def test_are_refused_or_read_as_they_stand(self, kinds: tuple[str, ...]) -> None:
        answers = read_mutants(kinds, EACH)
        process = answers.pop("process")
        assert process["peak_mib"] < 500
        assert process["files"] < 10
        for kind, answer in answers.items():
            assert answer["faults"] == [], kind
            assert answer["timeouts"] == [], kind
            assert answer["read"] + answer["refused"] == EACH
            assert answer["refused"] > 50, kind
            assert answer["read"] > 10, kind
            assert answer["compared"] > 10, kind
            assert answer["grown_mib"] < 150, kind

    @pytest.mark.parametrize("kind", ORIGINALS)
    def test_leave_the_asker_and_the_file_as_they_were(self, kind: str, tmp_path: Path) -> None:
        data = mutant(kind, 3)
        path = tmp_path / "piece.bin"
        path.write_bytes(data)
        sentence = ""
        try:
            assert look_in_child(path).faces > 0
        except GeometryError as refusal:
            sentence = str(refusal)
        assert "made its reader stop" not in sentence
        assert sentence[-1:] in {".", ""}
        assert hashlib.sha256(path.read_bytes()).digest() == hashlib.sha256(data).digest()
        assert list(tmp_path.iterdir()) == [path]


class TestTheJudge:
    """What judges the mutants must be able to find fault."""

    def judged(self, monkeypatch: pytest.MonkeyPatch, change: Callable[[RawMesh], RawMesh], kind: str) -> dict[str, Any]:
        def changed(*args: Any, **kwargs: Any) -> tuple[MeshHeader, RawMesh]:
            header, mesh = read_mesh(*args, **kwargs)
            return header, change(mesh)

        monkeypatch.setattr(mutant_reader, "read_mesh", changed)
        # The limits of the reading process are not those of this one.
        monkeypatch.setattr(mutant_reader.signal, "setitimer", lambda *_: None)
        return mutant_reader._read_all(kind, 40)

    @pytest.mark.parametrize("kind", ORIGINALS)
    def test_notices_a_face_that_was_dropped(self, monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
        answer = self.judged(monkeypatch, lambda mesh: replace(mesh, faces=mesh.faces[:-1]), kind)
        assert answer["faults"]
        assert answer["compared"] == 0
        assert all("faces were read" in words for _, words in answer["faults"])

    @pytest.mark.parametrize("kind", ORIGINALS)
    def test_notices_a_point_that_was_moved(self, monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
        def moved(mesh: RawMesh) -> RawMesh:
            vertices = mesh.vertices.copy()
            vertices[mesh.faces[0, 0]] *= 1.001
            return replace(mesh, vertices=vertices)

        answer = self.judged(monkeypatch, moved, kind)
        assert answer["faults"]
        assert all("other corners" in words or "the two readers differ" in words for _, words in answer["faults"])

    def test_notices_what_a_file_sets_off(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def broken(mesh: RawMesh) -> RawMesh:
            raise IndexError("out of bounds")

        answer = self.judged(monkeypatch, broken, "OBJ")
        assert answer["faults"]
        assert answer["read"] == 0
