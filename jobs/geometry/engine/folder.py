"""Where compiled kernels are kept; standard library only, so that the asking process can name the place too."""

import hashlib
import platform
from pathlib import Path

_HERE = Path(__file__).resolve().parent
READY = "ready"


def kernel_folder(base: Path) -> Path:
    """Name the folder of the kernels compiled from exactly this source, for this Python and processor.

    A compiler's own check sees a change in a kernel's file, not in those it calls; a folder named after all of them does.
    """
    total = hashlib.sha256()
    for path in sorted(_HERE.glob("*.py")):
        total.update(path.name.encode())
        total.update(path.read_bytes())
    total.update("|".join((platform.python_version(), platform.machine(), str(_HERE))).encode())
    return base / total.hexdigest()[:16]


def default_base() -> Path:
    """Name the folder for kernels when nobody names another: the data folder beside the program."""
    return _HERE.parents[2] / "var" / "kernels"
