"""What each row of a table means, and what is wrong with it, by row and column in sentences."""

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone

from materials.forms.material import MIXED
from materials.inputs import specs
from materials.models import ImportRun, Lot, Material, ScrapBin
from materials.models.scrap import USUAL_DENSITY_KG_M3
from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.science.mixing import component_shares
from materials.tables.cells import plain_text
from materials.tables.fields import InColumn, columns_in, heading_key
from materials.tables.reading import RawTable
from studio.figures import WorkingError

FORMULA = "This is a formula. Put the value there that it gives, and send the file again."


@dataclass(slots=True, kw_only=True)
class Row:
    """One row: its number in the file, what its cells mean, and what is wrong, by the column's heading."""

    number: int
    values: dict[str, Any] = field(default_factory=dict)
    problems: list[tuple[str, str]] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """A whole table; `problems` are those of its headings."""

    columns: Sequence[InColumn]
    rows: Sequence[Row]
    problems: Sequence[str]

    @property
    def wrong(self) -> list[Row]:
        """The rows that have something wrong."""
        return [row for row in self.rows if row.problems]


Check = Callable[[Row, "Known"], None]


def understand(kind: str, table: RawTable, *, sees_money: bool) -> Understood:
    """Read every cell, then hold each row against the studio's own rows and against the other rows of the file."""
    columns = [column for column in columns_in(kind) if sees_money or not column.money]
    places, problems = _placed(columns, table.headings, sees_money=sees_money)
    known = Known(kind)
    rows = []
    for number, cells in table.rows:
        row = Row(number=number)
        for column in columns:
            at = places.get(column.key)
            _read_cell(row, column, cells[at] if at is not None and at < len(cells) else "")
        if len(cells) > len(table.headings):
            row.problems.append(("Row", "There are cells here beyond the last heading. Give them one, or take them off."))
        CHECKS[kind](row, known)
        rows.append(row)
    shown = [column for column in columns if column.key in places]
    return Understood(columns=shown, rows=rows, problems=problems)


def _placed(columns: Sequence[InColumn], headings: Sequence[str], *, sees_money: bool) -> tuple[dict[str, int], list[str]]:
    names = {heading_key(name): column.key for column in columns for name in (column.heading, column.key, *column.also)}
    places: dict[str, int] = {}
    problems = []
    for at, heading in enumerate(headings):
        key = names.get(heading_key(heading))
        if key is None:
            words = "cannot be read in by your role" if not sees_money and heading_key(heading) in _MONEY else "is not known here"
            problems.append(f"The column “{heading[:60]}” {words}. Take it off, or call it by one of the headings below.")
        elif key in places:
            problems.append(f"The column “{heading[:60]}” stands there twice.")
        else:
            places[key] = at
    missing = [column.heading for column in columns if column.field.required and column.key not in places]
    problems += [f"The column “{heading}” is missing." for heading in missing]
    return places, problems


_MONEY = {"price", "pricebeforetax", "costbeforetax", "costbeforetaxperkg", "costperkg", "unitcostperkg"}


def _read_cell(row: Row, column: InColumn, text: str) -> None:
    if text.startswith("="):
        row.problems.append((column.heading, FORMULA))
        return
    try:
        row.values[column.key] = column.field.clean(plain_text(text))
    except ValidationError as wrong:
        row.problems.append((column.heading, " ".join(wrong.messages)))


class Known:
    """What the studio has already, fetched once, and what earlier rows of the file brought."""

    def __init__(self, kind: str) -> None:
        self.materials = {material.name.casefold(): material for material in Material.objects.all()}
        self.bins = {one.label.casefold(): one for one in ScrapBin.objects.all()} if kind == ImportRun.Kind.SCRAP else {}
        self.named: dict[str, Any] = {}
        self._splits: dict[int, str] | None = None

    def cannot_split(self, material: Material) -> str:
        """Return why a kit of a material cannot be split into A and B, or nothing."""
        if self._splits is None:
            self._splits = {}
            for pk, spec in specs([one.pk for one in self.materials.values() if one.two_part]).items():
                try:
                    component_shares(spec)
                except WorkingError as unknown:
                    self._splits[pk] = str(unknown)
        return self._splits.get(material.pk, "")


def _check_material(row: Row, known: Known) -> None:
    values = row.values
    name = " ".join(str(values.get("name", "")).split())
    if not name:
        return
    values["name"] = name
    if not any(sign.isalnum() for sign in name):
        row.problems.append(("Material", "A name needs at least one letter or digit."))
    there: Any = known.materials.get(name.casefold()) or known.named.get(name.casefold())
    if there is None:
        _check_new_material(row, values)
        if not row.problems:
            known.named[name.casefold()] = Material(
                name=name, kind=values["kind"], chemistry=values["chemistry"], mix_basis=values["mix_basis"]
            )
            there = known.named[name.casefold()]
    else:
        for key, heading in (("kind", "Kind"), ("chemistry", "Chemistry"), ("mix_basis", "Mixed")):
            if values.get(key) and values[key] != getattr(there, key):
                row.problems.append(
                    (heading, f"{name} is there already with another. Leave this empty, or change it on its page.")
                )
    _check_pack(row, values, there)


def _check_new_material(row: Row, values: dict[str, Any]) -> None:
    if "kind" in values and not values["kind"]:
        row.problems.append(("Kind", "This material is new; say what it is for."))
    if "chemistry" in values and not values["chemistry"]:
        values["chemistry"] = Chemistry.OTHER.value
    kind = values.get("kind")
    mixed = kind is not None and kind != "" and MaterialKind(kind) in MIXED
    if "mix_basis" in values and not values["mix_basis"]:
        if mixed:
            row.problems.append(("Mixed", "This material is new; say how its mix ratio is stated, nothing is guessed here."))
        values["mix_basis"] = MixBasis.ONE_PART.value
    elif kind and not mixed and values.get("mix_basis") not in (None, MixBasis.ONE_PART.value):
        row.problems.append(("Mixed", "Only rubber, resin and shell materials are mixed from two parts."))


def _check_pack(row: Row, values: dict[str, Any], material: Any) -> None:
    if not values.get("label"):
        filled = [
            heading
            for key, heading in (("mass_g", "Mass"), ("pieces", "Pieces"), ("price", "Price before tax"))
            if values.get(key)
        ]
        if filled:
            row.problems.append(("Pack", f"There is a value under {filled[0]}, so name the pack, say “5 kg kit”."))
        return
    if "price" in values and values["price"] is None:
        row.problems.append(("Price before tax", "A pack needs its price; write 0 where it costs nothing."))
    if material is None:
        return
    wanted, other = ("pieces", "mass_g") if material.counted else ("mass_g", "pieces")
    headings = {"pieces": "Pieces", "mass_g": "Mass"}
    if wanted in values and not values[wanted]:
        row.problems.append(
            (
                headings[wanted],
                f"{values['name']} is bought by {'the piece' if material.counted else 'mass'}; say how much is in the pack.",
            )
        )
    if values.get(other):
        row.problems.append((headings[other], f"{values['name']} is not bought so; leave this empty."))
    values["priced_on"] = values.get("priced_on") or timezone.localdate()


def _check_lot(row: Row, known: Known) -> None:
    values = row.values
    name = " ".join(str(values.get("material", "")).split())
    material: Material | None = known.materials.get(name.casefold())
    if name and material is None:
        row.problems.append(
            ("Material", f"There is no material called “{name[:60]}” here. Add it first, or write its name as it is.")
        )
    received = values.get("received_on")
    for key, heading in (("expires_on", "Good until"), ("opened_on", "Opened on")):
        day: datetime.date | None = values.get(key)
        if received and day and day < received:
            row.problems.append((heading, "This is before it was received; correct one of the two days."))
    if material is None:
        return
    values["material"] = material
    if material.counted:
        row.problems.append(("Material", f"{material.name} is counted by the piece and not kept by mass."))
    _check_parts(row, values, material, known)


def _check_parts(row: Row, values: dict[str, Any], material: Material, known: Known) -> None:
    if "component" not in values:
        return
    part = values["component"] or (Lot.Component.KIT if material.two_part else Lot.Component.WHOLE)
    values["component"] = Lot.Component(part)
    if material.two_part and part == Lot.Component.WHOLE:
        row.problems.append(
            ("Part", f"{material.name} has an A and a B; say which this is, or leave it empty for both together.")
        )
    if not material.two_part and part != Lot.Component.WHOLE:
        row.problems.append(("Part", f"{material.name} is of one part; leave this empty."))
    mass, mass_b = values.get("mass_g"), values.get("mass_b_g")
    if mass_b and part != Lot.Component.KIT:
        row.problems.append(("B in it", "This is asked only where A and B stand together; leave it empty."))
    elif mass_b and mass and mass_b >= mass:
        row.problems.append(("B in it", "B cannot be all of it; give the mass of B alone."))
    elif part == Lot.Component.KIT and material.two_part and not mass_b and "mass_b_g" in values and known.cannot_split(material):
        row.problems.append(("B in it", f"{known.cannot_split(material)} Or say how much of it is B."))


def _check_bin(row: Row, known: Known) -> None:
    values = row.values
    label = " ".join(str(values.get("label", "")).split())
    if not label:
        return
    values["label"] = label
    values["density_kg_m3"] = values.get("density_kg_m3") or USUAL_DENSITY_KG_M3
    values["kept_since_on"] = values.get("kept_since_on") or timezone.localdate()
    if not any(sign.isalnum() for sign in label):
        row.problems.append(("Label", "A label needs at least one letter or digit."))
    there = known.bins.get(label.casefold())
    if label.casefold() in known.named:
        row.problems.append(("Label", f"Row {known.named[label.casefold()]} has this label already."))
    elif there is not None and (there.on_hand_g or there.chemistry != values.get("chemistry")):
        row.problems.append(("Label", f"A bin labelled “{there.label}” exists already. Give this one another label."))
    known.named.setdefault(label.casefold(), row.number)


CHECKS: Mapping[str, Check] = {
    ImportRun.Kind.MATERIALS.value: _check_material,
    ImportRun.Kind.LOTS.value: _check_lot,
    ImportRun.Kind.SCRAP.value: _check_bin,
}


def total_g(rows: Sequence[Row]) -> Decimal:
    """Return the mass of all rows that say one."""
    return sum((row.values["mass_g"] for row in rows if row.values.get("mass_g")), Decimal(0))
