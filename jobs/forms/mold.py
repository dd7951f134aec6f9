"""What is decided on the Mold page: surface, rubber, how it is laid, fill, strip, keys and how it is pulled off."""

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from jobs.forms.stage_form import Group, MaterialField, StageForm
from jobs.models import Plan
from jobs.models.piece import SURFACES
from materials.models import ScrapBin
from studio.web.forms import CountField, PercentField, QuantityField

Making = Plan.Making
UNDER_A_SHELL = (Making.BRUSHED.value, Making.POURED.value)
IN_A_BOX = (Making.BLOCK.value,)


class MoldForm(StageForm):
    """Rubber, wall and fill; the coats themselves are decided on their own page."""

    groups: ClassVar = (
        Group(heading="The piece’s surface", names=("surface", "sealed", "sealer", "release")),
        Group(heading="Rubber", names=("rubber", "thickener", "tint")),
        Group(heading="How it is laid", names=("making", "wall_mm", "box_margin_mm", "deairing", "molds")),
        Group(heading="Fill and scrap", names=("fill_volume_l", "scrap_bin", "scrap_share_percent", "packing_fraction")),
        Group(
            heading="Positions and parting strip", folded=True,
            names=("positions", "seam_length_mm", "strip_width_mm", "strip_height_mm"),
        ),
        Group(heading="Keys", names=("key_spacing_mm",), folded=True),
        Group(
            heading="Pulling off", names=("widest_girth_mm", "opening_girth_mm"), folded=True,
            about="How far the rubber must stretch when it comes off, and when a casting comes out.",
        ),
    )  # fmt: skip
    only_for: ClassVar = {
        "wall_mm": UNDER_A_SHELL, "box_margin_mm": IN_A_BOX, "fill_volume_l": UNDER_A_SHELL,
        "seam_length_mm": UNDER_A_SHELL, "strip_width_mm": UNDER_A_SHELL, "strip_height_mm": UNDER_A_SHELL,
        "key_spacing_mm": UNDER_A_SHELL,
    }  # fmt: skip

    surface = forms.ChoiceField(choices=SURFACES, label="What the surface is")
    sealed = forms.BooleanField(required=False, label="It is sealed, or will be before the first coat")
    sealer = MaterialField("release", label="Sealer")
    release = MaterialField("release", label="Release")
    rubber = MaterialField("rubber", label="Rubber")
    thickener = MaterialField("thickener", label="Thickener", help_text="Goes into every coat but the print coat.")
    tint = MaterialField("tint", label="Tint", help_text="Goes into every other coat, so that thin spots show.")
    making = forms.ChoiceField(choices=Making, label="Making", help_text="What does not apply to it is not asked here.")
    wall_mm = QuantityField(unit="mm", min_value=1, max_value=100, label="Wall of rubber", places=2)
    box_margin_mm = QuantityField(
        unit="mm", min_value=1, max_value=500, required=False, label="From the piece to the box", places=1,
        help_text="Where it is nearest. Left empty, as suggested.",
    )  # fmt: skip
    deairing = forms.ChoiceField(choices=[("", "as suggested"), *Plan.Deairing.choices], required=False, label="How air gets out")
    molds = CountField(min_value=1, max_value=20, label="Molds made")
    fill_volume_l = QuantityField(
        unit="L", min_value=0, max_value=2000, required=False, label="Hollows filled solid", places=3,
        help_text="So that the shell comes off. Left empty, as computed from the shape.",
    )  # fmt: skip
    scrap_bin = forms.ModelChoiceField(
        ScrapBin.objects.none(), required=False, empty_label="no scrap", label="Scrap packed into the fill"
    )
    scrap_share_percent = PercentField(label="Share of the fill packed with scrap", places=1)
    packing_fraction = QuantityField(
        unit="1", min_value=Decimal("0.05"), max_value=Decimal("0.95"), label="Packing of the chunks", places=2,
        help_text="About 0.5 tipped in, 0.65 placed by hand; 1 would be without gaps.",
    )  # fmt: skip
    positions = CountField(
        min_value=1, max_value=12, required=False, label="Positions",
        help_text="How the piece is held so that what is worked on faces up. Left empty, as computed from the shape; a block "
        "is poured in one or two halves.",
    )  # fmt: skip
    seam_length_mm = QuantityField(
        unit="mm", min_value=0, max_value=100_000, required=False, label="Parting strip", places=1,
        help_text="Left empty, as computed from the shape.",
    )  # fmt: skip
    strip_width_mm = QuantityField(
        unit="mm", min_value=2, max_value=200, required=False, label="Width of the strip", places=1,
        help_text="Left empty, as suggested.",
    )  # fmt: skip
    strip_height_mm = QuantityField(
        unit="mm", min_value=2, max_value=200, required=False, label="Height of the strip", places=1,
        help_text="Left empty, as suggested.",
    )  # fmt: skip
    key_spacing_mm = QuantityField(
        unit="mm", min_value=0, max_value=5000, required=False, label="Between keys", places=1,
        help_text="Keys seat the blanket in its shell. Left empty, as suggested; 0 sets none.",
    )  # fmt: skip
    widest_girth_mm = QuantityField(
        unit="mm", min_value=1, max_value=100_000, required=False, label="Widest girth that must pass", places=1,
        help_text="Left empty, it is not judged.",
    )  # fmt: skip
    opening_girth_mm = QuantityField(
        unit="mm", min_value=1, max_value=100_000, required=False, label="Girth that it passes through", places=1,
        help_text="The narrowest place of the opened mold.",
    )  # fmt: skip

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, plan=plan, **kwargs)
        field = self.fields["scrap_bin"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = ScrapBin.objects.order_by("label")
