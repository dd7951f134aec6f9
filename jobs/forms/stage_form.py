"""What the forms of the four plan pages share: kept values, headings, folded groups, an unkept plan."""

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, ClassVar

from django import forms
from django.db import models
from django.db.models import Q

from jobs.inputs import MATERIAL_FIELDS
from jobs.models import Plan
from jobs.services.plans import DECISIONS, PIECE_DECISIONS
from materials.models import Material
from studio.web.forms import PaperForm

LARGEST_REVISION = 2_000_000_000
if TYPE_CHECKING:
    _MaterialChoice = forms.ModelChoiceField[Material]
else:
    _MaterialChoice = forms.ModelChoiceField


class MaterialField(_MaterialChoice):
    """A material of one kind that is in use, or the one already chosen."""

    def __init__(self, kind: str, **kwargs: Any) -> None:
        self.kind = kind
        super().__init__(Material.objects.none(), required=False, empty_label="not chosen", **kwargs)

    def offer(self, chosen: int | None) -> None:
        """Look up what can be chosen."""
        self.queryset = Material.objects.filter(Q(kind=self.kind) & (Q(active=True) | Q(pk=chosen))).order_by("name")


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields under one heading; a folded one opens only where it holds something. `about` is said once, above its fields."""

    heading: str
    names: tuple[str, ...]
    about: str = ""
    folded: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownField:
    """A field with the ways of making that it counts for, as words that a style sheet picks by; empty counts for all."""

    bound: forms.BoundField
    makings: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownGroup:
    """A group as its page prints it; `makings` are those of all its fields, where they agree."""

    heading: str
    about: str
    folded: bool
    opened: bool
    fields: list[ShownField]
    makings: str


class StageForm(PaperForm):
    """Some of a plan's decisions; shows the kept ones and gives back what was typed as an unkept plan.

    `only_for` names the ways of making that a field counts for; whether such a field is shown follows the choice on the page.
    `note` is said above the fields.
    """

    groups: ClassVar[tuple[Group, ...]] = ()
    only_for: ClassVar[Mapping[str, tuple[str, ...]]] = {}
    note = ""
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

    def fieldsets(self) -> list[ShownGroup]:
        """Return the fields under their headings, without headings that have none."""
        return [self._shown(group) for group in self.groups if any(name in self.fields for name in group.names)]

    def _shown(self, group: Group) -> ShownGroup:
        names = [name for name in group.names if name in self.fields]
        fields = [ShownField(bound=self[name], makings=" ".join(self.only_for.get(name, ()))) for name in names]
        makings = {field.makings for field in fields}
        return ShownGroup(
            heading=group.heading,
            about=group.about,
            folded=group.folded,
            opened=any(self._holds(name) for name in names),
            fields=fields,
            makings=makings.pop() if len(makings) == 1 else "",
        )

    def _holds(self, name: str) -> bool:
        """Say whether a field has an error or holds something; what a group folds away may all stay empty."""
        bound = self[name]
        return bool(bound.errors) or bound.value() not in (None, "", False)

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


def _rounded(name: str, value: Any) -> Any:
    field = Plan._meta.get_field(name)
    if isinstance(field, models.DecimalField) and value is not None:
        return Decimal(value).quantize(Decimal(1).scaleb(-field.decimal_places))
    return value
