"""Which kinds of document exist, who renders each, and which right opens it."""

from collections.abc import Callable
from dataclasses import dataclass

from studio.access import Right
from studio.documents.errors import UnknownKindError
from studio.models import Document


@dataclass(frozen=True, slots=True)
class RenderedFile:
    """What a renderer hands back."""

    content: bytes
    content_type: str
    filename: str


Renderer = Callable[[Document], RenderedFile]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of document."""

    name: str
    renderer: Renderer
    right: Right


_kinds: dict[str, Kind] = {}


def register(kind: str, renderer: Renderer, *, right: Right) -> None:
    """Make a kind of document known; called from an app's `ready()`.

    The renderer gets the row, reads what `subject_id` names, and returns the file. It runs outside any transaction and
    may run twice for one row. A StudioError it raises becomes the reason that the page shows.
    """
    _kinds[kind] = Kind(name=kind, renderer=renderer, right=right)


def kind_of(document: Document) -> Kind:
    """Return the kind of a row."""
    try:
        return _kinds[document.kind]
    except KeyError:
        raise UnknownKindError(f"This version of the studio cannot print a document of the kind “{document.kind}”.") from None
