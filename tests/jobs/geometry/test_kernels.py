"""Compiling ahead: by one process at a time, kept when it is broken off, and never a reason to refuse anything."""

import os
import subprocess
import time
from pathlib import Path
from typing import Any

import pytest

from jobs.geometry import kernels, mesh_child
from jobs.geometry.engine.folder import READY, kernel_folder
from jobs.geometry.kernels import KernelsLate, prepared_kernels


def stands_in(monkeypatch: pytest.MonkeyPatch, script: str) -> None:
    """Let a shell script stand in for the compiling process."""
    start = subprocess.Popen
    monkeypatch.setattr(kernels.subprocess, "Popen", lambda command, **given: start(["/bin/sh", "-c", script], **given))


class TestPreparedKernels:
    def test_are_there_when_the_compiler_is_done(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        stands_in(monkeypatch, 'touch "$NUMBA_CACHE_DIR/ready"')
        folder = prepared_kernels(tmp_path, os.environ)
        assert folder == kernel_folder(tmp_path)
        assert (folder / READY).exists()

    def test_are_none_where_the_compiler_fails(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        stands_in(monkeypatch, "exit 3")
        assert prepared_kernels(tmp_path, os.environ) is None

    def test_come_late_where_compiling_takes_too_long_and_all_its_processes_end(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(kernels, "COMPILE_S", 0.2)
        stands_in(monkeypatch, f"sh -c 'echo $$ > {tmp_path}/other; exec sleep 60' & wait")
        with pytest.raises(KernelsLate):
            prepared_kernels(tmp_path, os.environ)
        other = int((tmp_path / "other").read_text())
        for _ in range(100):
            state = Path(f"/proc/{other}/stat")
            if not state.exists() or state.read_text().split()[2] == "Z":
                break
            time.sleep(0.02)
        else:
            pytest.fail("the second compiling process goes on")


class TestWaitForKernels:
    def test_goes_on_where_there_is_no_compiler(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(mesh_child, "ready_to_measure", lambda: None)
        assert mesh_child.wait_for_kernels()

    def test_says_when_they_are_late(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def late() -> Any:
            raise KernelsLate

        monkeypatch.setattr(mesh_child, "ready_to_measure", late)
        assert not mesh_child.wait_for_kernels()
