"""The tape editor's rows as a browser sends them: changed without losing what was typed, and read when all is well."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self

from django.forms import BaseFormSet
from django.http import QueryDict

from jobs.forms.stands import PieceStandsForm
from jobs.forms.tape import MAX_ROWS, GirthForm, GirthFormSet, SolidForm, SolidFormSet
from jobs.models import SolidReading
from jobs.readings import GirthTyped, SolidTyped, TapeReadings
from studio.web.forms import PaperForm, QuantityField
from studio.web.quantities import own_number

PREFIXES: Mapping[str, tuple[str, ...]] = {
    "girths": tuple(GirthForm.base_fields),
    "solids": tuple(SolidForm.base_fields),
}
FRESH: Mapping[str, dict[str, str]] = {"girths": {}, "solids": {"shape": "cylinder", "sense": "added", "count": "1"}}
FRESH_ROWS = 3
_ACTION = re.compile(r"(add|remove|up|down)-(girths|solids)(?:-(\d{1,3}))?")
Row = dict[str, str]


@dataclass(slots=True, kw_only=True)
class TapeEditor:
    """The three forms of the editor together; `fresh_row` names the row that was just added."""

    girths: "BaseFormSet[GirthForm]"
    solids: "BaseFormSet[SolidForm]"
    stands: PieceStandsForm
    fresh_row: str = ""
    kept: TapeReadings | None = None

    @classmethod
    def of(cls, readings: TapeReadings) -> Self:
        """Show kept readings, or a few empty rows."""
        girths: list[dict[str, Any]] = [
            {"girth": row.girth_mm, "along": row.along_mm, "height": row.height_mm} for row in readings.girths
        ]
        solids = [_solid_initial(row) for row in readings.solids]
        if not girths and not solids:
            girths = [{} for _ in range(FRESH_ROWS)]
        stands = {
            "stands_on_board": readings.stands_on_board,
            "flange_width": readings.flange_width_mm,
            "texture_height": readings.texture_height_mm,
            "texture_spacing": readings.texture_spacing_mm,
        }
        return cls.from_post(_shown(girths, solids, stands))

    @classmethod
    def from_post(cls, data: Mapping[str, Any], *, fresh_row: str = "", kept: TapeReadings | None = None) -> Self:
        """Read what a browser sent; a number that stands as it was shown counts as the one in `kept`."""
        tidy = _tidy(data)
        return cls(
            girths=GirthFormSet(tidy, prefix="girths"),
            solids=SolidFormSet(tidy, prefix="solids"),
            stands=PieceStandsForm(tidy, prefix="stands"),
            fresh_row=fresh_row,
            kept=kept,
        )

    def is_valid(self) -> bool:
        """Say whether everything typed can be read."""
        return all([self.girths.is_valid(), self.solids.is_valid(), self.stands.is_valid()])

    def first_fault(self) -> str:
        """Return the first thing that is wrong, with where it is."""
        for name, formset in (("Girth", self.girths), ("Solid", self.solids)):
            for number, form in enumerate(formset.forms, start=1):
                for errors in form.errors.values():
                    return f"{name} {number}: {errors[0]}"
            for error in formset.non_form_errors():
                return str(error)
        for errors in self.stands.errors.values():
            return str(errors[0])
        return ""

    def readings(self) -> TapeReadings:
        """Return what was typed; empty rows do not count."""
        known = _shown_numbers(self.kept) if self.kept else {}
        stands = _exact(self.stands, known)
        girths = (_exact(form, known) for form in _filled(self.girths))
        return TapeReadings(
            girths=tuple(GirthTyped(girth_mm=row["girth"], along_mm=row["along"], height_mm=row["height"]) for row in girths),
            solids=tuple(_solid_typed(_exact(form, known)) for form in _filled(self.solids)),
            stands_on_board=stands["stands_on_board"],
            flange_width_mm=(stands["flange_width"] or 0.0) if stands["stands_on_board"] else 0.0,
            texture_height_mm=stands["texture_height"] or 0.0,
            texture_spacing_mm=stands["texture_spacing"] or 0.0,
        )


def change_rows(data: QueryDict, action: str) -> tuple[dict[str, Any], str]:
    """Add, remove or move a row of what was sent; returns the data and the name of a row that was added."""
    rows = {prefix: _rows(data, prefix) for prefix in PREFIXES}
    rest = {key: value for key, value in data.items() if not key.startswith(tuple(f"{prefix}-" for prefix in PREFIXES))}
    match = _ACTION.fullmatch(action)
    fresh_row = ""
    if match is not None:
        kind, prefix, index = match[1], match[2], int(match[3] or -1)
        _apply(rows[prefix], kind, index, fresh=FRESH[prefix])
        if kind == "add":
            fresh_row = f"{prefix}-{len(rows[prefix]) - 1}"
    return {**rest, **_numbered(rows)}, fresh_row


def _apply(rows: list[Row], kind: str, index: int, *, fresh: Row) -> None:
    if kind == "add" and len(rows) < MAX_ROWS:
        rows.append(dict(fresh))
    elif kind == "remove" and 0 <= index < len(rows):
        del rows[index]
    elif kind == "up" and 0 < index < len(rows):
        rows[index - 1], rows[index] = rows[index], rows[index - 1]
    elif kind == "down" and 0 <= index < len(rows) - 1:
        rows[index + 1], rows[index] = rows[index], rows[index + 1]


def _rows(data: Mapping[str, Any], prefix: str) -> list[Row]:
    total = str(data.get(f"{prefix}-TOTAL_FORMS", "0"))
    count = min(int(total), MAX_ROWS) if total.isascii() and total.isdigit() and len(total) < 6 else 0
    names = PREFIXES[prefix]
    return [{name: str(data[key]) for name in names if (key := f"{prefix}-{number}-{name}") in data} for number in range(count)]


def _tidy(data: Mapping[str, Any]) -> dict[str, Any]:
    """Count the rows anew, so that a form whose counters were tampered with is read all the same."""
    rows = {prefix: _rows(data, prefix) for prefix in PREFIXES}
    rest = {key: data[key] for key in data if not key.startswith(tuple(f"{prefix}-" for prefix in PREFIXES))}
    return {**rest, **_numbered(rows)}


def _numbered(rows: Mapping[str, list[Row]]) -> dict[str, Any]:
    data: dict[str, Any] = {}
    for prefix, found in rows.items():
        data |= {f"{prefix}-TOTAL_FORMS": str(len(found)), f"{prefix}-INITIAL_FORMS": "0"}
        data |= {f"{prefix}-{number}-{name}": value for number, row in enumerate(found) for name, value in row.items()}
    return data


def _shown(girths: list[dict[str, Any]], solids: list[dict[str, Any]], stands: dict[str, Any]) -> dict[str, Any]:
    """Write kept values as a browser would send them back."""
    girth_rows = [_written(GirthForm(initial=row)) for row in girths]
    solid_rows = [_written(SolidForm(initial=row)) for row in solids]
    about = {f"stands-{name}": value for name, value in _written(PieceStandsForm(initial=stands)).items()}
    return {**_numbered({"girths": girth_rows, "solids": solid_rows}), **about}


def _written(form: Any) -> Row:
    values = {bound.name: bound.value() for bound in form}
    return {name: "on" if value is True else str(value) for name, value in values.items() if value not in (None, False, "")}


def _solid_initial(row: SolidTyped) -> dict[str, Any]:
    return {
        "label": row.label,
        "shape": row.shape,
        "sense": SolidReading.Sense.TAKEN.value if row.taken_away else SolidReading.Sense.ADDED.value,
        "count": row.count,
        "length": row.length_mm,
        "width": row.width_mm,
        "height": row.height_mm,
        "contact": None if row.contact_area_mm2 is None else row.contact_area_mm2 / 100,
        "through": row.through,
    }


def _solid_typed(row: Mapping[str, Any]) -> SolidTyped:
    return SolidTyped(
        shape=row["shape"],
        label=row["label"],
        taken_away=row["sense"] == SolidReading.Sense.TAKEN,
        count=row["count"],
        length_mm=row["length"],
        width_mm=row["width"],
        height_mm=row["height"],
        contact_area_mm2=None if row["contact"] is None else row["contact"] * 100,
        through=row["through"],
    )


def _filled(formset: "BaseFormSet[Any]") -> list[PaperForm]:
    return [form for form in formset.forms if form.cleaned_data]


def _shown_numbers(kept: TapeReadings) -> dict[tuple[str, str], float]:
    """Map each kept number's unit and text on the page to the number; a converted text has fewer digits than it."""
    lengths: list[float | None] = [kept.flange_width_mm, kept.texture_height_mm, kept.texture_spacing_mm]
    for girth in kept.girths:
        lengths += [girth.girth_mm, girth.along_mm, girth.height_mm]
    for solid in kept.solids:
        lengths += [solid.length_mm, solid.width_mm, solid.height_mm]
    areas = [solid.contact_area_mm2 / 100 for solid in kept.solids if solid.contact_area_mm2 is not None]
    known = {("mm", own_number(length, "mm")): length for length in lengths if length is not None}
    return known | {("cm2", own_number(area, "cm2")): area for area in areas}


def _exact(form: PaperForm, known: Mapping[tuple[str, str], float]) -> dict[str, Any]:
    """Return what a form holds, its quantities as floats; what was sent back as shown is the kept number."""
    values = dict(form.cleaned_data)
    for name, field in form.fields.items():
        if isinstance(field, QuantityField) and values[name] is not None:
            values[name] = known.get((field.unit, str(form[name].data)), float(values[name]))
    return values
