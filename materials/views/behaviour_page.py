"""What the page of a material's behaviour shows: curves, the studio's own points beside them, and what these say."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.utils import timezone
from django.utils.safestring import SafeString

from materials.forms.trials import HeldForm, TimingForm
from materials.inputs import given_of
from materials.models import Material, MaterialProperty, MaterialTrial
from materials.properties import PROPERTIES, MaterialKind
from materials.science.behaviour import CurvePoint, curve_start_c, held_curve, time_curve
from materials.science.errors import ScienceError
from materials.science.material import MaterialSpec
from materials.science.own_behaviour import OwnValue
from materials.services.own_values import PROPERTY_OF, OwnOfMaterial, last_taken, own_of, takings
from materials.views.behaviour_drawing import Mark, held_drawing, time_drawing
from materials.views.material_page import as_figure
from studio.access import Right
from studio.figures import Figure
from studio.models import Account, Person, StudioProfile
from studio.web.context import current_profile
from studio.web.forms import PaperForm
from studio.web.quantities import show, show_range

TIME_KINDS = ("pot_life", "gel", "demold")
REMOVED_SHOWN = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class TakingLine:
    """One value before and after."""

    label: str
    before: Figure | None
    after: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One property on the page: its drawing and table, or why there is none, and what the own points say."""

    kind: str
    label: str
    drawing: SafeString | str = ""
    lines: Sequence[tuple[float, Figure]] = ()
    stress: Figure | None = None
    refusal: str = ""
    own: OwnValue | None = None
    sentence: str = ""
    figures: Sequence[Figure] = ()
    takings: Sequence[TakingLine] = field(default=())


def behaviour_context(material: Material, *, account: Account, refused: dict[str, PaperForm] | None = None) -> dict[str, Any]:
    """Return all that the page shows; a refused form stays open with what was typed."""
    rights, profile = account.rights(), current_profile()
    may_stock, may_materials = Right.CHANGE_STOCK in rights, Right.CHANGE_MATERIALS in rights
    own = own_of(material)
    stored = {row.key: row for row in MaterialProperty.objects.filter(material=material)}
    kinds = [*TIME_KINDS, *(["held"] if material.kind == MaterialKind.RUBBER else [])]
    reference = own.spec.get("reference_temp_c")
    return {
        "material": material,
        "sections": [_section(kind, own, stored, profile) for kind in kinds],
        "start_c": curve_start_c(own.spec),
        "reference": reference,
        "points": own.points,
        "lines": _book(own),
        "removed": list(MaterialTrial.objects.filter(material=material).removed()[:REMOVED_SHOWN]) if may_stock else [],
        "taken": last_taken(material) if may_materials else None,
        "forms": trial_forms(material, account) | (refused or {}) if may_stock else {},
        "open": next(iter(refused or {}), ""),
        "may_stock": may_stock,
        "may_materials": may_materials,
    }


def trial_forms(material: Material, account: Account) -> dict[str, PaperForm]:
    """Return the empty forms for a timing and, for rubbers, a card."""
    person = Person.objects.filter(account=account, active=True).first()
    start = {"timed_on": timezone.localdate(), "person": person.pk if person else None}
    forms: dict[str, PaperForm] = {"timing": TimingForm(material=material, prefix="timing", initial=start)}
    if material.kind == MaterialKind.RUBBER:
        forms["held"] = HeldForm(material=material, prefix="held", initial={**start, "slope_deg": 90})
    return forms


def own_sentence(spec: MaterialSpec, kind: str, own: OwnValue, profile: StudioProfile) -> str:
    """Say what the own points of one kind come to, beside the value in use."""
    if own.value is None:
        return own.said
    unit, things = ("mm", "card") if kind == "held" else ("min", "timing")
    value = _shown(own.value, unit, profile)
    reference = spec.get("reference_temp_c")
    where = "on an upright wall" if kind == "held" or reference is None else f"at {show(reference.value, 'degC', profile)}"
    many = f"Your {own.counted} {things}s say" if own.counted > 1 else f"Your one {things} says"
    words = f"{many} {value} {where}"
    if own.stated is not None:
        in_use = show(own.stated.value, unit, profile, low=own.stated.low, high=own.stated.high, keep=unit == "mm")
        words += f"; the value in use is {in_use} ({own.stated.source.kind.value})"
    if own.speed_up is not None:
        words += f". Speed-up per 10 °C: {_with_range(own.speed_up, profile)}"
    out = len(own.counts) - own.counted
    left = f" {out} below the lowest curing temperature {'is' if out == 1 else 'are'} left out." if out else ""
    return f"{words}.{left}"


def _shown(figure: Figure, unit: str, profile: StudioProfile) -> str:
    return str(show(figure.value, unit, profile, low=figure.low, high=figure.high, keep=unit == "mm"))


def _with_range(figure: Figure, profile: StudioProfile) -> str:
    value = show(figure.value, figure.unit, profile, low=figure.low, high=figure.high)
    if figure.low is None or figure.high is None:
        return f"{value}"
    return f"{value} ({show_range(figure.low, figure.high, figure.unit, profile)})"


def _section(kind: str, own: OwnOfMaterial, stored: dict[str, MaterialProperty], profile: StudioProfile) -> Section:
    key = PROPERTY_OF[kind]
    value = own.by_kind.get(kind)
    section = Section(kind=kind, label=PROPERTIES[key].label, own=value)
    try:
        section = _drawn(section, own, profile)
    except ScienceError as refused:
        section = replace(section, refusal=str(refused))
    if value is None:
        return section
    parts = (value.value, value.apart, value.energy, value.speed_up, value.scatter)
    return replace(
        section,
        sentence=own_sentence(own.spec, kind, value, profile),
        figures=tuple(part for part in parts if part is not None),
        takings=tuple(
            TakingLine(
                label=taking.label,
                before=_before(kind, taking.before),
                after=replace(taking.after, key=f"take_{kind}_{taking.key}"),
            )
            for taking in takings(value, stored)
        ),
    )


def _drawn(section: Section, own: OwnOfMaterial, profile: StudioProfile) -> Section:
    marks = _marks(section.kind, own)
    if section.kind == "held":
        held = held_curve(own.spec)
        lines = [(figure.given[1].value, figure) for figure in held.table]
        return replace(section, drawing=held_drawing(held, marks=marks, profile=profile), lines=lines, stress=held.stress)
    curve = time_curve(own.spec, PROPERTY_OF[section.kind])
    drawing = time_drawing(
        curve, label=section.label, marks=marks, fitted=_fitted(section.own, curve.points), profile=profile
    )  # fmt: skip
    return replace(section, drawing=drawing, lines=list(zip(curve.temperatures_c, curve.table, strict=True)))


def _fitted(own: OwnValue | None, points: Sequence[CurvePoint]) -> list[tuple[float, float]]:
    """Return the line of the own timings, over the temperatures of the curve."""
    if own is None or own.fit is None or not own.energy_counts:
        return []
    return [(point.at, own.fit.minutes_at(point.at)) for point in points]


def _marks(kind: str, own: OwnOfMaterial) -> list[Mark]:
    value = own.by_kind.get(kind)
    if value is None:
        return []
    return [
        Mark(
            at=trial.slope_deg or 90.0 if kind == "held" else trial.temperature_c,
            value=trial.value,
            day=f"{trial.timed_on.day} {trial.timed_on:%b}",
            good=good and not odd,
        )
        for trial, good, odd in zip(own.trials[kind], value.counts, value.odd, strict=True)
    ]


def _before(kind: str, row: MaterialProperty | None) -> Figure | None:
    return None if row is None else replace(as_figure(row.key, given_of(row)), key=f"before_{kind}_{row.key}")


def _book(own: OwnOfMaterial) -> list[tuple[MaterialTrial, bool, bool]]:
    """Return all lines, the newest first, each with whether it counts and whether it lies far from the others."""
    lines = [
        (trial, counts, odd)
        for kind, value in own.by_kind.items()
        for trial, counts, odd in zip(own.trials[kind], value.counts, value.odd, strict=True)
    ]
    return sorted(lines, key=lambda line: (line[0].timed_on, line[0].pk), reverse=True)
