"""Scrap bins: what they hold and what they are."""

from typing import Any

from django.db import IntegrityError, transaction

from materials.errors import NameTaken
from materials.models import Material, ScrapBin
from materials.properties import Chemistry
from materials.science.bonding import scrap_verdict
from materials.science.compatibility import Verdict
from materials.science.material import MaterialSpec


def verdict_on(scrap_bin: ScrapBin, rubber: Material | MaterialSpec) -> Verdict:
    """Say whether what lies in a bin bonds to a fresh rubber."""
    return scrap_verdict(
        rubber=Chemistry(rubber.chemistry),
        rubber_family=rubber.family,
        scrap=Chemistry(scrap_bin.chemistry),
        scrap_family=scrap_bin.family,
    )


def save_bin(*, scrap_bin: ScrapBin | None, **fields: Any) -> ScrapBin:
    """Add or change a bin; its mass changes only through the ledger."""
    saved = scrap_bin or ScrapBin()
    for name, value in fields.items():
        setattr(saved, name, value)
    try:
        with transaction.atomic():
            if scrap_bin is None:
                saved.save()
            else:
                saved.save(update_fields=list(fields))
    except IntegrityError:
        if ScrapBin.objects.filter(label__iexact=saved.label).exclude(pk=saved.pk).exists():
            raise NameTaken(f"A bin labelled “{saved.label}” exists already. Give this one another label.") from None
        raise
    return saved
