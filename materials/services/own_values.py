"""What the studio's own timings say of its materials, and taking it over into their values, with undo."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from materials.errors import NothingToTake, ThingGone, ValuesChangedSince
from materials.inputs import material_spec, specs_of
from materials.models import Material, MaterialProperty, MaterialTrial, OwnValuesTaken
from materials.properties import PROPERTIES
from materials.querysets import MaterialQuerySet
from materials.science.material import MaterialSpec
from materials.science.own_behaviour import OwnPoint, OwnValue, own_held, own_time
from studio.figures import Figure, SourceKind
from studio.models import Account

PROPERTY_OF = {"pot_life": "pot_life_min", "gel": "gel_min", "demold": "demold_min", "held": "held_thickness_mm"}
ENERGY = "activation_energy_kj_mol"
_STORED = ("value", "low", "high", "source_kind", "source_text")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnOfMaterial:
    """A material with all that the studio's own points say of it, by kind; kinds without a point are left out."""

    material: Material
    spec: MaterialSpec
    by_kind: Mapping[str, OwnValue]
    trials: Mapping[str, tuple[MaterialTrial, ...]]

    @property
    def points(self) -> int:
        """How many timings and cards there are."""
        return sum(len(found) for found in self.trials.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Taking:
    """One value that would change: what stands there, and what would."""

    key: str
    label: str
    unit: str
    before: MaterialProperty | None
    after: Figure


def own_of(material: Material) -> OwnOfMaterial:
    """Return what the studio's own points say of one material."""
    return _own(material, material_spec(material), MaterialTrial.objects.kept().filter(material=material).for_day_book())


def own_of_all(materials: MaterialQuerySet) -> list[OwnOfMaterial]:
    """Return the same of many materials, in their order, in as many queries as for one."""
    trials: dict[int, list[MaterialTrial]] = defaultdict(list)
    for trial in MaterialTrial.objects.kept().filter(material__in=materials).for_day_book():
        trials[trial.material_id].append(trial)
    found = specs_of(materials)
    return [_own(material, found[material.pk], trials[material.pk]) for material in materials]


def takings(own: OwnValue, stored: Mapping[str, MaterialProperty]) -> tuple[Taking, ...]:
    """Return the values that taking over would change, each with what stands there now."""
    after = ((own.key, own.value), (ENERGY, own.energy if own.energy_counts else None))
    return tuple(
        Taking(key=key, label=PROPERTIES[key].label, unit=PROPERTIES[key].unit, before=stored.get(key), after=figure)
        for key, figure in after
        if figure is not None and not _same(stored.get(key), figure)
    )


@transaction.atomic
def take_own_values(*, material: Material, kind: str, by: Account | None) -> OwnValuesTaken:
    """Put the studio's own value of one kind, and the energy that its timings give, in place of the values in use."""
    locked = Material.objects.select_for_update().get(pk=material.pk)
    own = own_of(locked).by_kind.get(kind)
    if own is None or own.value is None:
        raise NothingToTake((own.said if own else "") or "There are no timings of this kind that count. Add some first.")
    stored = {row.key: row for row in MaterialProperty.objects.filter(material=locked)}
    changes = takings(own, stored)
    if not changes:
        raise NothingToTake("The studio's own value is the one in use already.")
    for taking in changes:
        _check_believable(taking)
    said = f"the middle of {own.counted} own {'cards' if kind == 'held' else 'timings'} by {timezone.localdate():%d %b %Y}"
    before = {taking.key: _kept(stored.get(taking.key)) for taking in changes}
    after = {taking.key: _own_row(taking.after, said) for taking in changes}
    _write(locked, after)
    return OwnValuesTaken.objects.create(material=locked, kind=kind, before=before, after=after, by=by)


@transaction.atomic
def undo_own_values(*, material: Material) -> OwnValuesTaken:
    """Put back what stood there before the last taking over; refused where the values were changed since."""
    locked = Material.objects.select_for_update().get(pk=material.pk)
    last = last_taken(locked)
    if last is None:
        raise ThingGone("Nothing was taken over here that could be undone.")
    stored = {row.key: _kept(row) for row in MaterialProperty.objects.filter(material=locked, key__in=list(last.after))}
    if any(stored.get(key) != after for key, after in last.after.items()):
        raise ValuesChangedSince(
            "These values were changed after they were taken over. Change them on the material's page; undoing would lose that."
        )
    _write(locked, last.before)
    last.undone_at = timezone.now()
    last.save(update_fields=["undone_at"])
    return last


def last_taken(material: Material) -> OwnValuesTaken | None:
    """Return the last taking over that was not undone."""
    return OwnValuesTaken.objects.filter(material=material, undone_at__isnull=True).first()


def _own(material: Material, spec: MaterialSpec, trials: Iterable[MaterialTrial]) -> OwnOfMaterial:
    grouped: dict[str, list[MaterialTrial]] = defaultdict(list)
    for trial in trials:
        grouped[trial.kind].append(trial)
    by_kind = {
        kind: own_held(spec, _points(grouped[kind])) if kind == "held" else own_time(spec, key, _points(grouped[kind]))
        for kind, key in PROPERTY_OF.items()
        if grouped.get(kind)
    }
    return OwnOfMaterial(
        material=material, spec=spec, by_kind=by_kind, trials={kind: tuple(grouped[kind]) for kind in by_kind}
    )  # fmt: skip


def _points(trials: Iterable[MaterialTrial]) -> tuple[OwnPoint, ...]:
    return tuple(
        OwnPoint(temperature_c=trial.temperature_c, value=trial.value, told=_told(trial), slope_deg=trial.slope_deg or 90.0)
        for trial in trials
    )


def _told(trial: MaterialTrial) -> str:
    lot = f", lot {trial.lot.supplier_lot or trial.lot.pk}" if trial.lot else ""
    person = f", {trial.person.name}" if trial.person else ""
    return f"{trial.timed_on:%d %b %Y}{lot}{person}"


def _same(stored: MaterialProperty | None, figure: Figure) -> bool:
    own = _own_row(figure, "")
    return stored is not None and (stored.value, stored.low, stored.high) == (own["value"], own["low"], own["high"])


def _own_row(figure: Figure, said: str) -> dict[str, Any]:
    """Round to five digits: more are not known, and a form that shows the value gives it back unchanged."""
    value, low, high = (None if one is None else float(f"{one:.5g}") for one in (figure.value, figure.low, figure.high))
    return {"value": value, "low": low, "high": high, "source_kind": SourceKind.OWN.value, "source_text": said}


def _kept(row: MaterialProperty | None) -> dict[str, Any] | None:
    return None if row is None else {name: getattr(row, name) for name in _STORED}


def _check_believable(taking: Taking) -> None:
    kind = PROPERTIES[taking.key]
    if not kind.least <= taking.after.value <= kind.most:
        raise NothingToTake(
            f"{kind.label} by your timings lies outside what is believable for a material, so it is not taken over. "
            "Look for a wrong time or temperature among them."
        )


def _write(material: Material, rows: Mapping[str, dict[str, Any] | None]) -> None:
    for key, row in rows.items():
        if row is None:
            MaterialProperty.objects.filter(material=material, key=key).delete()
        else:
            MaterialProperty.objects.update_or_create(material=material, key=key, defaults=row)
