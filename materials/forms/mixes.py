"""What is typed to take a mix off the shelf, and to undo it."""

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from materials.forms.entries import LARGEST_JOB, key_field, mass_field, new_key, why_field
from materials.models import Lot
from studio.web.forms import CountField, PaperForm

LARGEST_PK = 2**63 - 1
MOST_PAIRS = 99
Pairs = list[tuple[int, Decimal]]


class MixForm(PaperForm):
    """What is to be mixed, for whom and what for."""

    mass_g = mass_field(label="Mass of the mix", help_text="A and B together.")
    job_number = CountField(label="For job number", required=False, min_value=1, max_value=LARGEST_JOB)
    why = why_field(required=False, label="What for")


class WeighedForm(PaperForm):
    """A field for each lot of the offer: empty is as offered, a number is what the scale says."""

    key = key_field()

    def __init__(self, data: Any = None, *, lots: Sequence[Lot], **kwargs: Any) -> None:
        super().__init__(data, initial={"key": new_key()}, **kwargs)
        for lot in lots:
            field = mass_field(label="On the scale, if it differs", required=False, least=0)
            field.profile = self.profile
            self.fields[f"lot_{lot.pk}"] = field

    def weighed(self, seen: Pairs) -> Pairs:
        """Return what is taken of each lot: as typed, or as it was offered; nothing of one that was typed as nought."""
        typed = [(pk, self.cleaned_data.get(f"lot_{pk}"), mass) for pk, mass in seen]
        return [(pk, mass if own is None else own) for pk, own, mass in typed if own is None or own > 0]


class UndoMixForm(PaperForm):
    """Why a mix is undone."""

    why = forms.CharField(label="Why it is undone", max_length=200, required=False)


def pairs_in(text: str) -> Pairs:
    """Read "12:500.000,13:50.000": numbers of rows with grams; nonsense among them is left out."""
    found: dict[int, Decimal] = {}
    for piece in text[:4000].split(",")[:MOST_PAIRS]:
        number, _, grams = piece.partition(":")
        if not (number.isascii() and number.isdigit() and len(number) < 20 and int(number) <= LARGEST_PK):
            continue
        try:
            mass = Decimal(grams[:20]).quantize(Decimal("0.001"))
        except InvalidOperation:
            continue
        if mass.is_finite() and 0 < mass < 100_000_000:
            found[int(number)] = mass
    return list(found.items())


def pairs_text(pairs: Pairs) -> str:
    """Write pairs as `pairs_in` reads them."""
    return ",".join(f"{pk}:{mass:f}" for pk, mass in pairs)
