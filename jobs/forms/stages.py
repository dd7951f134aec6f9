"""What is decided on the coats, shell and castings pages of a plan."""

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from jobs.forms.mold import MoldForm
from jobs.forms.stage_form import Group, MaterialField, StageForm
from jobs.models import Plan
from studio.web.forms import CountField, PercentField, QuantityField

__all__ = ["CastingsForm", "CoatsForm", "MoldForm", "ShellForm", "StageForm"]
COAT_FIELDS = ("print_coat_mm", "build_coats", "closing_coat_mm", "thicken_print_coat")


class CoatsForm(StageForm):
    """The air of the room and how the wall is split into coats; a pour is not split."""

    groups: ClassVar = (
        Group(heading="The day", names=("temperature_c", "people_per_coat")),
        Group(
            heading="The night, and the air", names=("night_temperature_c", "humidity_percent"), folded=True,
            about="A cold night lengthens cures; damp air decides what water does to a cure or a resin.",
        ),
        Group(heading="Coats", names=COAT_FIELDS),
        Group(heading="Loss", names=("cup_loss_percent",)),
    )  # fmt: skip

    temperature_c = QuantityField(unit="degC", min_value=0, max_value=45, label="Temperature at the bench", places=1)
    people_per_coat = CountField(min_value=1, max_value=12, label="People brushing at once")
    night_temperature_c = QuantityField(
        unit="degC", min_value=-20, max_value=45, required=False, label="Temperature at night", places=1,
        help_text="Left empty, as warm as by day.",
    )  # fmt: skip
    humidity_percent = PercentField(
        required=False, label="Humidity of the room", places=1, help_text="Left empty, it is not judged."
    )
    print_coat_mm = QuantityField(
        unit="mm", min_value=Decimal("0.2"), max_value=10, label="Print coat", places=2,
        help_text="Thin, so that bubbles rise out of it before it gels.",
    )  # fmt: skip
    build_coats = CountField(
        min_value=0, max_value=30, required=False, label="Build coats",
        help_text="Left empty, as many as the rubber holds on an upright wall.",
    )  # fmt: skip
    closing_coat_mm = QuantityField(unit="mm", min_value=0, max_value=10, label="Closing coat", places=2)
    thicken_print_coat = forms.BooleanField(required=False, label="Thicken the print coat too")
    cup_loss_percent = PercentField(
        min_value=0, max_value=59, required=False, label="Left in cups and brushes", places=1,
        help_text="Left empty, the studio’s own rate.",
    )  # fmt: skip

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, plan=plan, **kwargs)
        if plan.making != Plan.Making.BRUSHED:
            for name in COAT_FIELDS:
                del self.fields[name]
            self.fields["people_per_coat"].label = "People pouring at once"
            self.note = "The rubber is poured, so there are no coats to split; on the Mold page another making can be chosen."


class ShellForm(StageForm):
    """The rigid backing."""

    groups: ClassVar = (
        Group(heading="Shell", names=("shell_kind", "shell_matrix", "shell_reinforcement")),
        Group(heading="Size", names=("shell_layers", "shell_thickness_mm", "shell_pieces")),
        Group(heading="Where pieces meet", names=("shell_flange_percent", "bolt_spacing_mm"), folded=True),
    )

    shell_kind = forms.ChoiceField(choices=Plan.ShellKind, label="Kind")
    shell_matrix = MaterialField("shell", label="Resin, plaster, putty or plastic")
    shell_reinforcement = MaterialField("reinforcement", label="Glass or fibre")
    shell_layers = CountField(min_value=1, max_value=30, label="Layers", help_text="Of glass, fibre or brushed plastic.")
    shell_thickness_mm = QuantityField(
        unit="mm", min_value=1, max_value=100, label="Thickness", places=2,
        help_text="Of plaster, putty or plastic; a laminate’s comes from its layers.",
    )  # fmt: skip
    shell_pieces = CountField(min_value=1, max_value=60, label="Shell pieces")
    shell_flange_percent = PercentField(
        required=False, label="Flanges where pieces meet, as a share of the shell", places=1, max_value=100,
        help_text="Left empty, from the length of the parting; 15 % until that is known.",
    )  # fmt: skip
    bolt_spacing_mm = QuantityField(
        unit="mm", min_value=20, max_value=2000, required=False, label="Between bolts", places=1,
        help_text="Left empty, as suggested.",
    )  # fmt: skip

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, plan=plan, **kwargs)
        if plan.making == Plan.Making.BLOCK:
            self.note = "A block stands in its box by itself and needs no shell; what is chosen here counts for another making."


class CastingsForm(StageForm):
    """The run of castings."""

    groups: ClassVar = (
        Group(heading="Resin", names=("resin", "casting_tint")),
        Group(heading="Casting", names=("castings", "casting_wall_mm", "skins")),
        Group(
            heading="Rotating frame", names=("turning_rpm", "turning_ratio"), folded=True,
            about="Without a speed, what stays on an upright wall and the turns before gel are not judged.",
        ),
    )  # fmt: skip

    resin = MaterialField("resin", label="Resin")
    casting_tint = MaterialField("tint", label="Tint")
    castings = CountField(min_value=1, max_value=100_000, label="Castings")
    casting_wall_mm = QuantityField(unit="mm", min_value=Decimal("0.5"), max_value=100, label="Wall of a casting", places=2)
    skins = CountField(min_value=1, max_value=30, label="Skins", help_text="Poured one after another, each turned until it gels.")
    turning_rpm = QuantityField(
        unit="1", min_value=0, max_value=100, required=False, label="Turns a minute of the outer axis", places=1
    )
    turning_ratio = QuantityField(
        unit="1", min_value=Decimal("0.1"), max_value=20, required=False, label="Turns of the inner axis to one of the outer",
        places=2, help_text="Left empty, as suggested: about 4 for boxes, 2 for balls.",
    )  # fmt: skip
