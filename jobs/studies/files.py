"""Where the drawings of studies lie: one archive of arrays each, under a random name in a folder of its own."""

import secrets
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings

from jobs.errors import StudyNotThere
from jobs.geometry.errors import GeometryError
from jobs.models import PieceStudy

if TYPE_CHECKING:
    from jobs.geometry.study.workspace import Workspace

NOT_THERE = "The drawings of this piece are not at hand; let the shape be studied again."


def folder() -> Path:
    """Return the folder of studies, made when it is missing."""
    path = Path(settings.MEDIA_ROOT) / "studies"
    path.mkdir(parents=True, exist_ok=True)
    return path


def new_name() -> str:
    """Draw a name for a file."""
    return secrets.token_hex(16)


def path_of(stored_name: str) -> Path:
    """Return where a file of this name lies."""
    return folder() / Path(stored_name).name


def open_workspace(study: PieceStudy, parts: Iterable[str] | None = None) -> "Workspace":
    """Read what a study left behind.

    Parameters
    ----------
    study : PieceStudy
        A ready one.
    parts : iterable of str, optional
        Which of "outside", "outside_mesh", "picture" and "stills" are wanted beside the surface; all when None.

    Raises
    ------
    StudyNotThere
        When it is not ready, or its file is gone or damaged.
    """
    from jobs.geometry.study.workspace import load_workspace

    if study.state != PieceStudy.State.READY or not study.stored_name:
        raise StudyNotThere(NOT_THERE)
    try:
        with path_of(study.stored_name).open("rb") as stream:
            return load_workspace(stream, parts=None if parts is None else frozenset(parts))
    except (OSError, zipfile.BadZipFile) as error:
        raise StudyNotThere(NOT_THERE) from error
    except GeometryError as error:
        raise StudyNotThere(str(error)) from error


def remove(stored_name: str) -> None:
    """Take a file off the disk."""
    if stored_name:
        path_of(stored_name).unlink(missing_ok=True)
