"""What is decided on the four pages of a plan: mold, coats, shell, castings."""

import copy
from decimal import Decimal
from typing import TYPE_CHECKING, Any, ClassVar

from django import forms
from django.db import models
from django.db.models import Q

from jobs.inputs import MATERIAL_FIELDS
from jobs.models import Plan
from jobs.models.piece import SURFACES
from jobs.services.plans import DECISIONS, PIECE_DECISIONS
from materials.models import Material, ScrapBin
from studio.web.forms import CountField, PaperForm, PercentField, QuantityField

LARGEST_REVISION = 2_000_000_000
if TYPE_CHECKING:
    _MaterialChoice = forms.ModelChoiceField[Material]
else:
    _MaterialChoice = forms.ModelChoiceField
Groups = tuple[tuple[str, tuple[str, ...]], ...]


class MaterialField(_MaterialChoice):
    """A material of one kind that is in use, or the one already chosen."""

    def __init__(self, kind: str, **kwargs: Any) -> None:
        self.kind = kind
        super().__init__(Material.objects.none(), required=False, empty_label="not chosen", **kwargs)

    def offer(self, chosen: int | None) -> None:
        """Look up what can be chosen."""
        self.queryset = Material.objects.filter(Q(kind=self.kind) & (Q(active=True) | Q(pk=chosen))).order_by("name")


class StageForm(PaperForm):
    """Some of a plan's decisions; shows the kept ones and gives back what was typed as an unkept plan."""

    groups: ClassVar[Groups] = ()
    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=LARGEST_REVISION)

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        self.plan = plan
        columns = {field: f"{field}_id" for field in (*MATERIAL_FIELDS, "scrap_bin")}
        shown = {field: getattr(plan, columns.get(field, field)) for field in DECISIONS}
        shown |= {field: getattr(plan.job.piece, field) for field in PIECE_DECISIONS}
        super().__init__(*args, initial={**shown, "revision": plan.revision}, **kwargs)
        for name, field in self.fields.items():
            if isinstance(field, MaterialField):
                field.offer(getattr(plan, f"{name}_id"))

    def fieldsets(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Return the fields under their headings."""
        return [(heading, [self[name] for name in names]) for heading, names in self.groups]

    def plan_values(self) -> dict[str, Any]:
        """Return what was decided, rounded to what the columns hold."""
        return {name: _rounded(name, value) for name, value in self.cleaned_data.items() if name in DECISIONS}

    def piece_values(self) -> dict[str, Any]:
        """Return what was said of the piece here."""
        return {name: value for name, value in self.cleaned_data.items() if name in PIECE_DECISIONS}

    def unkept_plan(self) -> Plan:
        """Return a copy of the plan with what was typed; nothing is kept."""
        plan, job, piece = copy.copy(self.plan), copy.copy(self.plan.job), copy.copy(self.plan.job.piece)
        for name, value in self.piece_values().items():
            setattr(piece, name, value)
        job.piece = piece
        plan.job = job
        for name, value in self.plan_values().items():
            setattr(plan, name, value)
        return plan


class MoldForm(StageForm):
    """Rubber, wall and fill."""

    groups: ClassVar[Groups] = (
        ("The piece's surface", ("surface", "sealed", "sealer", "release")),
        ("Rubber", ("rubber", "thickener", "tint")),
        ("Wall", ("wall_mm", "print_coat_mm", "thicken_print_coat", "build_coats", "closing_coat_mm", "cup_loss_percent")),
        ("Fill", ("fill_volume_l", "scrap_bin", "scrap_share_percent", "packing_fraction")),
        ("Positions and seam", ("positions", "seam_length_mm")),
    )

    surface = forms.ChoiceField(choices=SURFACES, label="What the surface is")
    sealed = forms.BooleanField(required=False, label="It is sealed, or will be before the first coat")
    sealer = MaterialField("release", label="Sealer")
    release = MaterialField("release", label="Release")
    rubber = MaterialField("rubber", label="Rubber")
    thickener = MaterialField("thickener", label="Thickener", help_text="Goes into every coat but the print coat.")
    tint = MaterialField("tint", label="Tint", help_text="Goes into every other coat, so that thin spots show.")
    wall_mm = QuantityField(unit="mm", min_value=1, max_value=100, label="Wall of rubber", places=2)
    print_coat_mm = QuantityField(
        unit="mm", min_value=Decimal("0.2"), max_value=10, label="Print coat", places=2,
        help_text="Thin, so that bubbles rise out of it before it gels.",
    )  # fmt: skip
    thicken_print_coat = forms.BooleanField(required=False, label="Thicken the print coat too")
    build_coats = CountField(
        min_value=0, max_value=30, required=False, label="Build coats",
        help_text="Left empty, as many as the rubber holds on an upright wall.",
    )  # fmt: skip
    closing_coat_mm = QuantityField(unit="mm", min_value=0, max_value=10, label="Closing coat", places=2)
    cup_loss_percent = PercentField(
        min_value=0, max_value=59, required=False, label="Left in cups and brushes", places=1,
        help_text="Left empty, the studio's own rate.",
    )  # fmt: skip
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
        help_text="How the piece is held so that what is worked on faces up. Left empty, as computed from the shape.",
    )  # fmt: skip
    seam_length_mm = QuantityField(
        unit="mm", min_value=0, max_value=100_000, required=False, label="Parting strip", places=1,
        help_text="Left empty, as computed from the shape.",
    )  # fmt: skip

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, plan=plan, **kwargs)
        field = self.fields["scrap_bin"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = ScrapBin.objects.order_by("label")


class CoatsForm(StageForm):
    """The day's temperature and how the wall is split into coats."""

    groups: ClassVar[Groups] = (
        ("The day", ("temperature_c", "people_per_coat")),
        ("Coats", ("print_coat_mm", "build_coats", "closing_coat_mm", "thicken_print_coat", "cup_loss_percent")),
    )

    temperature_c = QuantityField(unit="degC", min_value=0, max_value=45, label="Temperature at the bench", places=1)
    people_per_coat = CountField(min_value=1, max_value=12, label="People brushing at once")
    print_coat_mm = QuantityField(unit="mm", min_value=Decimal("0.2"), max_value=10, label="Print coat", places=2)
    build_coats = CountField(
        min_value=0, max_value=30, required=False, label="Build coats",
        help_text="Left empty, as many as the rubber holds on an upright wall.",
    )  # fmt: skip
    closing_coat_mm = QuantityField(unit="mm", min_value=0, max_value=10, label="Closing coat", places=2)
    thicken_print_coat = forms.BooleanField(required=False, label="Thicken the print coat too")
    cup_loss_percent = PercentField(
        min_value=0, max_value=59, required=False, label="Left in cups and brushes", places=1,
        help_text="Left empty, the studio's own rate.",
    )  # fmt: skip


class ShellForm(StageForm):
    """The rigid backing."""

    groups: ClassVar[Groups] = (
        ("Shell", ("shell_kind", "shell_matrix", "shell_reinforcement")),
        ("Size", ("shell_layers", "shell_thickness_mm", "shell_pieces", "shell_flange_percent")),
    )

    shell_kind = forms.ChoiceField(choices=Plan.ShellKind, label="Kind")
    shell_matrix = MaterialField("shell", label="Resin, plaster, putty or plastic")
    shell_reinforcement = MaterialField("reinforcement", label="Glass or fibre")
    shell_layers = CountField(min_value=1, max_value=30, label="Layers", help_text="Of glass, fibre or brushed plastic.")
    shell_thickness_mm = QuantityField(
        unit="mm", min_value=1, max_value=100, label="Thickness", places=2,
        help_text="Of plaster, putty or plastic; a laminate's comes from its layers.",
    )  # fmt: skip
    shell_pieces = CountField(min_value=1, max_value=60, label="Shell pieces")
    shell_flange_percent = PercentField(
        required=False, label="Flanges where pieces meet, as a share of the shell", places=1, max_value=100,
        help_text="Left empty, from the length of the parting; 15 % until that is known.",
    )  # fmt: skip


class CastingsForm(StageForm):
    """The run of castings."""

    groups: ClassVar[Groups] = (
        ("Resin", ("resin", "casting_tint")),
        ("Casting", ("castings", "casting_wall_mm", "skins", "turning_rpm")),
    )

    resin = MaterialField("resin", label="Resin")
    casting_tint = MaterialField("tint", label="Tint")
    castings = CountField(min_value=1, max_value=100_000, label="Castings")
    casting_wall_mm = QuantityField(unit="mm", min_value=Decimal("0.5"), max_value=100, label="Wall of a casting", places=2)
    skins = CountField(min_value=1, max_value=30, label="Skins", help_text="Poured one after another, each turned until it gels.")
    turning_rpm = QuantityField(
        unit="1", min_value=0, max_value=100, required=False, label="Turns a minute of the rotating frame", places=1
    )


def _rounded(name: str, value: Any) -> Any:
    field = Plan._meta.get_field(name)
    if isinstance(field, models.DecimalField) and value is not None:
        return Decimal(value).quantize(Decimal(1).scaleb(-field.decimal_places))
    return value
