"""Where a section is cut: upright or leaning and facing a side, or level at a height."""

from collections.abc import Mapping
from typing import Any

from django import forms

from jobs.forms.angles import AngleField
from jobs.geometry.section_places import LEANING, LEVEL, UPRIGHT, SectionPlace
from studio.web.forms import PaperForm, QuantityField


class SectionForm(PaperForm):
    """The plane of a section. What belongs to the kind of plane that was not chosen is not checked."""

    cut = forms.ChoiceField(
        label="Cut", choices=((UPRIGHT, "Upright"), (LEVEL, "Level"), (LEANING, "Leaning")), widget=forms.RadioSelect
    )
    facing = AngleField(
        label="Facing", min_value=-360, max_value=720, places=2,
        help_text="Where the cut face looks: 270° is the front, 0° right, 90° the back, 180° left.",
    )  # fmt: skip
    lift = AngleField(
        label="Up", min_value=-90, max_value=90, places=2,
        help_text="How far above the level the cut face looks: 90° is straight up; below 0 it looks down.",
    )  # fmt: skip
    offset = QuantityField(
        unit="mm", label="Distance from the middle", places=3, min_value=-30_000, max_value=30_000,
        help_text="Towards that side; below 0 lies behind the middle.",
    )  # fmt: skip
    height = QuantityField(unit="mm", label="Height above the board", places=3, min_value=-30_000, max_value=30_000)

    def __init__(self, asked: Mapping[str, Any], *, on_board: bool, halfway_mm: float, middle_mm: float, **kwargs: Any) -> None:
        """Take what was asked, and for what was not asked the plane through the middle that faces the front."""
        self.middle_mm = middle_mm
        usual = {"cut": UPRIGHT, "facing": 270, "lift": 30, "offset": 0, "height": round(halfway_mm, 1)}
        written = {name: self.base_fields[name].prepare_value(value) for name, value in usual.items()}
        given = {name: asked[name] for name in usual if name in asked}
        super().__init__({**written, **given}, initial=usual, **kwargs)
        if not on_board:
            self.fields["height"].label = "Height above the lowest point"

    def clean(self) -> dict[str, Any]:
        """Let the fields of the other kind of plane hold anything."""
        cleaned: dict[str, Any] = super().clean() or {}
        for name in {LEVEL: ("facing", "lift", "offset"), LEANING: ("height",)}.get(cleaned.get("cut", ""), ("height", "lift")):
            self.errors.pop(name, None)
        return cleaned

    def place(self) -> SectionPlace:
        """Return where to cut."""
        names = ("facing", "lift", "offset", "height")
        found = {name: float(self.cleaned_data.get(name, self.initial[name])) for name in names}
        return SectionPlace(
            kind=self.cleaned_data["cut"],
            facing_deg=found["facing"] % 360.0,
            lift_deg=found["lift"],
            offset_mm=found["offset"],
            middle_mm=self.middle_mm,
            height_mm=found["height"],
        )
