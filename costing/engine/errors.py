"""What the pricing core refuses."""

from studio.figures import WorkingError


class EngineError(WorkingError):
    """A price cannot be computed; the message says which value to change."""
