"""Packs and what they cost."""

from typing import Any

from django.db import transaction
from django.utils import timezone

from materials.errors import NotWeighed
from materials.models import Material, Pack, PackPrice
from studio.models import Account


@transaction.atomic
def save_pack(*, material: Material, pack: Pack | None, by: Account | None = None, **fields: Any) -> Pack:
    """Add or change a pack; marking one as usual takes the mark off the others, and the first is always usual.

    A price that was not known before gets a row of its own, so that the earlier ones stay known.
    """
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
    _note_price(saved, by)
    return saved


def _note_price(pack: Pack, by: Account | None) -> None:
    last = PackPrice.objects.filter(pack=pack).first()
    if last is not None and (last.price, last.priced_on) == (pack.price, pack.priced_on):
        return
    if last is not None and last.priced_on == pack.priced_on and last.noted_at.date() == timezone.now().date():
        # Corrected within the day: it was never another price.
        PackPrice.objects.filter(pk=last.pk).update(price=pack.price, noted_by=by)
        return
    PackPrice.objects.create(pack=pack, price=pack.price, priced_on=pack.priced_on, noted_by=by)


@transaction.atomic
def remove_pack(*, pack: Pack) -> None:
    """Take a pack off the list; another becomes the usual one where it was."""
    material, usual = pack.material, pack.usual
    pack.delete()
    if usual:
        following = Pack.objects.filter(material=material).first()
        if following is not None:
            Pack.objects.filter(pk=following.pk).update(usual=True)
