"""Forms for a scan: the file, then its unit and how the piece stands."""

from collections.abc import Mapping
from typing import Any

from django import forms

from jobs.forms.stands import PieceStandsForm
from jobs.geometry.mesh_files import SUFFIXES
from jobs.geometry.mesh_units import MM_PER_UNIT
from studio.models import StudioProfile
from studio.web.forms import PaperForm
from studio.web.quantities import Shown, show

UNITS = (("mm", "millimetres"), ("cm", "centimetres"), ("m", "metres"), ("in", "inches"))
AXES = (("z", "z is up"), ("y", "y is up"), ("x", "x is up"), ("-z", "−z is up"), ("-y", "−y is up"), ("-x", "−x is up"))


class ScanUploadForm(PaperForm):
    """The scan's file."""

    file = forms.FileField(
        label="Scan of the piece",
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ",".join(SUFFIXES)}),
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

    def __init__(self, *args: Any, facts: Mapping[str, Any] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["texture_height"].help_text = "From ridge to valley, finer than the scan shows; 0 when it is smooth."
        field = self.fields["unit"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(key, _sized(key, words, facts or {}, self.profile)) for key, words in UNITS]


def _sized(unit: str, words: str, facts: Mapping[str, Any], profile: StudioProfile) -> str:
    """Say how large the piece is if the unit is this one."""
    largest_mm = facts.get("largest_mm", {}).get(unit)
    if largest_mm is None:
        return words
    sized = f"{words}: it is {show(largest_mm, 'mm', profile)} at its longest"
    if "area" not in facts:
        return sized
    scale_m = MM_PER_UNIT[unit] * 1e-3
    area, volume = facts["area"] * scale_m**2, facts["volume"] * scale_m**3
    return f"{sized}, has {_about(area, 'm2', profile)} of surface and holds {_about(volume, 'm3', profile)}"


def _about(value: float, unit: str, profile: StudioProfile) -> Shown:
    """Show three digits: enough to tell units apart, before anything is known of the scan's faults."""
    return show(value, unit, profile, low=0.995 * value, high=1.005 * value)
