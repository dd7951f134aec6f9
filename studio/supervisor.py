"""Run the studio's processes together and stop them together; standard library only, so that it stays small in memory."""

import contextlib
import ctypes
import os
import signal
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from urllib.error import URLError

from studio.bootstrap_say import say

LARGEST_LOG_BYTES = 5_000_000
READY_WITHIN_S = 60.0
STOP_WITHIN_S = 15.0
# A child that ran this long is steady: what ended it is a new event, not the old one again.
STEADY_AFTER_S = 120.0
PR_SET_PDEATHSIG = 1


def _die_with_parent() -> None:
    """Ask Linux to end this child when the supervisor is killed, so that no port stays held."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)


@dataclass(slots=True)
class Child:
    """One process that is kept running."""

    name: str
    command: list[str]
    log: Path
    folder: Path
    restarts: int = 0
    restarts_left: int = 0
    started_at_s: float = 0.0
    process: "subprocess.Popen[bytes] | None" = field(default=None, repr=False)

    def start(self, environment: dict[str, str]) -> None:
        """Start it in a session of its own, so that Ctrl-C reaches the supervisor alone."""
        self.started_at_s = time.monotonic()
        if self.log.exists() and self.log.stat().st_size > LARGEST_LOG_BYTES:
            self.log.replace(self.log.with_suffix(".1.log"))
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                self.command,
                env=environment,
                cwd=self.folder,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                start_new_session=True,
                preexec_fn=_die_with_parent if sys.platform.startswith("linux") else None,  # noqa: PLW1509 - one thread here
            )

    def ended(self) -> int | None:
        """Return the exit code once it has ended."""
        return self.process.poll() if self.process else None

    def ask_to_stop(self) -> None:
        """Send TERM to the main process alone; it stops its own children in order."""
        if self.process and self.process.poll() is None:
            self.process.terminate()

    def kill(self) -> None:
        """Kill whatever is left of its session."""
        if self.process:
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()

    def tail(self, lines: int = 8) -> str:
        """Return its log's last lines."""
        try:
            text = self.log.read_bytes()[-8000:].decode(errors="replace")
        except OSError:
            return ""
        return "\n".join(f"    {line}" for line in text.splitlines()[-lines:])


class Supervisor:
    """Keep one essential child and some others running until a signal or a failure."""

    def __init__(self, *, essential: Child, others: list[Child], environment: dict[str, str], pause_s: float = 0.25) -> None:
        self.essential = essential
        self.children = [essential, *others]
        self.environment = environment
        self.pause_s = pause_s
        self.stopping = threading.Event()
        self.signals = 0

    def run(self, *, health_url: str, ready: Callable[[], None]) -> int:
        """Start, wait until the address answers, watch, stop; return the exit code."""
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self._hear)
        try:
            for child in self.children:
                child.restarts_left = child.restarts
                child.start(self.environment)
            if self._wait_until_ready(health_url):
                ready()
                self._watch()
        finally:
            code = self._stop()
        return code

    def _hear(self, _number: int, _frame: object) -> None:
        self.signals += 1
        self.stopping.set()

    def _wait_until_ready(self, health_url: str) -> bool:
        deadline = time.monotonic() + READY_WITHIN_S
        while time.monotonic() < deadline:
            with contextlib.suppress(URLError, OSError), urllib.request.urlopen(health_url, timeout=5) as answer:  # noqa: S310
                if answer.status == 200:
                    return True
            if self.essential.ended() is not None or self.stopping.wait(0.1):
                return False
        say(f"The web server does not answer. Its log says:\n{self.essential.tail()}")
        self.essential.kill()
        return False

    def _watch(self) -> None:
        while not self.stopping.wait(self.pause_s):
            for child in self.children:
                if child.ended() is None:
                    continue
                if child is self.essential:
                    return
                self._revive(child)

    def _revive(self, child: Child) -> None:
        """Start a child again; after too many times leave it and say so."""
        say(f"The {child.name} ended (code {child.ended()}). Its log says:\n{child.tail()}")
        child.kill()
        if time.monotonic() - child.started_at_s > STEADY_AFTER_S:
            child.restarts_left = child.restarts
        if child.restarts_left <= 0:
            say(f"The {child.name} ended too often and is left off. The pages work; prints wait until you start again.")
            self.children.remove(child)
            return
        child.restarts_left -= 1
        say(f"Starting the {child.name} again.")
        child.start(self.environment)

    def _stop(self) -> int:
        """Stop every child, by force after a while or a second signal; 0 when a person asked for it."""
        asked = self.stopping.is_set()
        if not asked and self.essential.ended() is not None:
            say(f"The web server ended (code {self.essential.ended()}). Its log says:\n{self.essential.tail()}")
        elif asked:
            say("\nStopping.")
        for child in self.children:
            child.ask_to_stop()
        deadline, heard = time.monotonic() + STOP_WITHIN_S, self.signals
        while any(child.ended() is None for child in self.children) and time.monotonic() < deadline and self.signals == heard:
            time.sleep(0.05)
        for child in self.children:
            child.kill()
        if asked:
            say("Stopped. Nothing is lost: unfinished prints go on at the next start.")
        return 0 if asked else 1
