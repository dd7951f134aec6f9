"""The columns of each kind of table that is read in, and the field that reads a cell of each."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from materials.forms.deliveries import MOST_PER_KG
from materials.forms.entries import check_past, mass_field
from materials.forms.scrap import RUBBERS
from materials.models import ImportRun, Lot
from materials.properties import Chemistry, MaterialKind, MixBasis
from studio.web.forms import CountField, MoneyField, QuantityField

YES, NO = {"yes", "y", "true", "1", "x"}, {"no", "n", "false", "0", ""}


class WordField(forms.CharField):
    """One of a few words, or of the codes behind them, in large or small letters."""

    def __init__(self, words: Mapping[str, str], **kwargs: Any) -> None:
        self.words = dict(words)
        self.known = {word.casefold(): value for value, word in self.words.items()} | {
            value.casefold(): value for value in self.words
        }
        super().__init__(max_length=80, empty_value="", **kwargs)

    def clean(self, value: Any) -> Any:
        """Return the code."""
        text = super().clean(value)
        if not text:
            return text
        found = self.known.get(" ".join(str(text).split()).casefold())
        if found is None:
            raise ValidationError(f"“{str(text)[:40]}” is none of: {', '.join(self.words.values())}.")
        return found


class YesField(forms.CharField):
    """Yes or no; nothing is no."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, **kwargs)

    def clean(self, value: Any) -> Any:
        """Return whether it says yes."""
        text = str(value or "").strip().casefold()
        if text in YES | NO:
            return text in YES
        raise ValidationError("Write yes or no.")


class DayField(forms.DateField):
    """A day as year-month-day, or day.month.year; with `past`, one that has come."""

    def __init__(self, *, past: bool = False, **kwargs: Any) -> None:
        self.past = past
        super().__init__(
            input_formats=["%Y-%m-%d", "%d.%m.%Y"],
            error_messages={
                "invalid": "Write the day as year-month-day, for example 2027-03-01.",
                "required": "Give the day.",
            },
            **kwargs,
        )

    def clean(self, value: Any) -> datetime.date | None:
        """Refuse a day that has not come, where it must have."""
        day: datetime.date | None = super().clean(value)
        return check_past(day) if day and self.past else day


@dataclass(frozen=True, slots=True)
class InColumn:
    """One column that may be read in; `also` are other headings by which it is known."""

    key: str
    heading: str
    field: forms.Field
    says: str = ""
    also: tuple[str, ...] = ()
    money: bool = False

    @property
    def unit(self) -> str:
        """The unit in which a bare number is read."""
        return str(getattr(self.field, "unit_label", ""))


def _text(most: int, *, required: bool = False) -> forms.CharField:
    return forms.CharField(max_length=most, required=required, error_messages={"required": "This must not stay empty."})


def _words(choices: Iterable[Any]) -> dict[str, str]:
    return {item.value: item.label for item in choices}


def columns_in(kind: str) -> list[InColumn]:
    """Return the columns of a kind of table, with fresh fields that know the studio's units."""
    return {"materials": _materials, "lots": _lots, "scrap": _scrap}[ImportRun.Kind(kind).value]()


def _materials() -> list[InColumn]:
    return [
        InColumn("name", "Material", _text(120, required=True), "one row for each pack; the same name may come again", ("name",)),
        InColumn("kind", "Kind", WordField(_words(MaterialKind), required=False), "asked for where the material is new"),
        InColumn("chemistry", "Chemistry", WordField(_words(Chemistry), required=False)),
        InColumn(
            "mix_basis", "Mixed", WordField(_words(MixBasis), required=False), "how the ratio is stated", ("how it is mixed",)
        ),
        InColumn("family", "Family", _text(80), "", ("maker's family",)),
        InColumn("note", "Note", _text(500)),
        InColumn("label", "Pack", _text(80), "what it says on it; empty for no pack"),
        InColumn("mass_g", "Mass", mass_field(label="Mass", required=False), "of what is in the pack", ("mass in it",)),
        InColumn("pieces", "Pieces", CountField(label="Pieces", min_value=1, required=False), "for what is counted"),
        InColumn("price", "Price before tax", MoneyField(label="Price", required=False), "", ("price",), money=True),
        InColumn("supplier", "Supplier", _text(120)),
        InColumn("priced_on", "Price of", DayField(past=True, required=False), "the day of the price; empty for today"),
        InColumn("usual", "Usually bought", YesField(), "yes or no"),
    ]


def _lots() -> list[InColumn]:
    return [
        InColumn("material", "Material", _text(120, required=True), "by its name here"),
        InColumn("component", "Part", WordField(dict(Lot.Component.choices), required=False), "part A, part B, or empty for all"),
        InColumn("mass_g", "Mass", mass_field(label="Mass"), "what is there, A and B together", ("on hand", "mass in all")),
        InColumn("mass_b_g", "B in it", mass_field(label="B in it", required=False), "empty: the mix ratio tells"),
        InColumn("received_on", "Received on", DayField(past=True)),
        InColumn("opened_on", "Opened on", DayField(past=True, required=False)),
        InColumn("expires_on", "Good until", DayField(required=False), "", ("expires on", "expiry")),
        InColumn("supplier", "Supplier", _text(120)),
        InColumn("supplier_lot", "Supplier's lot", _text(80), "", ("lot", "lot number")),
        InColumn("kit_code", "Pairs with", _text(40), "the same code on the A and the B"),
        InColumn("place", "Place", _text(80)),
        InColumn(
            "unit_cost_per_kg", "Cost before tax",
            MoneyField(per="kg", places=4, max_value=MOST_PER_KG, label="Cost", required=False),
            "", ("cost before tax per kg", "cost per kg"), money=True,
        ),
        InColumn("note", "Note", _text(200)),
    ]  # fmt: skip


def _scrap() -> list[InColumn]:
    rubbers = _words(RUBBERS) | {Chemistry.OTHER.value: "Not known"}
    return [
        InColumn("label", "Label", _text(60, required=True), "what stands on the bin"),
        InColumn("chemistry", "Rubber", WordField(rubbers), "what is not known is waste", ("chemistry",)),
        InColumn("mass_g", "Mass", mass_field(label="Mass", required=False), "what is in it", ("on hand",)),
        InColumn("chunk_edge_mm", "Chunks", QuantityField(unit="mm", min_value=0.5, max_value=500, places=1), "their edge"),
        InColumn("family", "Family", _text(80)),
        InColumn(
            "hardness_shore_a", "Hardness", QuantityField(unit="Shore A", min_value=1, max_value=95, places=1, required=False)
        ),
        InColumn(
            "density_kg_m3", "Density", QuantityField(unit="kg/m3", min_value=300, max_value=4000, places=1, required=False),
            "empty: that of most silicones",
        ),
        InColumn("colour", "Colour", _text(40)),
        InColumn("washed", "Washed", YesField(), "yes or no"),
        InColumn("origin", "Came from", _text(120)),
        InColumn("kept_since_on", "Kept since", DayField(past=True, required=False), "empty for today"),
        InColumn("place", "Place", _text(80)),
    ]  # fmt: skip


def heading_key(text: str) -> str:
    """Return a heading without its unit and without what makes no difference."""
    bare = text.partition("(")[0].partition(",")[0]
    return "".join(sign for sign in bare.casefold().replace("’", "'") if sign.isalnum())
