"""Pictures of a quote: chosen when it is frozen, drawn once, and never drawn anew.

`content["pictures"]` is a list of mappings: `kind` (section, still or photo), `caption`, `alt`, and one of `svg`, the drawing as
markup that this program wrote, `png`, the picture in base 64, or `file`, the stored name of a photograph, which is never
written anew and stays when its photograph is removed from the piece.
"""

import base64
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from django.core.files.storage import Storage

from costing.inputs import PlannedJob
from jobs.drawings import coats_drawing
from jobs.inputs import takeoff_of
from jobs.models import PiecePhoto
from jobs.services.photos import shown
from jobs.shown_shape import VIEWS
from jobs.studies.asking import study_for
from jobs.studies.pictures import still_images

SECTION, STILL, PHOTO = "section", "still", "photo"
CHOICES: tuple[tuple[str, str], ...] = (
    (SECTION, "Section through the piece with its coats"),
    *((f"{STILL}-{view}", f"The piece in the round, seen {words}") for view, words in VIEWS),
)
# A drawing of a scan's section has some 60,000 signs, a still some 150,000; more would weigh on every page that reads a quote.
MOST_SIGNS = 400_000
_NAME = re.compile(r"drawing-\d+")

Picture = dict[str, str]


def pictures_there(found: PlannedJob) -> list[tuple[str, str]]:
    """Return the pictures that can be had of a job now, as choices: key and words."""
    takeoff = takeoff_of(found.plan.job.piece)
    study = study_for(found.plan)
    has_section = study is not None or (takeoff is not None and takeoff.outline is not None and len(takeoff.outline.points) > 1)
    drawn = [(key, words) for key, words in CHOICES if (has_section if key == SECTION else study is not None)]
    return [*drawn, *((f"{PHOTO}-{photo.pk}", _of_photo(photo)) for photo in _photos(found))]


def freeze_pictures(found: PlannedJob, chosen: Iterable[str]) -> list[Picture]:
    """Draw the pictures chosen; one that cannot be had any more, or is too large to keep, is left out."""
    wanted = set(chosen)
    makers: Sequence[tuple[str, Callable[[], Picture | None]]] = [
        (SECTION, lambda: _section(found)),
        *((f"{STILL}-{view}", _still_maker(found, view, words)) for view, words in VIEWS),
    ]
    made = [make() for key, make in makers if key in wanted]
    drawn = [picture for picture in made if picture is not None and len(picture.get("svg") or picture["png"]) <= MOST_SIGNS]
    return drawn + [_frozen_photo(photo) for photo in _photos(found) if f"{PHOTO}-{photo.pk}" in wanted]


def image_names(content: Mapping[str, Any]) -> list[tuple[str, Mapping[str, str]]]:
    """Return the pictures that a print shows, each with the name that its image goes by there."""
    pictures = content.get("pictures") if isinstance(content.get("pictures"), list) else []
    return [(f"picture-{place}", item) for place, item in enumerate(pictures or (), start=1) if isinstance(item, Mapping)]


def images_of(content: Mapping[str, Any]) -> dict[str, bytes]:
    """Return the pictures that are not drawings, for a print's `images=`."""
    found = ((name, image_of(item)) for name, item in image_names(content))
    return {name: data for name, data in found if data is not None}


def image_of(item: Mapping[str, str]) -> bytes | None:
    """Return a picture's bytes; None for a drawing, and for a photograph whose file is gone."""
    if item.get("png"):
        return base64.b64decode(item["png"])
    if not item.get("file"):
        return None
    try:
        with _storage().open(item["file"], "rb") as file:
            data: bytes = file.read()
    except FileNotFoundError:
        return None
    return data


def _section(found: PlannedJob) -> Picture | None:
    takeoff = takeoff_of(found.plan.job.piece)
    if takeoff is None:
        return None
    drawn = coats_drawing(found.plan, takeoff, found.mold)
    if not drawn.svg:
        return None
    caption = "Section through the piece with the rubber laid on it, coat over coat"
    # Beside other drawings of a page its names must stay its own, and the same drawing made twice must read the same.
    return {"kind": SECTION, "caption": caption, "alt": caption, "svg": _NAME.sub("frozen-section", str(drawn.svg))}


def _still_maker(found: PlannedJob, view: str, words: str) -> Callable[[], Picture | None]:
    def make() -> Picture | None:
        data = still_images(study_for(found.plan), f"plain-{view}").get(f"plain-{view}")
        if data is None:
            return None
        caption = f"The piece as it was measured, seen {words}"
        return {"kind": STILL, "caption": caption, "alt": caption, "png": base64.b64encode(data).decode()}

    return make


def _photos(found: PlannedJob) -> list[PiecePhoto]:
    return [photo for photo in shown(found.plan.job.piece) if photo.on_quote]


def _of_photo(photo: PiecePhoto) -> str:
    return f"Photograph: {photo.caption}" if photo.caption else "Photograph of the piece"


def _frozen_photo(photo: PiecePhoto) -> Picture:
    caption = photo.caption or "The piece"
    return {"kind": PHOTO, "caption": caption, "alt": f"Photograph: {caption}", "file": str(photo.file.name)}


def _storage() -> Storage:
    storage: Storage = PiecePhoto._meta.get_field("file").storage
    return storage
