"""The compiler's settings, in one place: kernels are kept on disk, and compiled for this processor."""

import contextlib
from typing import Any

import numba
from numba import njit, prange

from jobs.geometry.engine.folder import default_base, kernel_folder

__all__ = ["exact", "inner", "loop", "prange"]

if not numba.config.CACHE_DIR:  # type: ignore[attr-defined]
    with contextlib.suppress(OSError):
        _folder = kernel_folder(default_base())
        _folder.mkdir(parents=True, exist_ok=True)
        numba.config.CACHE_DIR = str(_folder)  # type: ignore[attr-defined]

# Our inputs are finite, so sums may be rearranged.
inner: Any = njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
loop: Any = njit(cache=True, fastmath=True, nogil=True, error_model="numpy", parallel=True)
# For reading numbers, where every rounding counts.
exact: Any = njit(cache=True, nogil=True, error_model="numpy")
