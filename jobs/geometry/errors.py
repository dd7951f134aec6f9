"""What geometry refuses, with a sentence for the person who measured."""

from studio.figures import WorkingError


class GeometryError(WorkingError):
    """A piece cannot be measured or computed as given; the message says what to change."""
