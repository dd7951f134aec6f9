"""Arrays of a glTF file: every byte that they claim must be there."""

from typing import Any

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.gltf_document import GltfDocument

_KINDS = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
_WIDTHS = {"SCALAR": 1, "VEC3": 3}
# A normalized whole number of so many bits stands for itself over this (glTF 2.0, 3.6.2.2).
_FULL = {"i1": 127, "u1": 255, "i2": 32767, "u2": 65535}
Array = np.ndarray[Any, np.dtype[Any]]


def count_of(document: GltfDocument, index: object) -> int:
    """Return how many rows an accessor declares, without reading them."""
    return document.whole(document.row("accessors", index), "count")


def points_of(document: GltfDocument, index: object) -> Array:
    """Return points (n, 3), float32, or float64 where whole numbers stand for them."""
    row = document.row("accessors", index)
    found = _rows(document, index, "VEC3")
    kind = found.dtype.str[1:]
    if kind == "f4":
        return found
    if kind == "u4":
        raise document.damaged("its points are whole numbers of 32 bits")
    points: Array = found.astype(np.float64)
    # The most negative number stands for −1 like its neighbour.
    return np.maximum(points / _FULL[kind], -1.0) if row.get("normalized") is True else points


def indices_of(document: GltfDocument, index: object) -> Array:
    """Return numbers of points (n), int64."""
    found = _rows(document, index, "SCALAR")
    if found.dtype.str[1:] not in {"u1", "u2", "u4"}:
        raise document.damaged("its faces are not listed by whole numbers")
    return found[:, 0].astype(np.int64)


def _rows(document: GltfDocument, index: object, wanted: str) -> Array:
    row = document.row("accessors", index)
    if "sparse" in row or "bufferView" not in row:
        raise GeometryError(
            f"The {document.name} file keeps its points as changes to others (sparse or empty accessors), which is not read. "
            "Export the scan again, or as binary STL."
        )
    kind = _KINDS.get(document.whole(row, "componentType"))
    if kind is None or row.get("type") != wanted:
        raise document.damaged(f"an array is of kind {str(row.get('type'))[:10]} where {wanted} is needed")
    number, width, count = np.dtype(kind), _WIDTHS[wanted], document.whole(row, "count")
    view = document.row("bufferViews", row["bufferView"])
    data = document.buffer(view.get("buffer"))
    start, length = document.whole(view, "byteOffset", 0), document.whole(view, "byteLength")
    offset, size = document.whole(row, "byteOffset", 0), number.itemsize * width
    stride = document.whole(view, "byteStride", size)
    if stride < size or stride > 252:
        raise document.damaged(f"the rows of an array lie {stride} bytes apart")
    if start + length > len(data) or (count and offset + stride * (count - 1) + size > length):
        raise GeometryError(
            f"An array of the {document.name} file promises {count:,} rows, more than its data hold: it was cut short or "
            "damaged. Export the scan again."
        )
    if not count:
        return np.empty((0, width), number)
    return np.ndarray((count, width), number, data, start + offset, (stride, number.itemsize))
