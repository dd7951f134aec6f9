"""The limited process: what it answers, and that nothing a file does reaches the asker."""

import json
import os
import socket
import struct
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from jobs.geometry import line_reader, mesh_child
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_child import MeshNews, look_in_child, measure_in_child
from jobs.geometry.mesh_limits import CPU_S, MEMORY_BYTES
from jobs.geometry.texture import typed_texture
from jobs.geometry.walls_remarks import WALLS_TO_COME
from tests.jobs.geometry.builders import binary_stl, box_mesh, obj, ply, text_stl
from tests.jobs.geometry.packed_builders import glb, gltf, off, three_mf

ROOT = Path(__file__).resolve().parents[3]


def written(folder: Path, data: bytes, name: str = "piece.bin") -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def in_child(code: str, *, stdin: int | None = None) -> str:
    """Run a few lines in a fresh interpreter under the worker's limits."""
    lines = f"from jobs.geometry.mesh_worker import limit_process\nlimit_process(0)\n{code}"
    done = subprocess.run(
        [sys.executable, "-c", lines], cwd=ROOT, stdin=stdin, capture_output=True, text=True, check=False, timeout=60
    )
    return done.stdout + done.stderr


class TestMeasureInChild:
    @pytest.mark.parametrize("write", [binary_stl, obj, three_mf])
    def test_gives_the_same_takeoff_for_formats_of_each_sort(self, tmp_path: Path, write: Callable[..., bytes]) -> None:
        takeoff = measure_in_child(written(tmp_path, write(*box_mesh())), MeshBrief(flange_width_mm=40))
        assert takeoff.area.value == pytest.approx(0.0296)
        assert takeoff.volume.value == pytest.approx(0.00048)
        assert takeoff.box_mm == pytest.approx((100, 80, 60))
        assert takeoff.flange_area.value == pytest.approx(0.36 * 0.04 + np.pi * 0.04**2)

    def test_carries_unit_axis_board_and_texture(self, tmp_path: Path) -> None:
        path = written(tmp_path, binary_stl(*box_mesh(1, 2, 3)))
        brief = MeshBrief(unit="in", up_axis="x", stands_on_board=False, texture=typed_texture(1.2))
        takeoff = measure_in_child(path, brief)
        assert takeoff.box_mm == pytest.approx((2 * 25.4, 3 * 25.4, 25.4))
        assert takeoff.texture_factor.value == 1.2
        assert not takeoff.stands_on_board

    def test_brings_the_sentence_of_a_refusal(self, tmp_path: Path) -> None:
        with pytest.raises(GeometryError, match="PDF"):
            measure_in_child(written(tmp_path, b"%PDF-1.7"), MeshBrief())

    def test_a_file_that_is_gone(self, tmp_path: Path) -> None:
        with pytest.raises(GeometryError, match="upload it again"):
            measure_in_child(tmp_path / "gone.stl", MeshBrief())

    def test_too_much_memory_gets_its_sentence(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        # The child runs on less memory than its mesh needs.
        ball = trimesh.creation.icosphere(subdivisions=7, radius=50)
        path = written(tmp_path, ball.export(file_type="stl"))
        with monkeypatch.context() as patch:
            patch.setattr(mesh_child, "_WORKER", ["-c", WITH_LIMIT.format(name="MEMORY_BYTES", value=300_000_000)])
            with pytest.raises(GeometryError, match="more memory"):
                measure_in_child(path, MeshBrief())
        # exact: no facet of a ball lies outside it.
        assert 0.99 < look_in_child(path).volume / (4 / 3 * np.pi * 50**3) < 1

    def test_too_much_processor_time_gets_its_sentence(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        path = written(tmp_path, binary_stl(*box_mesh()))
        spin = "\nimport jobs.geometry.mesh_worker as w\nw._answer = lambda *a: [0 for _ in iter(int, 1)]\nw.main()"
        monkeypatch.setattr(mesh_child, "_WORKER", ["-c", WITH_LIMIT.format(name="CPU_S", value=1).rsplit("\n", 1)[0] + spin])
        with pytest.raises(GeometryError, match="too long"):
            measure_in_child(path, MeshBrief())

    def test_too_much_time_by_the_clock_gets_its_sentence_and_leaves_no_process(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        path = written(tmp_path, binary_stl(*box_mesh()))
        note, slept = tmp_path / "pid", tmp_path / "slept"
        sleep = f"import os, pathlib, time\npathlib.Path({str(note)!r}).write_text(str(os.getpid()))\ntime.sleep(20)\n"
        sleep += f"pathlib.Path({str(slept)!r}).touch()"
        monkeypatch.setattr(mesh_child, "_WORKER", ["-c", sleep])
        monkeypatch.setattr(mesh_child, "WALL_S", 1.0)
        with pytest.raises(GeometryError, match="too long"):
            measure_in_child(path, MeshBrief())
        with pytest.raises(ProcessLookupError):
            os.kill(int(note.read_text()), 0)
        assert not slept.exists()

    @pytest.mark.parametrize(
        "end", ["import os; os.abort()", "import os; os._exit(0)", "print('not json')", "raise SystemExit(3)", "print('[]')"]
    )
    def test_a_reader_that_dies_gets_its_sentence(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, end: str) -> None:
        monkeypatch.setattr(mesh_child, "_WORKER", ["-c", end])
        with pytest.raises(GeometryError, match="damaged"):
            measure_in_child(written(tmp_path, b"x"), MeshBrief())

    def test_tells_its_steps_and_the_takeoff_before_its_walls(self, tmp_path: Path) -> None:
        news: list[MeshNews] = []
        takeoff = measure_in_child(written(tmp_path, binary_stl(*box_mesh())), MeshBrief(), report=news.append)
        assert [(each.step, each.faces) for each in news] == [("read", 12), ("surface", 0)]
        early = news[1].takeoff
        assert early is not None
        assert early.walls is None
        assert WALLS_TO_COME in early.remarks
        assert WALLS_TO_COME not in takeoff.remarks
        assert (early.area, early.volume, early.mean_curvature) == (takeoff.area, takeoff.volume, takeoff.mean_curvature)

    def test_ends_when_nobody_wants_it_any_more(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        note = tmp_path / "pid"
        code = f"import os, pathlib, time\npathlib.Path({str(note)!r}).write_text(str(os.getpid()))\n"
        monkeypatch.setattr(mesh_child, "_WORKER", ["-c", code + 'print(\'{"step": "read"}\', flush=True)\ntime.sleep(20)'])

        def refuse(news: MeshNews) -> None:
            raise KeyError(news.step)

        with pytest.raises(KeyError, match="read"):
            measure_in_child(written(tmp_path, b"x"), MeshBrief(), report=refuse)
        with pytest.raises(ProcessLookupError):
            os.kill(int(note.read_text()), 0)

    def test_a_reader_that_says_too_much_gets_its_sentence(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(line_reader, "MOST_BYTES", 100_000)
        monkeypatch.setattr(mesh_child, "_WORKER", ["-c", "import itertools\nfor _ in itertools.count(): print('{}' * 1000)"])
        with pytest.raises(GeometryError, match="damaged"):
            measure_in_child(written(tmp_path, b"x"), MeshBrief())

    def test_works_from_several_threads_at_once(self, tmp_path: Path) -> None:
        path = written(tmp_path, binary_stl(*box_mesh()))
        areas = []
        threads = [
            threading.Thread(target=lambda: areas.append(measure_in_child(path, MeshBrief()).area.value)) for _ in range(2)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert areas == [pytest.approx(0.0296)] * 2


WITH_LIMIT = (
    "import jobs.geometry.mesh_limits as limits\nlimits.{name} = {value}\nfrom jobs.geometry.mesh_worker import main\nmain()"
)


class TestLimitProcess:
    def test_sets_memory_processor_files_and_dumps(self) -> None:
        shown = in_child(
            "import json, resource as r\nprint(json.dumps([r.getrlimit(x) for x in "
            "(r.RLIMIT_AS, r.RLIMIT_CPU, r.RLIMIT_FSIZE, r.RLIMIT_CORE)]))"
        )
        memory, cpu, files, core = json.loads(shown)
        assert memory == [MEMORY_BYTES, MEMORY_BYTES]
        assert cpu == [CPU_S, CPU_S + 2]
        assert files == [0, 0]
        assert core == [0, 0]

    def test_no_file_can_be_written(self, tmp_path: Path) -> None:
        shown = in_child(f"open({str(tmp_path / 'x')!r}, 'wb').write(b'x' * 100_000)")
        assert "File too large" in shown
        assert (tmp_path / "x").stat().st_size == 0

    def test_memory_beyond_the_limit_is_denied(self) -> None:
        assert "MemoryError" in in_child("bytearray(2_000_000_000)")

    def test_the_network_is_out_of_reach_where_the_system_allows_it(self) -> None:
        if "alone" not in in_child("import os\nprint('alone' if len(os.listdir('/sys/class/net')) else '')"):
            pytest.skip("this system shows no network devices")
        with socket.create_server(("127.0.0.1", 0)) as server:
            port = server.getsockname()[1]
            shown = in_child(f"import socket\nsocket.create_connection(('127.0.0.1', {port}), 2)\nprint('reached')")
        if "reached" in shown:
            pytest.skip("this system does not let a process leave the network")
        assert "OSError" in shown or "unreachable" in shown or "refused" in shown


class TestLookInChild:
    @pytest.mark.parametrize("write", [binary_stl, text_stl, obj, ply, glb, gltf, three_mf, off])
    def test_sees_the_same_in_every_format(self, tmp_path: Path, write: Callable[..., bytes]) -> None:
        glance = look_in_child(written(tmp_path, write(*box_mesh())))
        assert glance.faces == 12
        assert sorted(glance.extents) == pytest.approx((60, 80, 100))
        # exact, of a box
        assert glance.area == pytest.approx(37_600)
        assert glance.volume == pytest.approx(480_000)

    def test_tells_format_faces_extents_and_likely_unit(self, tmp_path: Path) -> None:
        glance = look_in_child(written(tmp_path, binary_stl(*box_mesh(0.10, 0.08, 0.30))))
        assert glance.format == "binary STL"
        assert glance.faces == 12
        assert glance.extents == pytest.approx((0.10, 0.08, 0.30))
        assert glance.guess.unit == "m"
        assert glance.guess.largest_mm["in"] == pytest.approx(7.62)
        # exact: 2(ab + bc + ca) and abc, in the file's own unit
        assert glance.area == pytest.approx(0.124)
        assert glance.volume == pytest.approx(0.0024)

    def test_tells_what_the_file_says_of_its_unit_and_axis(self, tmp_path: Path) -> None:
        glance = look_in_child(written(tmp_path, glb(*box_mesh(0.10, 0.08, 0.30))))
        assert (glance.format, glance.faces, glance.guess.unit, glance.up_axis) == ("GLB", 12, "m", "y")
        assert "metres" in glance.said
        glance = look_in_child(written(tmp_path, three_mf(*box_mesh(1, 2, 3), unit="inch")))
        assert (glance.format, glance.guess.unit, glance.up_axis) == ("3MF", "mm", "z")
        assert glance.extents == pytest.approx((25.4, 50.8, 76.2))

    def test_refuses_a_lying_header(self, tmp_path: Path) -> None:
        with pytest.raises(GeometryError, match="promises"):
            look_in_child(written(tmp_path, b"\0" * 80 + struct.pack("<I", 2**32 - 1) + b"\0" * 50))


class TestTheAsker:
    def test_imports_no_arrays(self) -> None:
        names = (
            "mesh_child", "mesh_files", "mesh_brief", "takeoff", "tape", "typed", "solids", "coats", "takeoff_store",
            "mesh_units",
        )  # fmt: skip
        code = "import sys\n" + "\n".join(f"import jobs.geometry.{name}" for name in names)
        code += "\nprint([m for m in ('numpy', 'scipy', 'trimesh', 'django') if m in sys.modules])"
        done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True, timeout=60)
        assert done.stdout.strip() == "[]"
