"""What a piece is, beside its measurements."""

from typing import Any

from django import forms

from jobs.models import Piece
from jobs.models.piece import SURFACES
from studio.web.forms import PaperForm, QuantityField


class PieceForm(PaperForm):
    """Name, surface and weight of a piece."""

    name = forms.CharField(max_length=120, label="What the piece is")
    surface = forms.ChoiceField(choices=SURFACES, label="What its surface is")
    sealed = forms.BooleanField(required=False, label="It is sealed, or will be before the first coat")
    mass_g = QuantityField(unit="g", required=False, min_value=0, max_value=5_000_000, places=3, label="Weight")
    note = forms.CharField(
        required=False, max_length=4000, label="Condition and notes", widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Damage it arrived with, fragile parts, what the client said about it.",
    )  # fmt: skip

    def __init__(self, *args: Any, piece: Piece, **kwargs: Any) -> None:
        initial = {name: getattr(piece, name) for name in self.base_fields}
        super().__init__(*args, initial=initial, **kwargs)
