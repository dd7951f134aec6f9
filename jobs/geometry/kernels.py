"""Have the compiled kernels ready before a measuring process, which may write no file, wants them; standard library only."""

import contextlib
import fcntl
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

from jobs.geometry.engine.folder import READY, kernel_folder

_ROOT = Path(__file__).resolve().parents[2]
_COMPILE_S = 400.0


def prepared_kernels(base: Path, environment: Mapping[str, str]) -> Path | None:
    """Return the folder of the compiled kernels, compiling them once if need be; None where that is not possible.

    Parameters
    ----------
    base : Path
        Folder that may be written to; kernels of each version of the program get a folder of their own in it.
    environment : mapping
        For the compiling process.

    Notes
    -----
    Compiling takes about 20 s. A second process that wants them waits for the first.
    """
    folder = kernel_folder(base)
    if (folder / READY).exists():
        return folder
    with contextlib.suppress(OSError, subprocess.SubprocessError), _only_one(folder):
        if not (folder / READY).exists():
            subprocess.run(
                [sys.executable, "-B", "-s", "-m", "jobs.geometry.engine.warm"],
                cwd=_ROOT,
                env={**environment, "NUMBA_CACHE_DIR": str(folder)},
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                timeout=_COMPILE_S,
                check=True,
            )
        return folder
    return None


@contextlib.contextmanager
def _only_one(folder: Path) -> Iterator[None]:
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
