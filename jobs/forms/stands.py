"""How a piece stands, and its texture: asked of a piece measured with a tape and of a scan alike."""

from typing import Any

from django import forms

from studio.web.forms import PaperForm, QuantityField


class PieceStandsForm(PaperForm):
    """How the piece stands, and its texture."""

    stands_on_board = forms.BooleanField(required=False, label="It stands on a board, so its foot gets no rubber")
    flange_width = QuantityField(
        unit="mm", required=False, min_value=0, max_value=1000, label="Flange of rubber on the board",
        help_text="How far the blanket reaches out over the board around the foot.",
    )  # fmt: skip
    texture_height = QuantityField(
        unit="mm", required=False, min_value=0, max_value=50, label="Depth of its texture",
        help_text="From ridge to valley; 0 when it is smooth.",
    )  # fmt: skip
    texture_spacing = QuantityField(unit="mm", required=False, min_value=0, max_value=500, label="Distance from ridge to ridge")

    def clean(self) -> dict[str, Any]:
        """Want the distance where a depth is given."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("texture_height") and not cleaned.get("texture_spacing"):
            self.add_error("texture_spacing", "Give the distance from ridge to ridge too, or a depth of 0.")
        return cleaned
