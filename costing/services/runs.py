"""All about a job's run of castings: what each costs at every quantity, how long molds last, and when castings are ready."""

import copy
import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from django.utils import timezone

from costing.engine.brief import EstimateBrief
from costing.engine.errors import EngineError
from costing.engine.estimate import Estimate, make_estimate
from costing.engine.labour import RunHours, run_hours, task_hours
from costing.engine.remarks import castings_to_pay_mold
from costing.engine.runs.choice import Choice, RunAndLife, StopCosts, chance_of_a_stop, choose, further_by_rule, molds_of_run
from costing.engine.runs.curve import MoldCount, MoldMoney, Point, curve_quantities, furthest, points, round_quantities
from costing.engine.runs.delivery import Part, deliver, delivery_parts
from costing.engine.runs.further import made_later
from costing.engine.runs.learning import Learning, LearningModel, learning_of
from costing.engine.runs.practice import hours_of_number, mean_hours, total_hours
from costing.engine.shares import Share
from costing.inputs import PlannedJob, brief_of, terms_values
from costing.models import PriceTerms
from costing.services.spread import with_contingency
from jobs.calendar import USUAL_DAY, USUAL_WEEK
from jobs.days.hours import Week, weeks
from jobs.models import Job, Timetable, TimetableEntry
from jobs.planning.work.run import CASTINGS
from studio.figures import Figure, Given, Source, SourceKind
from studio.models import Person, StudioProfile

FIELDS = ("learning_percent", "learning_model", "spare_molds")


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeRow:
    """One way to count practice: hours of the first, the last, each on average, and all."""

    label: str
    used: bool
    first: Figure
    last: Figure
    mean: Figure
    whole: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class DatedPart:
    """A part of the delivery, and its day where the timetable in use says when casting begins."""

    part: Part
    on: datetime.date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeSheet:
    """How many molds the run wants, and what it costs to have too few or too many."""

    expected: Given
    used: Figure
    stops: Figure
    rule: Figure
    choice: Choice


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSheet:
    """What the page of a run shows; `life` is None where no life is known, `parts` empty where nobody is at the bench."""

    estimate: Estimate
    count: int
    learning: Learning
    hours: RunHours
    cycle: Figure
    rows: tuple[Point, ...]
    curve: tuple[Point, ...]
    practice: tuple[PracticeRow, ...]
    break_even: Figure | None
    bench: Given
    parts: tuple[DatedPart, ...]
    begins_on: datetime.date | None
    life: LifeSheet | None

    @property
    def steps_up(self) -> bool:
        """Say whether longer runs of the curve count more molds in than shorter ones."""
        return self.curve[0].molds < self.curve[-1].molds


def with_run_values(terms: PriceTerms, values: Mapping[str, Any]) -> PriceTerms:
    """Return kept terms with other words about the run, to see what they would do; nothing is kept."""
    tried = copy.copy(terms)
    for name in FIELDS:
        setattr(tried, name, values[name])
    return tried


def run_sheet(
    found: PlannedJob, terms: PriceTerms, profile: StudioProfile, *, count: int | None = None, standing: Decimal = Decimal(0)
) -> RunSheet | None:
    """Reckon a run; None where nothing is cast.

    Parameters
    ----------
    found : PlannedJob
        The job with its plan computed.
    terms : PriceTerms
        Kept or typed terms.
    profile : StudioProfile
        The studio's own values.
    count : int or None
        Castings to look at in place of the planned number.
    standing : Decimal
        What it costs when the run stops, beside the mold that is made then. [money]
    """
    casting = found.mold.casting
    if casting is None:
        return None
    brief = with_contingency(brief_of(found, terms_values(terms, profile), profile, count=count), found)
    castings = casting.count if count is None else count
    most = furthest(castings, brief.terms.quantities)
    molds = MoldCount(planned=found.mold.molds, expected=brief.castings_expected, decided=brief.terms.spare_molds)
    shown = sorted({*round_quantities(most), *brief.terms.quantities, castings})
    drawn = curve_quantities(most, molds)
    estimate = make_estimate(_at(brief, sorted({*shown, *drawn})))
    assert estimate.one_more is not None
    assert estimate.run is not None
    spread = points(estimate.breaks, MoldMoney(planned=estimate.mold, further=estimate.one_more, count=molds))
    hours = run_hours(casting, tuple(task for task in task_hours(found.mold.tasks) if task.share is Share.RUN))
    learning = learning_of(brief.terms.learning_percent, brief.terms.learning_model)
    bench, weekdays = bench_hours()
    begins = casting_begins(found.job)
    return RunSheet(
        estimate=estimate,
        count=castings,
        learning=learning,
        hours=hours,
        cycle=casting.cycle,
        rows=tuple(point for point in spread if point.quantity in shown),
        curve=tuple(point for point in spread if point.quantity in drawn),
        practice=_practice(castings, hours, learning),
        break_even=castings_to_pay_mold(estimate.mold, estimate.run, estimate.further),
        bench=bench,
        parts=_parts(castings, hours, learning, bench, weekdays, begins),
        begins_on=begins,
        life=_life(brief, estimate, castings, standing),
    )


def _at(brief: EstimateBrief, quantities: list[int]) -> EstimateBrief:
    return replace(brief, terms=replace(brief.terms, quantities=tuple(quantities)))


def _practice(castings: int, hours: RunHours, learning: Learning) -> tuple[PracticeRow, ...]:
    """Set both models beside each other at the rate of the job; without a rate there is one row."""
    ways = [Learning(percent=learning.percent, model=model) for model in LearningModel] if learning.learns else [learning]
    return tuple(
        PracticeRow(
            label=way.model.label[:1].upper() + way.model.label[1:] if way.learns else "No learning: each takes the same",
            used=way == learning and way.learns,
            **{
                name: replace(figure, key=f"practice-{way.model.value}-{name}")
                for name, figure in (
                    ("first", hours_of_number(1, hours, way)),
                    ("last", hours_of_number(castings, hours, way)),
                    ("mean", mean_hours(castings, hours, way)),
                    ("whole", total_hours(castings, hours, way)),
                )
            },
        )
        for way in ways
    )


def _life(brief: EstimateBrief, estimate: Estimate, castings: int, standing: Decimal) -> LifeSheet | None:
    expected, one = brief.castings_expected, estimate.one_more
    if expected is None or one is None:
        return None
    run = RunAndLife(castings=castings, molds=brief.plan.molds, expected=expected)
    costs = StopCosts(
        now=one.cost,
        later=made_later(estimate.mold, one, brief.plan.molds),
        standing=Given(label="What a stop costs beside the mold", value=float(standing), unit="money"),
    )
    decided = brief.terms.spare_molds
    return LifeSheet(
        expected=expected,
        used=molds_of_run(run),
        stops=replace(chance_of_a_stop(run, decided or 0), key="run-stops"),
        rule=further_by_rule(run),
        choice=choose(run, costs, decided=decided),
    )


def _parts(
    castings: int, hours: RunHours, learning: Learning, bench: Given, weekdays: frozenset[int], begins: datetime.date | None
) -> tuple[DatedPart, ...]:
    try:
        parts = [deliver(number, hours=hours, learning=learning, bench_h=bench) for number in delivery_parts(castings)]
    except EngineError:
        return ()
    return tuple(DatedPart(part=part, on=_day_of(begins, round(part.ready_day.value), weekdays)) for part in parts)


def _day_of(begins: datetime.date | None, number: int, weekdays: frozenset[int]) -> datetime.date | None:
    """Return the date of the working day of a number, the first of them being the day on which casting begins."""
    if begins is None or not weekdays:
        return None
    # Whole weeks at once, then day by day.
    full, left = divmod(number - 1, len(weekdays))
    found = begins + datetime.timedelta(weeks=full)
    while left:
        found += datetime.timedelta(days=1)
        left -= found.weekday() in weekdays
    return found


def bench_hours() -> tuple[Given, frozenset[int]]:
    """Return the bench hours of an average working day, all people together, and the weekdays that have any."""
    people, typed = weeks(Person.objects.filter(active=True))
    by_weekday: dict[int, float] = {}
    # Where nobody is entered yet, one person works the usual week.
    for week in people.values() or [Week(bench=dict.fromkeys(USUAL_WEEK, USUAL_DAY))]:
        for weekday, stretches in week.bench.items():
            by_weekday[weekday] = by_weekday.get(weekday, 0.0) + sum(_length_h(starts, ends) for starts, ends in stretches)
    worked = {weekday: hours for weekday, hours in by_weekday.items() if hours > 0}
    words = "working hours entered under Studio, People" if typed else "nobody has entered hours: nine to five, Monday to Friday"
    return (
        Given(
            label=f"Bench hours of a working day, {'1 person' if len(people) < 2 else f'{len(people)} people together'}",
            value=sum(worked.values()) / len(worked) if worked else 0.0,
            unit="h",
            source=Source(kind=SourceKind.OWN, text=words),
        ),
        frozenset(worked),
    )


def _length_h(starts: datetime.time, ends: datetime.time) -> float:
    return (ends.hour - starts.hour) + (ends.minute - starts.minute) / 60


def casting_begins(job: Job) -> datetime.date | None:
    """Return the day on which the timetable in use begins casting; None where it says nothing of it."""
    used = Timetable.objects.in_use()
    if used is None:
        return None
    first = TimetableEntry.objects.filter(timetable=used, job=job, plan_key=CASTINGS).order_by("starts_at").first()
    return None if first is None else timezone.localtime(first.starts_at).date()
