"""Have the compiled kernels ready before a measuring process, which may write no file, wants them; standard library only."""

import contextlib
import fcntl
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

from jobs.geometry.engine.folder import READY, kernel_folder

_ROOT = Path(__file__).resolve().parents[2]
COMPILE_S = 400.0


class KernelsLate(Exception):
    """The kernels are not compiled yet, though this machine can compile them: what wants them is asked for again later."""


def prepared_kernels(base: Path, environment: Mapping[str, str]) -> Path | None:
    """Return the folder of the compiled kernels, compiling them once if need be; None where that is not possible.

    Parameters
    ----------
    base : Path
        Folder that may be written to; kernels of each version of the program get a folder of their own in it.
    environment : mapping
        For the compiling process.

    Raises
    ------
    KernelsLate
        When this machine is so slow or busy that compiling was broken off.

    Notes
    -----
    Compiling takes about half a minute on two idle processors, twice that on one. A second process that wants them waits
    for the first.
    """
    folder = kernel_folder(base)
    if (folder / READY).exists():
        return folder
    with contextlib.suppress(OSError), _only_one(folder):
        return folder if (folder / READY).exists() or _compile(folder, environment) else None
    return None


def _compile(folder: Path, environment: Mapping[str, str]) -> bool:
    """Run the compiling processes to their end, or end all of them; what they have kept by then is not lost."""
    process = subprocess.Popen(
        [sys.executable, "-B", "-s", "-m", "jobs.geometry.engine.warm"],
        cwd=_ROOT,
        env={**environment, "NUMBA_CACHE_DIR": str(folder)},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        return process.wait(COMPILE_S) == 0
    except subprocess.TimeoutExpired:
        raise KernelsLate("Compiling takes longer than it may; what is compiled is kept, so that trying again goes on.") from None
    finally:
        if process.poll() is None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait()


@contextlib.contextmanager
def _only_one(folder: Path) -> Iterator[None]:
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
