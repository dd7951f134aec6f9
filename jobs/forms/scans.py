"""Forms for a scan: the file, then its unit and how the piece stands."""

from collections.abc import Mapping
from typing import Any

from django import forms

from studio.models import StudioProfile
from studio.web.forms import PaperForm, QuantityField
from studio.web.quantities import show

UNITS = (("mm", "millimetres"), ("cm", "centimetres"), ("m", "metres"), ("in", "inches"))
AXES = (("z", "z is up"), ("y", "y is up"), ("x", "x is up"), ("-z", "−z is up"), ("-y", "−y is up"), ("-x", "−x is up"))


class ScanUploadForm(PaperForm):
    """The scan's file."""

    file = forms.FileField(
        label="Scan of the piece",
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".stl,.obj,.ply"}),
        error_messages={
            "required": "Choose a file to send.",
            "empty": "The file is empty; export the scan again and send that file.",
            "max_length": "The file's name is longer than 200 signs; shorten it and send it again.",
        },
    )


class ScanUnitForm(PaperForm):
    """What the file does not say: its unit, which way is up, and how the piece stands."""

    unit = forms.ChoiceField(choices=UNITS, label="One unit in the file is one of these", widget=forms.RadioSelect)
    up_axis = forms.ChoiceField(choices=AXES, label="Which way is up")
    stands_on_board = forms.BooleanField(required=False, label="It stands on a board, so its foot gets no rubber")
    flange_width = QuantityField(
        unit="mm", required=False, min_value=0, max_value=1000, label="Flange of rubber on the board",
        help_text="How far the blanket reaches out over the board around the foot.",
    )  # fmt: skip
    texture_height = QuantityField(
        unit="mm", required=False, min_value=0, max_value=50, label="Depth of its texture",
        help_text="From ridge to valley, finer than the scan shows; 0 when it is smooth.",
    )  # fmt: skip
    texture_spacing = QuantityField(unit="mm", required=False, min_value=0, max_value=500, label="Distance from ridge to ridge")

    def __init__(self, *args: Any, largest_mm: Mapping[str, float] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["unit"]
        assert isinstance(field, forms.ChoiceField)
        sizes = largest_mm or {}
        field.choices = [(key, _sized(words, sizes.get(key), self.profile)) for key, words in UNITS]

    def clean(self) -> dict[str, Any]:
        """Want the distance where a depth is given."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("texture_height") and not cleaned.get("texture_spacing"):
            self.add_error("texture_spacing", "Give the distance from ridge to ridge too, or a depth of 0.")
        return cleaned


def _sized(words: str, largest_mm: float | None, profile: StudioProfile) -> str:
    """Say how large the piece is if the unit is this one."""
    return words if largest_mm is None else f"{words}: it is {show(largest_mm, 'mm', profile)} at its longest"
