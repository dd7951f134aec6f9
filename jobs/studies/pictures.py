"""What is shown of a studied shape: its light mesh, its stills, for pages and prints."""

import zipfile
from collections.abc import Callable
from typing import TYPE_CHECKING, BinaryIO, TypeVar

from jobs.errors import StudyNotThere
from jobs.geometry.errors import GeometryError
from jobs.models import PieceStudy
from jobs.studies.files import NOT_THERE, path_of

if TYPE_CHECKING:
    from jobs.geometry.study.workspace import Picture

T = TypeVar("T")


def picture_of(study: PieceStudy) -> "Picture | None":
    """Read the light mesh of a ready study; None when it has none, StudyNotThere when its file is gone or damaged."""
    from jobs.geometry.study.peek import read_picture

    return _read(study, read_picture)


def still_of(study: PieceStudy, name: str) -> bytes | None:
    """Read one still of a ready study, a PNG; None when it has none of this name, StudyNotThere as above."""
    from jobs.geometry.study.peek import read_still

    return _read(study, lambda stream: read_still(stream, name))


def still_images(study: PieceStudy | None, *names: str) -> dict[str, bytes]:
    """Return stills by name for a print's `images=`; those that cannot be had are left out, as a print goes without them."""
    if study is None:
        return {}
    try:
        found = {name: still_of(study, name) for name in names}
    except StudyNotThere:
        return {}
    return {name: data for name, data in found.items() if data is not None}


def _read(study: PieceStudy, how: Callable[[BinaryIO], T]) -> T:
    if study.state != PieceStudy.State.READY or not study.stored_name:
        raise StudyNotThere(NOT_THERE)
    try:
        with path_of(study.stored_name).open("rb") as stream:
            return how(stream)
    except (OSError, zipfile.BadZipFile) as error:
        raise StudyNotThere(NOT_THERE) from error
    except GeometryError as error:
        raise StudyNotThere(str(error)) from error
