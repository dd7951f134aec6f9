"""A house under test: real processes on a data folder, a database and a broker of their own."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
WITHIN_S = 60.0


def wait_for(what: str, holds: Callable[[], bool], within_s: float = WITHIN_S) -> None:
    """Wait until something holds; fail with its name otherwise."""
    deadline = time.monotonic() + within_s
    while not holds():
        if time.monotonic() > deadline:
            raise AssertionError(f"not within {within_s:g} s: {what}")
        time.sleep(0.1)


class House:
    """Starts and kills workers, and asks for prints as the web server would."""

    def __init__(
        self, folder: Path, *, database_url: str = "", redis_url: str = "", pool: str = "threads", migrated: Path | None = None
    ) -> None:
        self.folder, self.pool = folder, pool
        self.notes = folder / "notes"
        self.notes.mkdir(parents=True)
        self.environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("HANDLAID_")},
            "DJANGO_SETTINGS_MODULE": "tests.services.process_settings",
            "HANDLAID_DATA": str(folder / "data"),
            "HANDLAID_TEST_NOTES": str(self.notes),
            "HANDLAID_SWEEP_EVERY_S": "1",
            "HANDLAID_SWEEP_IN_WORKER": "1",
            "HANDLAID_DOCUMENT_LEASE_S": "4",
            "DATABASE_URL": database_url,
            "REDIS_URL": redis_url,
        }
        self.processes: list[subprocess.Popen[Any]] = []
        self.workers: list[subprocess.Popen[Any]] = []
        if migrated:
            (folder / "data").mkdir()
            shutil.copy(migrated, folder / "data" / migrated.name)
        else:
            self.run("migrate", "--verbosity", "0")
        self._desk = self.start([sys.executable, "-m", "tests.services.desk"], "desk", talks=True)

    def run(self, *arguments: str) -> None:
        """Run one Django command to its end."""
        done = subprocess.run(
            [sys.executable, "-m", "django", *arguments],
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr

    def start(self, command: list[str], name: str, *, talks: bool = False) -> "subprocess.Popen[Any]":
        """Start a process in a session of its own; its words go to a log."""
        with (self.folder / f"{name}.log").open("ab") as log:
            process = subprocess.Popen(
                command,
                cwd=ROOT,
                env=self.environment,
                stdin=subprocess.PIPE if talks else subprocess.DEVNULL,
                stdout=subprocess.PIPE if talks else log,
                stderr=log,
                text=talks,
                start_new_session=True,
            )
        self.processes.append(process)
        return process

    def tell(self, command: str) -> Any:
        """Give the desk a command and return its answer."""
        assert self._desk.stdin is not None
        assert self._desk.stdout is not None
        self._desk.stdin.write(command + "\n")
        self._desk.stdin.flush()
        answer = self._desk.stdout.readline()
        assert answer, (self.folder / "desk.log").read_text()
        return json.loads(answer)

    def states(self) -> list[str]:
        """Return the rows' states, oldest first."""
        return [row["state"] for row in self.tell("look")["rows"]]

    def start_worker(self) -> "subprocess.Popen[Any]":
        """Start a worker as `up` does."""
        self.workers.append(self._worker())
        return self.workers[-1]

    def _worker(self) -> "subprocess.Popen[Any]":
        command = [sys.executable, "-m", "celery", "-A", "studio.celery", "worker", "-l", "INFO", "-c", "2", "-P", self.pool]
        return self.start([*command, "-n", f"w{len(self.processes)}@house"], f"worker{len(self.processes)}")

    def states_kept(self) -> list[str]:
        """Start workers again that ended by themselves, as `up` and the containers do; return the rows' states."""
        for number, worker in enumerate(self.workers):
            if worker.poll() is not None:
                self.workers[number] = self._worker()
        return self.states()

    def kill(self, process: "subprocess.Popen[Any]") -> None:
        """Kill a process and its children at once, as a power cut would."""
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    def hold(self) -> None:
        """Make renderers wait in the middle of their work."""
        (self.notes / "hold").touch()

    def let_go(self) -> None:
        """Let renderers finish."""
        (self.notes / "hold").unlink()

    def begun(self) -> list[str]:
        """Return one line for each time that a renderer began."""
        path = self.notes / "begun"
        return path.read_text().splitlines() if path.exists() else []

    def close(self) -> None:
        """End every process that this house started."""
        for process in self.processes:
            if process.poll() is None:
                self.kill(process)
            for pipe in (process.stdin, process.stdout):
                if pipe:
                    pipe.close()
