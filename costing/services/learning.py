"""The studio's own rates as its log teaches them, one taken over and put back."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from costing.engine.learning.posterior import Likelihood, Posterior, update
from costing.engine.learning.prior import SAID, prior_of
from costing.errors import AdoptionRefused
from costing.models import RateAdoption
from costing.services.lessons import JobShown, as_kept, shown_by_jobs
from studio.figures import Figure, Given, Source, SourceKind
from studio.models import Account, WorkRate
from studio.services.rates import RateLine, rates_by_stage, reset_rate, set_rate
from studio.workrates import WORK_RATES, WorkRateKind

LIKELIHOOD = Likelihood()
METHOD = (
    "Each job counts once for a rate: the minutes noted of the tasks that this rate makes most of, times its share of them by "
    "the table, over how much work there was. On a scale of ratios jobs lie round the studio’s own rate with Student’s t of 4 "
    "degrees of freedom, so that one gone wrong is doubted; how widely they lie is learnt along, from about a quarter (from "
    "memory, check)."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One job that teaches a rate, and how far it is believed in percent."""

    job: JobShown
    believed_percent: int
    figure: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class LearntRate:
    """One rate: the table's value, what is in force, what was learnt, from which jobs, and what was taken over before."""

    line: RateLine
    posterior: Posterior
    learnt: Figure
    evidence: tuple[Evidence, ...]
    offered: Decimal
    in_force: bool
    undoable: RateAdoption | None
    history: tuple[RateAdoption, ...]

    @property
    def share_percent(self) -> int:
        """How much of what is believed comes from the log."""
        return round(100 * self.posterior.share_of_log)

    @property
    def narrowing_percent(self) -> int:
        """How much narrower the range has become."""
        return round(100 * self.posterior.narrowing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Learning:
    """Every rate that something is noted of, by stage; the others by name."""

    stages: tuple[tuple[str, tuple[LearntRate, ...]], ...]
    silent: tuple[str, ...]
    jobs: int


def learning() -> Learning:
    """Return what the log teaches of every rate, in a fixed number of queries."""
    shown, adoptions = shown_by_jobs(), _adoptions()
    stages, silent = [], []
    for stage, lines in rates_by_stage():
        taught = [_learnt(line, shown[key], adoptions.get(key, [])) for line in lines if (key := line.kind.key) in shown]
        silent += [line.kind.label for line in lines if line.kind.key not in shown and prior_of(line.kind) is not None]
        if taught:
            stages.append((stage.label, tuple(taught)))
    jobs = {one.job.pk for those in shown.values() for one in those}
    return Learning(stages=tuple(stages), silent=tuple(silent), jobs=len(jobs))


@transaction.atomic
def adopt(*, key: str, seen: Decimal, by: Account) -> RateAdoption:
    """Take a learnt rate over, as it was seen; refused when the log teaches another value by now."""
    kind = WORK_RATES.get(key)
    found = shown_by_jobs().get(key, [])
    if kind is None or not found:
        raise AdoptionRefused("Nothing is learnt of this rate any more. Look at the table again.")
    posterior = _posterior(kind, found)
    offered = as_kept(posterior.median)
    if offered != seen:
        raise AdoptionRefused(
            f"{kind.label}: what the log teaches has changed since you looked. Nothing was taken over; look again."
        )
    own = WorkRate.objects.select_for_update().filter(key=key).first()
    if own is not None and own.value == offered:
        raise AdoptionRefused(f"{kind.label}: this value is in force already.")
    row: RateAdoption = RateAdoption.objects.create(
        key=key, before=None if own is None else own.value, before_note="" if own is None else own.note, after=offered,
        evidence={
            "jobs": [one.job.number for one in found], "low": posterior.low, "high": posterior.high,
            "share_of_log": posterior.share_of_log,
        },
        adopted_by=by,
    )  # fmt: skip
    set_rate(key=key, value=offered, note=_note(found), by=by)
    return row


@transaction.atomic
def undo(*, pk: int, by: Account) -> RateAdoption:
    """Put the value back that was in force before a rate was taken over; refused when it was changed since."""
    row: RateAdoption | None = RateAdoption.objects.select_for_update().filter(pk=pk).first()
    if row is None or row.undone_at is not None:
        raise AdoptionRefused("That was undone already. Look at the table again.")
    own = WorkRate.objects.select_for_update().filter(key=row.key).first()
    if own is None or own.value != row.after:
        raise AdoptionRefused(
            f"{WORK_RATES[row.key].label}: the value was changed after it was taken over, so nothing is put back. "
            "Set it on the page of the rates of work."
        )
    if row.before is None:
        reset_rate(key=row.key)
    else:
        set_rate(key=row.key, value=row.before, note=row.before_note, by=by)
    row.undone_by, row.undone_at = by, timezone.now()
    row.save(update_fields=["undone_by", "undone_at"])
    return row


def _adoptions() -> dict[str, list[RateAdoption]]:
    found: dict[str, list[RateAdoption]] = {}
    for row in RateAdoption.objects.select_related("adopted_by", "undone_by"):
        found.setdefault(row.key, []).append(row)
    return found


def _posterior(kind: WorkRateKind, found: Sequence[JobShown]) -> Posterior:
    prior = prior_of(kind)
    assert prior is not None
    return update(prior, [one.shown.rate for one in found], LIKELIHOOD)


def _learnt(line: RateLine, found: Sequence[JobShown], adoptions: Sequence[RateAdoption]) -> LearntRate:
    kind, posterior = line.kind, _posterior(line.kind, found)
    evidence = tuple(
        Evidence(job=one, believed_percent=min(round(100 * weight), 100), figure=_as_given(one, kind))
        for one, weight in zip(found, posterior.weights, strict=True)
    )
    table = Given(
        label="The table's value, with its usual range", value=kind.default, unit=kind.unit, source=kind.source, low=kind.low,
        high=kind.high,
    )  # fmt: skip
    learnt = Figure(
        key=f"learnt-{kind.key}", label=kind.label, value=posterior.median, unit=kind.unit, low=posterior.low,
        high=posterior.high, formula="the middle of what is believed after the log; the range holds it in 80 of 100 cases",
        given=(table, *(one.figure for one in evidence)), note=f"{SAID} {METHOD}",
        source=Source(kind=SourceKind.COMPUTED, text="robust Bayesian update on a grid"),
    )  # fmt: skip
    offered = as_kept(posterior.median)
    own = None if line.own is None else line.own.value
    standing = next((row for row in adoptions if row.undone_at is None and row.after == own), None)
    return LearntRate(
        line=line, posterior=posterior, learnt=learnt, evidence=evidence, offered=offered, in_force=own == offered,
        undoable=standing, history=tuple(adoptions),
    )  # fmt: skip


def _as_given(one: JobShown, kind: WorkRateKind) -> Given:
    return Given(
        label=f"Job {one.job.number}: {', '.join(one.shown.tasks)}"[:200], value=one.shown.rate, unit=kind.unit,
        source=Source(kind=SourceKind.MEASURED, text="noted minutes ÷ how much work there was"),
    )  # fmt: skip


def _note(found: Sequence[JobShown]) -> str:
    numbers = ", ".join(str(one.job.number) for one in found)
    return f"learnt from the log of {'job' if len(found) == 1 else 'jobs'} {numbers}"[:200]
