"""Packs and what they cost."""

from typing import Any

from django.db import transaction

from materials.errors import NotWeighed
from materials.models import Material, Pack


@transaction.atomic
def save_pack(*, material: Material, pack: Pack | None, **fields: Any) -> Pack:
    """Add or change a pack; marking one as usual takes the mark off the others, and the first is always usual."""
    saved = pack or Pack(material=material)
    for name, value in fields.items():
        setattr(saved, name, value)
    if material.counted != (saved.pieces is not None):
        raise NotWeighed(f"{material.name} is bought by {'the piece' if material.counted else 'mass'}; give the pack that way.")
    others = Pack.objects.select_for_update().filter(material=material).exclude(pk=saved.pk)
    if not others.exists():
        saved.usual = True
    if saved.usual:
        others.update(usual=False)
    saved.save()
    return saved


@transaction.atomic
def remove_pack(*, pack: Pack) -> None:
    """Take a pack off the list; another becomes the usual one where it was."""
    material, usual = pack.material, pack.usual
    pack.delete()
    if usual:
        following = Pack.objects.filter(material=material).first()
        if following is not None:
            Pack.objects.filter(pk=following.pk).update(usual=True)
