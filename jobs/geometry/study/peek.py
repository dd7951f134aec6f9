"""Reading one thing out of a kept workspace without the rest, which may be large."""

from typing import BinaryIO

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.workspace import Picture

_UNREADABLE = "The drawings of this piece cannot be read; let the shape be studied again."


def read_picture(stream: BinaryIO) -> Picture | None:
    """Read the light mesh and its layers; None when none was kept, GeometryError when the file is damaged."""
    try:
        with np.load(stream, allow_pickle=False) as data:
            if "picture_vertices" not in data.files:
                return None
            layers = {name.removeprefix("layer_"): data[name] for name in data.files if name.startswith("layer_")}
            return Picture(vertices=data["picture_vertices"], faces=data["picture_faces"], layers=layers)
    except (KeyError, ValueError, OSError, EOFError) as error:
        raise GeometryError(_UNREADABLE) from error


def read_still(stream: BinaryIO, name: str) -> bytes | None:
    """Read one still; None when there is none of this name, GeometryError when the file is damaged."""
    try:
        with np.load(stream, allow_pickle=False) as data:
            return data[f"still_{name}"].tobytes() if f"still_{name}" in data.files else None
    except (ValueError, OSError, EOFError) as error:
        raise GeometryError(_UNREADABLE) from error
