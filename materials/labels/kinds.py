"""Which things bear labels, and what stands on each; an app further up registers its own."""

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from materials.codes import Code
from materials.models import Lot, ScrapBin
from studio.web.formats import locale_code
from studio.web.quantities import show

SAFETY = "Before use see the safety data sheet."
MOST_CHOICES = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What may stand on a label; empty facts are left out."""

    code: Code
    name: str
    lot: str = ""
    expiry: str = ""
    pair: str = ""
    place: str = ""
    safety: str = ""


# What a person chooses to have on labels; the name and the code always stand there.
FACTS: dict[str, str] = {
    "lot": "lot, or what it is",
    "expiry": "good until",
    "pair": "what it pairs with",
    "place": "where it stands",
    "safety": "a hint to the safety data sheet",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelKind:
    """One kind of thing that bears labels: what may be chosen at a place, and the labels of those chosen."""

    letter: str
    name: str
    choices: Callable[[str], Sequence[tuple[int, str]]]
    labels: Callable[[Sequence[int]], list[Label]]


_kinds: dict[str, LabelKind] = {}


def register(kind: LabelKind) -> None:
    """Make a kind of labelled thing known; called from an app's `ready()`."""
    _kinds[kind.letter] = kind


def kinds() -> dict[str, LabelKind]:
    """Return all kinds by the letter of their code."""
    return dict(_kinds)


def lot_choices(place: str) -> list[tuple[int, str]]:
    """Return lots on the shelf, the newest first."""
    lots = Lot.objects.on_shelf().select_related("material").order_by("-pk")
    if place:
        lots = lots.filter(place=place)
    return [(lot.pk, f"{lot}{f', {lot.place}' if lot.place else ''}") for lot in lots[:MOST_CHOICES]]


def lot_labels(pks: Sequence[int]) -> list[Label]:
    """Return the labels of lots."""
    return [
        Label(
            code=Code("l", lot.pk),
            name=lot.material.name,
            lot=_lot_words(lot),
            expiry=f"Good until {day_words(lot.expires_on)}" if lot.expires_on else "",
            pair=f"Pairs with {lot.kit_code}" if lot.kit_code else "",
            place=lot.place,
            safety=SAFETY,
        )
        for lot in Lot.objects.filter(pk__in=pks).select_related("material").order_by("material__name", "pk")
    ]


def bin_choices(place: str) -> list[tuple[int, str]]:
    """Return all bins."""
    bins = ScrapBin.objects.filter(place=place) if place else ScrapBin.objects.all()
    return [(one.pk, f"{one.label}, {one.get_chemistry_display().lower()}") for one in bins[:MOST_CHOICES]]


def bin_labels(pks: Sequence[int]) -> list[Label]:
    """Return the labels of bins: what the rubber is decides what it may be used with, so that stands there."""
    return [
        Label(
            code=Code("b", one.pk),
            name=f"Scrap {one.label}",
            lot=", ".join(
                part
                for part in (
                    one.get_chemistry_display().lower() if one.chemistry != "other" else "not known what it is: waste",
                    one.family,
                    str(show(one.hardness_shore_a, "Shore A")) if one.hardness_shore_a else "",
                    one.colour,
                    f"chunks of {show(one.chunk_edge_mm, 'mm')}",
                )
                if part
            ),
            pair="" if one.washed else "Not washed",
            place=one.place,
        )
        for one in ScrapBin.objects.filter(pk__in=pks).order_by("label")
    ]


def _lot_words(lot: Lot) -> str:
    part = f"{lot.get_component_display()}, " if lot.component != Lot.Component.WHOLE else ""
    return f"{part}lot {lot.supplier_lot or lot.pk}"


def day_words(day: datetime.date) -> str:
    """Write a day with its year: a label outlives it."""
    from babel.dates import format_date

    from studio.web.context import current_profile

    return format_date(day, "d MMM y", locale=locale_code(current_profile()))
