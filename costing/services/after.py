"""Plan against fact of one job: minutes, masses, castings and money, each difference split as published."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from costing.engine.variances import Part, Side, Split, spent_besides, split, together
from costing.inputs import money_places, planned, planned_from, terms_of, terms_values
from costing.models import Quote
from costing.services.facts import Facts, facts_of
from costing.services.plan_numbers import PlannedMaterial, PlannedTask, PlanNumbers, from_plain, numbers_of
from jobs.errors import JobNotReady
from jobs.models import Job, Plan
from jobs.planning.results import MoldPlan
from studio.figures import Figure, Given, Source, SourceKind, WorkingError
from studio.models import StudioProfile
from studio.workrates import Stage

NOTED = Source(kind=SourceKind.MEASURED, text="noted at this job")
LEDGER = Source(kind=SourceKind.MEASURED, text="the day book of the stock, used and brought back")
HOUR = Decimal(60)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanThen:
    """The plan that the facts are held against; `said` says which it is."""

    numbers: PlanNumbers
    said: str
    quote: Quote | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A quantity planned and come out; `words` says what the difference is."""

    key: str
    label: str
    planned: Figure
    actual: Figure | None
    difference: Figure | None

    @property
    def words(self) -> str:
        """More or less than planned, in words."""
        if self.difference is None or self.difference.value == 0:
            return "not noted" if self.difference is None else "as planned"
        return "more than planned" if self.difference.value > 0 else "less than planned"


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """A job's plan against what came out; `left_out` says what is not compared because nothing is noted of it.

    `splits` are costs in the order of the table, `by_quantity` and `by_price` their sums, `whole` the sum of both.
    """

    plan: PlanThen
    tasks: tuple[Pair, ...]
    stages: tuple[Pair, ...]
    hours: Pair
    materials: tuple[Pair, ...]
    castings: Pair
    spoiled: int
    splits: tuple[tuple[str, Split], ...]
    by_quantity: Part
    by_price: Part
    whole: Part
    left_out: tuple[str, ...]


def plan_then(job: Job, profile: StudioProfile, page: tuple[Plan, MoldPlan] | None = None) -> PlanThen | None:
    """Return the plan frozen in the accepted quote, else the plan in use at today's prices; None where there is neither."""
    quote = Quote.objects.filter(job=job, state=Quote.State.ACCEPTED).order_by("-number", "-version").first()
    kept = None if quote is None else from_plain(quote.inner.get("plan"))
    if quote is not None and kept is not None:
        return PlanThen(numbers=kept, said=f"the plan frozen in {quote}, which was accepted", quote=quote)
    try:
        found = planned(job) if page is None else planned_from(*page)
    except (JobNotReady, WorkingError):
        return None
    terms = terms_values(terms_of(job), profile)
    numbers = numbers_of(
        found, labour=terms.labour_rate_per_h, overhead=terms.overhead_per_h, extra_label=terms.extra_label,
        extra=float(terms.extra_cost),
    )  # fmt: skip
    said = "the plan in use, at today’s rates and prices, because no accepted quote holds a frozen one"
    return PlanThen(numbers=numbers, said=said)


def compare(job: Job, then: PlanThen, profile: StudioProfile, facts: Facts | None = None) -> Comparison:
    """Hold what came out at a job against its plan."""
    facts = facts or facts_of([job])[job.pk]
    numbers, minutes = then.numbers, facts.minutes
    tasks = tuple(_task_pair(task, minutes.get(task.key)) for task in numbers.tasks)
    known = {task.key for task in numbers.tasks}
    beside = sum((value for key, value in minutes.items() if key not in known), Decimal(0))
    noted = [pair for pair in tasks if pair.actual is not None]
    stages = _stages(numbers.tasks, tasks, facts, known)
    planned_min = _total("after-planned-min", "Minutes planned", [pair.planned for pair in noted], "min")
    actual_min = _noted("after-actual-min", "Minutes worked", sum((row.minutes for row in facts.work), Decimal(0)), "min")
    hours = _pair("after-hours", "All work noted", _in_hours(planned_min), _in_hours(actual_min))
    materials = tuple(_material_pair(one, facts) for one in numbers.materials)
    materials += tuple(
        _pair(f"after-mass-{key}", used.name, _plain(f"after-mass-{key}-planned", used.name, 0.0, "g", "not planned"),
              _ledger(f"after-mass-{key}-actual", used.name, used.mass_g))
        for key, used in facts.used.items() if key not in {one.key for one in numbers.materials}
    )  # fmt: skip
    splits = tuple(_splits(then, hours, facts, profile, any_work=bool(facts.work)))
    by_quantity = together(key="after-by-quantity", label="By quantity", parts=[one.quantity for _, one in splits])
    by_price = together(key="after-by-price", label="By price and rate", parts=[one.price for _, one in splits])
    made = facts.good + facts.spoiled
    run = _plain("after-castings-planned", "Castings planned", numbers.castings, "1", "as planned")
    castings = _pair(
        "after-castings", "Good castings", run,
        _noted("after-castings-good", "Good castings", Decimal(facts.good), "1") if made else None,
    )  # fmt: skip
    return Comparison(
        plan=then, tasks=tasks, stages=stages, hours=hours, materials=materials, castings=castings, spoiled=facts.spoiled,
        splits=splits, by_quantity=by_quantity, by_price=by_price,
        whole=together(key="after-whole", label="The whole difference", parts=[by_quantity, by_price]),
        left_out=tuple(_left_out(tasks, materials, numbers, facts, beside)),
    )  # fmt: skip


def _splits(
    then: PlanThen, hours: Pair, facts: Facts, profile: StudioProfile, *, any_work: bool
) -> "list[tuple[str, Split]]":  # fmt: skip
    numbers, places = then.numbers, money_places(profile)
    found: list[tuple[str, Split]] = []
    planned = {one.key: one for one in numbers.materials}
    for key in [*planned, *(key for key in facts.used if key not in planned)]:
        used = facts.used.get(key)
        if used is None or used.own or (key in planned and (planned[key].own or planned[key].per_kg is None)):
            continue
        found.append((used.name, _material_split(key, planned.get(key), used.name, used.mass_g, used.value, places)))
    if any_work and hours.actual is not None:
        rate = _given("Labour rate planned", numbers.labour_per_h, "money/h")
        paid = facts.labour(Decimal(repr(numbers.labour_per_h)))
        worked = Decimal(repr(hours.actual.value))
        earned = Figure(
            key="after-labour-rate", label="Labour rate of those who worked", value=float(paid / worked), unit="money/h",
            formula="what the hours cost at each one's rate ÷ hours; where nobody is named, at the planned rate",
            given=(_given("What the hours cost", float(paid), "money", NOTED), hours.actual),
        )  # fmt: skip
        found.append(
            ("Labour", split(key="after-labour", label="Labour", planned=Side(quantity=hours.planned, price=rate),
                             actual=Side(quantity=hours.actual, price=earned), places=places, words=("hours", "rate")))
        )  # fmt: skip
        overhead = _given("Overhead per hour", numbers.overhead_per_h, "money/h")
        found.append(
            ("Overhead", split(key="after-overhead", label="Overhead", planned=Side(quantity=hours.planned, price=overhead),
                               actual=Side(quantity=hours.actual, price=overhead), places=places, words=("hours", "rate")))
        )  # fmt: skip
    if facts.spend:
        label = numbers.extra_label or "Other expense"
        found.append(
            (label, spent_besides(key="after-spend", label=label, planned=_given("Planned", numbers.extra, "money"),
                                  actual=_given("Spent", float(facts.spent), "money", NOTED), places=places))
        )  # fmt: skip
    return found


def _material_split(
    key: str, planned: PlannedMaterial | None, name: str, mass_g: Decimal, value: Decimal, places: int
) -> Split:  # fmt: skip
    kilos = mass_g / 1000
    mass = _ledger(f"after-kg-{key}", "Mass used", kilos, "kg")
    price = Figure(
        key=f"after-per-kg-{key}", label="What it cost", value=float(value / kilos), unit="money/kg", formula="cost ÷ mass",
        given=(_given("Cost by the day book", float(value), "money", LEDGER), mass),
    )  # fmt: skip
    planned_kg = _given("Mass planned", 0.0 if planned is None else planned.mass_g / 1000, "kg")
    # What was not planned at all is a matter of quantity, at what it cost.
    planned_price = price if planned is None else _given("Price planned", planned.per_kg or 0.0, "money/kg")
    return split(
        key=f"after-material-{key}", label=name, planned=Side(quantity=planned_kg, price=planned_price),
        actual=Side(quantity=mass, price=price), places=places, words=("mass", "price"),
    )  # fmt: skip


def _left_out(
    tasks: Sequence[Pair], materials: Sequence[Pair], numbers: PlanNumbers, facts: Facts, beside: Decimal
) -> "list[str]":  # fmt: skip
    said = []
    silent = [pair.label for pair in tasks if pair.actual is None]
    if silent:
        said.append(f"No minutes are noted of {_named(silent)}; what they were planned at is not in the hours compared.")
    unused = [pair.label for pair in materials if pair.actual is None]
    if unused:
        said.append(f"The day book of the stock has no use for this job of {_named(unused)}.")
    priced = {one.key: one for one in numbers.materials}
    without = [used.name for key, used in facts.used.items() if key in priced and priced[key].per_kg is None]
    if without:
        said.append(f"Planned without a price, so not in the money: {_named(without)}.")
    if numbers.extra and not facts.spend:
        said.append(f"Nothing is noted as spent for “{numbers.extra_label or 'other expense'}”.")
    if beside:
        said.append("Work that this plan does not have counts as more hours.")
    return said


def _named(labels: Sequence[str]) -> str:
    shown = ", ".join(f"“{label}”" for label in labels[:4])
    return shown if len(labels) <= 4 else f"{shown} and {len(labels) - 4} more"


def _task_pair(task: PlannedTask, noted: Decimal | None) -> Pair:
    planned = _plain(f"after-{task.key}-planned", f"{task.label}, planned", task.minutes, "min", "as planned")
    actual = None if noted is None else _noted(f"after-{task.key}-actual", f"{task.label}, noted", noted, "min")
    return _pair(f"after-{task.key}", task.label, planned, actual)


def _material_pair(one: PlannedMaterial, facts: Facts) -> Pair:
    key, used = f"after-mass-{one.key}", facts.used.get(one.key)
    planned = _plain(f"{key}-planned", f"{one.name}, planned", one.mass_g, "g", "as planned, with what is lost")
    return _pair(key, one.name, planned, None if used is None else _ledger(f"{key}-actual", f"{one.name}, used", used.mass_g))


def _stages(planned: Sequence[PlannedTask], pairs: Sequence[Pair], facts: Facts, known: set[str]) -> tuple[Pair, ...]:
    """Gather the tasks that have minutes by stage, and the work that was not planned by itself."""
    found: list[Pair] = []
    for stage in Stage:
        those = [pair for task, pair in zip(planned, pairs, strict=True) if task.stage == stage.value and pair.actual]
        if those:
            key = f"after-stage-{stage.value}"
            before = _total(f"{key}-p", f"{stage.label}, planned", [one.planned for one in those], "min")
            after = _total(f"{key}-a", f"{stage.label}, noted", [one.actual for one in those if one.actual], "min")
            found.append(_pair(key, stage.label, _in_hours(before), _in_hours(after)))
    beside = [row for row in facts.work if row.task_key not in known]
    if beside:
        worked = _noted("after-beside-a", "Minutes not planned", sum((row.minutes for row in beside), Decimal(0)), "min")
        none = _plain("after-beside-p", "Planned", 0.0, "min", "not planned")
        found.append(_pair("after-stage-beside", "Not planned", _in_hours(none), _in_hours(worked)))
    return tuple(found)


def _pair(key: str, label: str, planned: Figure, actual: Figure | None) -> Pair:
    difference = None if actual is None else Figure(
        key=f"{key}-difference", label=f"{label}: difference", value=actual.value - planned.value, unit=planned.unit,
        formula="come out − planned", given=(actual, planned),
    )  # fmt: skip
    return Pair(key=key, label=label, planned=planned, actual=actual, difference=difference)


def _in_hours(minutes: Figure) -> Figure:
    return Figure(
        key=f"{minutes.key}-h", label=minutes.label, value=minutes.value / 60, unit="h", formula="minutes of all hands ÷ 60",
        given=(minutes,),
    )  # fmt: skip


def _total(key: str, label: str, parts: Sequence[Figure], unit: str) -> Figure:
    return Figure(key=key, label=label, value=sum(part.value for part in parts), unit=unit, formula="sum", given=tuple(parts))


def _plain(key: str, label: str, value: float, unit: str, formula: str) -> Figure:
    return Figure(key=key, label=label, value=float(value), unit=unit, formula=formula)


def _noted(key: str, label: str, value: Decimal, unit: str) -> Figure:
    return Figure(key=key, label=label, value=float(value), unit=unit, formula="sum of what is noted", source=NOTED)


def _ledger(key: str, label: str, mass: Decimal, unit: str = "g") -> Figure:
    return Figure(key=key, label=label, value=float(mass), unit=unit, formula="used − brought back", source=LEDGER)


def _given(label: str, value: float, unit: str, source: Source | None = None) -> Given:
    plan = Source(kind=SourceKind.COMPUTED, text="the plan")
    return Given(label=label, value=value, unit=unit, source=source or plan)
