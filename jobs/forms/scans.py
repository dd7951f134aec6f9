"""Forms for a scan: the file, then its unit and how the piece stands."""

from collections.abc import Mapping
from typing import Any

from django import forms

from jobs.forms.stands import PieceStandsForm
from studio.models import StudioProfile
from studio.web.forms import PaperForm
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


class ScanUnitForm(PieceStandsForm):
    """What the file does not say: its unit, which way is up, and how the piece stands."""

    unit = forms.ChoiceField(choices=UNITS, label="One unit in the file is one of these", widget=forms.RadioSelect)
    up_axis = forms.ChoiceField(choices=AXES, label="Which way is up")
    field_order = ("unit", "up_axis")

    def __init__(self, *args: Any, largest_mm: Mapping[str, float] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["texture_height"].help_text = "From ridge to valley, finer than the scan shows; 0 when it is smooth."
        field = self.fields["unit"]
        assert isinstance(field, forms.ChoiceField)
        sizes = largest_mm or {}
        field.choices = [(key, _sized(words, sizes.get(key), self.profile)) for key, words in UNITS]


def _sized(words: str, largest_mm: float | None, profile: StudioProfile) -> str:
    """Say how large the piece is if the unit is this one."""
    return words if largest_mm is None else f"{words}: it is {show(largest_mm, 'mm', profile)} at its longest"
