"""Add and change materials and their values."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError, transaction

from materials.errors import MaterialInUse, NameTaken
from materials.models import Material, MaterialProperty
from studio.figures import SourceKind

OWN_SOURCES = frozenset({SourceKind.OWN.value, SourceKind.MEASURED.value, SourceKind.DATA_SHEET.value})


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedValue:
    """A property as somebody typed it; `value` None takes it off."""

    value: float | None
    low: float | None = None
    high: float | None = None
    source_kind: str = SourceKind.OWN.value
    source_text: str = ""


@transaction.atomic
def save_material(*, material: Material | None, values: Mapping[str, TypedValue] | None = None, **fields: Any) -> Material:
    """Add a material, or change one with its values; values that are not named stay."""
    saved = material or Material()
    if material is not None and fields.get("mix_basis", material.mix_basis) != material.mix_basis:
        _check_mix_change(material, str(fields["mix_basis"]))
    for name, value in fields.items():
        setattr(saved, name, value)
    try:
        with transaction.atomic():
            saved.save()
    except IntegrityError:
        if Material.objects.filter(name__iexact=saved.name).exclude(pk=saved.pk).exists():
            raise NameTaken(
                f"A material called “{saved.name}” exists already. Give this one a name that tells them apart."
            ) from None
        raise
    for key, typed in (values or {}).items():
        _save_value(saved, key, typed)
    return saved


def retire_material(*, material: Material) -> None:
    """Leave a material out of new plans; what was made with it keeps it."""
    Material.objects.filter(pk=material.pk).update(active=False)


def bring_material_back(*, material: Material) -> None:
    """Let a retired material be chosen again."""
    Material.objects.filter(pk=material.pk).update(active=True)


def _check_mix_change(material: Material, basis: str) -> None:
    """One part cannot become two, nor two one, while lots of the other sort stand on the shelf."""
    was_two, is_two = material.two_part, Material(mix_basis=basis).two_part
    if was_two != is_two and material.lots.on_shelf().exists():
        raise MaterialInUse(
            "Lots of this material are on the shelf and they are kept as "
            f"{'A and B' if was_two else 'one part'}. Use them up or count them to nought first, or add a new material."
        )


def _save_value(material: Material, key: str, typed: TypedValue) -> None:
    stored = MaterialProperty.objects.filter(material=material, key=key).first()
    if typed.value is None:
        if stored is not None:
            stored.delete()
        return
    row = stored or MaterialProperty(material=material, key=key)
    changed = stored is not None and (stored.value, stored.low, stored.high) != (typed.value, typed.low, typed.high)
    same_source = stored is not None and (stored.source_kind, stored.source_text) == (typed.source_kind, typed.source_text)
    kind, text = typed.source_kind, typed.source_text
    if changed and same_source and kind not in OWN_SOURCES:
        # A number that was typed over is no longer what the old source said.
        kind, text = SourceKind.OWN.value, ""
    row.value, row.low, row.high, row.source_kind, row.source_text = typed.value, typed.low, typed.high, kind, text
    row.save()
