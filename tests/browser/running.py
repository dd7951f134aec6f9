"""A studio started as a person starts it, with `manage.py up`, on a folder, a database and a broker of its own."""

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

ROOT = Path(__file__).resolve().parent.parent.parent
READY_WITHIN_S = 90.0
STUDIED_WITHIN_S = 150.0


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class RunningStudio:
    """The web server and one worker, with the demo studio loaded."""

    def __init__(self, folder: Path, **servers: str) -> None:
        self.folder = folder
        self.log = folder / "up.log"
        folder.mkdir(parents=True, exist_ok=True)
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("HANDLAID_", "DJANGO_"))}
        own = {"HANDLAID_DATA": str(folder / "data"), "HANDLAID_KERNELS": os.environ["HANDLAID_KERNELS"]}
        self.port = free_port()
        with self.log.open("wb") as log:
            self.process = subprocess.Popen(
                [sys.executable, str(ROOT / "manage.py"), "up", "--port", str(self.port)],
                cwd=ROOT,
                env={**kept, **own, **servers},
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        self._wait()
        accounts = json.loads((folder / "data" / "demo-sign-in.json").read_text())["accounts"]
        self.accounts: dict[str, dict[str, str]] = {account["role"]: account for account in accounts}

    @property
    def address(self) -> str:
        """Where it answers."""
        return f"http://127.0.0.1:{self.port}"

    def said(self) -> str:
        """What it wrote on the terminal."""
        return self.log.read_text(errors="replace")

    def _wait(self) -> None:
        deadline = time.monotonic() + READY_WITHIN_S
        while "ready" not in self.said():
            if self.process.poll() is not None or time.monotonic() > deadline:
                self.stop()
                raise AssertionError(f"the studio did not start:\n{self.said()}")
            time.sleep(0.2)

    def stop(self) -> int:
        """Stop it as Ctrl-C does and return its exit code."""
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGINT)
        try:
            return self.process.wait(timeout=40)
        except subprocess.TimeoutExpired:
            os.killpg(self.process.pid, signal.SIGKILL)
            return self.process.wait()


def sign_in(page: Any, studio: RunningStudio, role: str = "owner") -> None:
    """Sign in through the page."""
    account = studio.accounts[role]
    page.goto(f"{studio.address}/sign-in/")
    page.get_by_label("E-mail").fill(account["email"])
    page.get_by_label("Password").fill(account["passphrase"])
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/jobs/")


def wait_for_the_study(page: Page, studio: RunningStudio, number: int) -> None:
    """Have the worker finish the study of a job's piece, on which its pages, its plan and so its days wait."""
    # Asked for beside the page: one that shows a study loads itself anew when that is done, in the middle of going elsewhere.
    address = f"{studio.address}/jobs/{number}/piece/shape/"
    deadline = time.monotonic() + STUDIED_WITHIN_S
    while not re.search(r"\sdata-shape[\s=>]", page.request.get(address).text()):
        assert time.monotonic() < deadline, f"job {number} is not studied"
        page.wait_for_timeout(1000)
