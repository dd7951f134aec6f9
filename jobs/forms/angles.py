"""The field for an angle."""

from decimal import Decimal
from typing import Any

from studio.web.fields import TypedField
from studio.web.reading import read_number


class AngleField(TypedField):
    """An angle in degrees: "90", "90°"; cleans to a Decimal."""

    example = "270"

    @property
    def unit_label(self) -> str:
        """The sign of a degree."""
        return "°"

    def read(self, text: str) -> Decimal:
        """Read a number with or without its sign."""
        return read_number(text.strip().removesuffix("°").strip(), profile=self.studio)

    def spoken(self, value: Any) -> str:
        """Write it with its sign."""
        return f"{self.written(value)}°"
