"""Where a section is cut: upright and facing a side, or level at a height."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from jobs.geometry.section_places import LEVEL, UPRIGHT, SectionPlace
from studio.web.fields import TypedField
from studio.web.forms import PaperForm, QuantityField
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


class SectionForm(PaperForm):
    """The plane of a section. What belongs to the kind of plane that was not chosen is not checked."""

    cut = forms.ChoiceField(label="Cut", choices=((UPRIGHT, "Upright"), (LEVEL, "Level")), widget=forms.RadioSelect)
    facing = AngleField(
        label="Facing", min_value=-360, max_value=720, places=2,
        help_text="Where the cut face looks: 270° is the front, 0° right, 90° the back, 180° left.",
    )  # fmt: skip
    offset = QuantityField(
        unit="mm", label="Distance from the middle", places=3, min_value=-30_000, max_value=30_000,
        help_text="Towards that side; below 0 lies behind the middle.",
    )  # fmt: skip
    height = QuantityField(unit="mm", label="Height above the board", places=3, min_value=-30_000, max_value=30_000)

    def __init__(self, asked: Mapping[str, Any], *, on_board: bool, halfway_mm: float, **kwargs: Any) -> None:
        """Take what was asked, and for what was not asked the plane through the middle that faces the front."""
        usual = {"cut": UPRIGHT, "facing": 270, "offset": 0, "height": round(halfway_mm, 1)}
        written = {name: self.base_fields[name].prepare_value(value) for name, value in usual.items()}
        given = {name: asked[name] for name in usual if name in asked}
        super().__init__({**written, **given}, initial=usual, **kwargs)
        if not on_board:
            self.fields["height"].label = "Height above the lowest point"

    def clean(self) -> dict[str, Any]:
        """Let the fields of the other kind of plane hold anything."""
        cleaned: dict[str, Any] = super().clean() or {}
        for name in ("height",) if cleaned.get("cut") != LEVEL else ("facing", "offset"):
            self.errors.pop(name, None)
        return cleaned

    def place(self) -> SectionPlace:
        """Return where to cut."""
        found = {name: float(self.cleaned_data.get(name, self.initial[name])) for name in ("facing", "offset", "height")}
        return SectionPlace(
            kind=self.cleaned_data["cut"],
            facing_deg=found["facing"] % 360.0,
            offset_mm=found["offset"],
            height_mm=found["height"],
        )
