"""The base of every named error that a view may show to a person."""


class StudioError(Exception):
    """Something was refused; the message says what is wrong and what to change."""
