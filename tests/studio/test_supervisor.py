"""The supervisor: restarts that are counted, a stop that always ends, logs that stay small."""

import sys
import threading
import time
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from studio import supervisor
from studio.supervisor import Child, Supervisor

FOREVER = "import time; time.sleep(60)"
STUBBORN = "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); print('ready', flush=True); time.sleep(60)"


def child(folder: Path, code: str, name: str = "worker", **values: Any) -> Child:
    return Child(name=name, command=[sys.executable, "-c", code], log=folder / f"{name}.log", folder=folder, **values)


def house(essential: Child, *others: Child) -> Supervisor:
    return Supervisor(essential=essential, others=list(others), environment={"PATH": "/usr/bin:/bin"}, pause_s=0.02)


def run(made: Supervisor, *, stop_after_s: float | None = None) -> int:
    """Run without an address to wait for and without touching this process's signals."""
    if stop_after_s is not None:
        threading.Timer(stop_after_s, made._hear, (15, None)).start()
    with patch.object(supervisor.signal, "signal"), patch.object(made, "_wait_until_ready", return_value=True):
        return made.run(health_url="", ready=lambda: None)


class TestSupervisor:
    def test_ends_with_0_when_asked_to_stop(self, tmp_path: Path) -> None:
        web, worker = child(tmp_path, FOREVER, "web"), child(tmp_path, FOREVER)
        assert run(house(web, worker), stop_after_s=0.3) == 0
        assert web.ended() is not None
        assert worker.ended() is not None

    def test_ends_with_1_and_the_last_lines_when_the_essential_child_ends(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        web, worker = child(tmp_path, "print('the address is taken'); raise SystemExit(3)", "web"), child(tmp_path, FOREVER)
        assert run(house(web, worker)) == 1
        said = capsys.readouterr().out
        assert "code 3" in said
        assert "the address is taken" in said
        assert worker.ended() is not None

    def test_leaves_a_child_off_that_ends_again_and_again(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        web, worker = child(tmp_path, FOREVER, "web"), child(tmp_path, "raise SystemExit(7)", restarts=2)
        assert run(house(web, worker), stop_after_s=2.5) == 0
        said = capsys.readouterr().out
        assert said.count("Starting the worker again") == 2
        assert "ended too often" in said

    def test_counts_anew_once_a_child_was_steady(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        web, worker = child(tmp_path, FOREVER, "web"), child(tmp_path, "raise SystemExit(7)", restarts=1)
        with patch.object(supervisor, "STEADY_AFTER_S", 0.0):
            run(house(web, worker), stop_after_s=2.0)
        said = capsys.readouterr().out
        assert said.count("Starting the worker again") > 2
        assert "ended too often" not in said

    def test_kills_a_child_that_does_not_listen(self, tmp_path: Path) -> None:
        web = child(tmp_path, STUBBORN, "web")
        made = house(web)
        started = time.monotonic()
        with patch.object(supervisor, "STOP_WITHIN_S", 0.3):
            assert run(made, stop_after_s=1.0) == 0
        assert time.monotonic() - started < 30
        assert web.ended() in {-9, -15}

    def test_says_that_the_web_server_never_answered(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        web = child(tmp_path, "print('waiting for a sign', flush=True); " + FOREVER, "web")
        made = house(web)
        with patch.object(supervisor, "READY_WITHIN_S", 0.5), patch.object(supervisor.signal, "signal"):
            assert made.run(health_url="http://127.0.0.1:9/health/", ready=lambda: None) == 1
        assert "does not answer" in capsys.readouterr().out


class TestChild:
    def test_sets_a_large_log_aside(self, tmp_path: Path) -> None:
        made = child(tmp_path, "print('fresh')")
        made.log.write_bytes(b"x" * 10)
        with patch.object(supervisor, "LARGEST_LOG_BYTES", 9):
            made.start({})
        assert made.process is not None
        made.process.wait()
        assert made.log.read_text() == "fresh\n"
        assert made.log.with_suffix(".1.log").read_bytes() == b"x" * 10
        made.kill()

    def test_shows_the_end_of_its_log(self, tmp_path: Path) -> None:
        made = child(tmp_path, "")
        assert made.tail() == ""
        made.log.write_text("\n".join(f"line {number}" for number in range(20)))
        assert made.tail(2) == "    line 18\n    line 19"
