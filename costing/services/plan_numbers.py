"""The numbers of a plan that what came out is held against, as they were when a quote was frozen."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from costing.engine.brief import MaterialPrice
from costing.engine.spend import material_of
from costing.inputs import PlannedJob, prices_of
from jobs.planning.results import Component
from studio.figures import Figure, Given


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTask:
    """A task with its hands-on minutes."""

    key: str
    label: str
    stage: str
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedMaterial:
    """A material with its mass and price; `key` is that of the material, or of the scrap bin with “scrap-” before it."""

    key: str
    name: str
    mass_g: float
    per_kg: float | None
    own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanNumbers:
    """What was planned: tasks, materials, castings, what an hour costs, and other expense."""

    tasks: tuple[PlannedTask, ...]
    materials: tuple[PlannedMaterial, ...]
    castings: int
    labour_per_h: float
    overhead_per_h: float
    extra_label: str = ""
    extra: float = 0.0


def numbers_of(
    found: PlannedJob, *, labour: Given, overhead: Given | Figure, extra_label: str = "", extra: float = 0.0
) -> PlanNumbers:
    """Take the numbers of a computed plan at today's prices."""
    prices: Mapping[int | str, MaterialPrice] = prices_of(found)
    masses: dict[str, PlannedMaterial] = {}
    for need in found.mold.needs:
        key, price = str(material_of(need)), prices.get(material_of(need))
        own = need.component is Component.SCRAP
        before = masses[key].mass_g if key in masses else 0.0
        per_kg = None if price is None or price.per_kg is None else price.per_kg.value
        masses[key] = PlannedMaterial(
            key=key, name=need.name if price is None else price.name, mass_g=before + need.mass.value,
            per_kg=0.0 if own else per_kg, own=own,
        )  # fmt: skip
    tasks = tuple(
        PlannedTask(key=task.key, label=task.label, stage=task.stage.value, minutes=task.minutes.value)
        for task in found.mold.tasks
    )
    casting = found.mold.casting
    return PlanNumbers(
        tasks=tasks, materials=tuple(masses.values()), castings=casting.count if casting else 0, labour_per_h=labour.value,
        overhead_per_h=overhead.value, extra_label=extra_label, extra=extra,
    )  # fmt: skip


def to_plain(numbers: PlanNumbers) -> dict[str, Any]:
    """Turn the numbers into plain values for a JSON column."""
    plain = asdict(numbers)
    return {**plain, "tasks": list(plain["tasks"]), "materials": list(plain["materials"])}


def from_plain(kept: object) -> PlanNumbers | None:
    """Read what `to_plain` wrote; None where it is of another form."""
    if not isinstance(kept, Mapping):
        return None
    try:
        return PlanNumbers(
            tasks=tuple(PlannedTask(**one) for one in kept["tasks"]),
            materials=tuple(PlannedMaterial(**one) for one in kept["materials"]),
            **{name: kept[name] for name in ("castings", "labour_per_h", "overhead_per_h", "extra_label", "extra")},
        )
    except (KeyError, TypeError):
        return None
