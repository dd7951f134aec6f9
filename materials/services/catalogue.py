"""Load the starter catalogue into the studio's own materials."""

from dataclasses import dataclass

from django.db import transaction

from materials.catalogue.entry import StarterEntry
from materials.catalogue.starter import STARTER
from materials.models import Material, MaterialProperty
from studio.models import Account


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueLoaded:
    """What loading added, and what it left as it was."""

    added: tuple[str, ...]
    left_alone: tuple[str, ...]


@transaction.atomic
def load_starter_catalogue(*, by: Account | None) -> CatalogueLoaded:  # noqa: ARG001 - every service says who acts
    """Add the generic materials that the studio does not have; what it has, it keeps untouched, values and all."""
    keys = set(Material.objects.exclude(starter_key=None).values_list("starter_key", flat=True))
    names = {name.casefold() for name in Material.objects.values_list("name", flat=True)}
    added, left_alone = [], []
    for entry in STARTER:
        if entry.key in keys or entry.name.casefold() in names:
            left_alone.append(entry.name)
            continue
        _add(entry)
        added.append(entry.name)
    return CatalogueLoaded(added=tuple(added), left_alone=tuple(left_alone))


def _add(entry: StarterEntry) -> None:
    material = Material.objects.create(
        name=entry.name,
        kind=entry.kind.value,
        chemistry=entry.chemistry.value,
        mix_basis=entry.mix_basis.value,
        note=entry.note,
        starter_key=entry.key,
    )
    MaterialProperty.objects.bulk_create(
        MaterialProperty(
            material=material,
            key=stated.key,
            value=stated.value,
            low=stated.low,
            high=stated.high,
            source_kind=stated.source.kind.value,
            source_text=stated.source.text,
        )
        for stated in entry.properties
    )
