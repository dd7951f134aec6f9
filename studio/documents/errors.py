"""What can go wrong with a print, in words for the person who asked for it."""

from studio.errors import StudioError


class DocumentError(StudioError):
    """A print cannot be made; the message says what to change."""


class UnknownKindError(DocumentError):
    """No renderer is registered under this kind."""


class PressMissingError(DocumentError):
    """The system libraries that lay out pages are not installed."""


class TooLongToPrintError(DocumentError):
    """The document passes the limits on length, memory or time."""
