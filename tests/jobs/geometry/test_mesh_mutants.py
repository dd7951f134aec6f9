"""Damaged mesh files: each is refused with a sentence, or read exactly as it now stands."""

import io
import random
import re
import resource
import struct
from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_files import MeshFormat
from jobs.geometry.mesh_reader import read_mesh
from jobs.geometry.mesh_takeoff import takeoff_from_mesh
from tests.jobs.geometry.builders import binary_stl, obj, ply, text_stl

BALL = trimesh.creation.icosphere(subdivisions=1, radius=50)
ORIGINALS = {
    "binary STL": binary_stl(BALL.vertices, BALL.faces),
    "text STL": text_stl(BALL.vertices, BALL.faces),
    "OBJ": obj(BALL.vertices, BALL.faces),
    "text PLY": ply(BALL.vertices, BALL.faces),
    "little-endian PLY": ply(BALL.vertices, BALL.faces, "binary_little_endian"),
    "big-endian PLY": ply(BALL.vertices, BALL.faces, "binary_big_endian"),
}
MUTANTS_EACH = 120
# Ways to write a number that is none, or far too large.
POISON = (b"nan", b"-inf", b"1e999", b"4294967295", b"-1", b"\x00", b"\xff\xff\xff\xff", b"\x00\x00\xc0\x7f", b"9" * 40)


def mutant(data: bytes, chance: random.Random) -> bytes:
    """Damage a file: flip bits, cut, double, swap, or poison it."""
    out = bytearray(data)
    for _ in range(chance.choice([1, 1, 1, 3, 20])):
        at = chance.randrange(len(out))
        match chance.randrange(6):
            case 0:
                out[at] ^= 1 << chance.randrange(8)
            case 1:
                del out[at:]
            case 2:
                del out[at : at + chance.randrange(1, 60)]
            case 3:
                out[at:at] = out[at : at + chance.randrange(1, 60)]
            case 4:
                poison = chance.choice(POISON)
                out[at : at + len(poison)] = poison
            case _:
                head = chance.randrange(min(300, len(out)))
                out[head : head + 4] = chance.choice([b"\xff\xff\xff\xff", b"\x00\x00\x00\x00", b"9999"])
        if not out:
            break
    return bytes(out)


def facts_of(data: bytes, mesh_format: MeshFormat) -> tuple[int, Any]:
    """Count corners or faces by other means than the readers: fixed records, or a pattern over the whole text."""
    match mesh_format:
        case MeshFormat.STL_BINARY:
            count = (len(data) - 84) // 50
            return count, np.array([struct.unpack_from("<9f", data, 84 + 50 * i + 12) for i in range(count)])
        case MeshFormat.STL_TEXT:
            rows = re.findall(rb"(?i)(?:^|[\r\n])\s*vertex[ \t\f\v]+([^\r\n]*)", data)
            return len(rows) // 3, np.array([[float(word) for word in row.split()] for row in rows]).reshape(-1, 9)
        case MeshFormat.OBJ:
            faces = re.findall(rb"(?:^|[\r\n])\s*f[ \t\f\v]+([^\r\n]*)", data)
            return sum(len(row.split()) - 2 for row in faces), None
        case _:
            found = re.search(rb"element face (\d+)", data)
            return int(found.group(1)) if found else -1, None


class TestMutants:
    @pytest.mark.parametrize("kind", ORIGINALS)
    def test_are_refused_or_read_as_they_stand(self, kind: str) -> None:
        chance = random.Random(f"handlaid {kind}")
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        refusals, read = [], 0
        for _ in range(MUTANTS_EACH):
            data = mutant(ORIGINALS[kind], chance)
            try:
                header, mesh = read_mesh(io.BytesIO(data), len(data))
            except GeometryError as refusal:
                refusals.append(str(refusal))
                continue
            read += 1
            assert np.isfinite(mesh.vertices).all()
            count, corners = facts_of(data, header.format)
            assert len(mesh.faces) == count + (mesh.split_polygons if header.format is MeshFormat.PLY else 0)
            if corners is not None:
                assert np.allclose(mesh.vertices[mesh.faces].reshape(-1, 9), corners, rtol=1e-6, atol=1e-30)
            try:
                takeoff = takeoff_from_mesh(mesh, MeshBrief(stands_on_board=False))
            except GeometryError as refusal:
                refusals.append(str(refusal))
            else:
                assert takeoff.area.value > 0
        assert len(refusals) > 10
        assert read > 0
        assert all(sentence.endswith(".") for sentence in refusals)
        grown_mib = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
        assert grown_mib < 200
