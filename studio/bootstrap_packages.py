"""Install the locked packages with pip, with one line of progress and a sentence when it fails; standard library only."""

import re
import subprocess
import time
from collections import deque
from pathlib import Path

from studio.bootstrap_say import NotPossibleError, Progress

# What pip prints, and what a person can do about it; the first that matches is said.
SENTENCES = (
    (
        r"No space left on device",
        "The disk is full. Free about 1.5 GB, then run this again.",
    ),
    (
        r"Permission denied|Read-only file system",
        "The environment's folder cannot be written. Change its rights, or copy the program to a folder of your own.",
    ),
    (
        r"THESE PACKAGES DO NOT MATCH THE HASHES",
        "A downloaded package is not the one that was locked. Nothing of it was installed. Try again on another network; "
        "if it happens again, a mirror or a proxy hands out altered files.",
    ),
    (
        r"name resolution|Name or service not known|nodename nor servname|Max retries exceeded|NewConnectionError|"
        r"Connection refused|timed out|ProxyError|SSLError|Network is unreachable",
        "The package index could not be reached. The first start needs a network: check the connection and pip's proxy "
        "or index settings (pip config list), then run this again.",
    ),
    (
        r"No matching distribution found|is not a supported wheel|requires a different Python",
        "No package is ready-built for this Python on this machine. Use Python 3.11, 3.12 or 3.13 on 64-bit Linux or macOS.",
    ),
    (
        r"No module named pip",
        "This environment has no pip. Add it with: python -m ensurepip",
    ),
)


def count_packages(lock: Path) -> int:
    """Return how many packages a lock names, those of other platforms included."""
    return len(re.findall(r"^[A-Za-z0-9][A-Za-z0-9._-]*==", lock.read_text(), re.MULTILINE))


def explain(output: str) -> str:
    """Return the sentence for what pip printed."""
    for pattern, sentence in SENTENCES:
        if re.search(pattern, output):
            return sentence
    return "The packages could not be installed; pip's last lines say why."


def _ensure_pip(python: Path) -> None:
    """Add pip to an environment that was made without it."""
    has_pip = subprocess.run([str(python), "-m", "pip", "--version"], capture_output=True, check=False).returncode == 0
    if not has_pip:
        subprocess.run([str(python), "-m", "ensurepip"], capture_output=True, check=False)


def install(lock: Path, python: Path) -> None:
    """Install exactly what the lock names, checked by hash, never built here; pip's own settings are honoured."""
    _ensure_pip(python)
    started, seen = time.monotonic(), 0
    progress = Progress("Installing the locked packages (the first time takes a minute)")
    command = [str(python), "-m", "pip", "install", "--disable-pip-version-check", "--no-input", "--progress-bar=off"]
    command += ["--require-hashes", "--only-binary=:all:", "-r", str(lock)]
    tail: deque[str] = deque(maxlen=40)
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace") as pip:
        for line in pip.stdout or ():
            tail.append(line.rstrip())
            if match := re.match(r"(?:Collecting|Requirement already satisfied:) ([A-Za-z0-9._-]+)", line):
                seen += 1
                progress.show(f"Fetching package {seen}: {match[1]}")
            elif line.startswith("Installing collected"):
                progress.show(f"Unpacking {seen} packages")
    if pip.returncode:
        progress.end("The packages were not installed.")
        raise NotPossibleError("\n".join([explain("\n".join(tail)), "", *list(tail)[-6:]]))
    progress.end(f"Installed {seen} packages in {time.monotonic() - started:.0f} s")
