"""Rates of work: the studio's own value where there is one, the table's default otherwise."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from studio.figures import Given, Source, SourceKind
from studio.models import Account, WorkRate
from studio.services.errors import RateError
from studio.workrates import WORK_RATES, Stage, WorkRateKind


@dataclass(frozen=True, slots=True, kw_only=True)
class RateLine:
    """One rate as the studio sees it: the table's default and, where set, the own value."""

    kind: WorkRateKind
    own: WorkRate | None

    @property
    def now(self) -> Given:
        """The value that plans use today."""
        return _given(self.kind, self.own)

    @property
    def outside_usual_range(self) -> bool:
        """Whether the own value lies outside the range that is usual."""
        return self.own is not None and not self.kind.low <= float(self.own.value) <= self.kind.high


def current_rates() -> dict[str, Given]:
    """Return every rate of work as plans use it today, by key."""
    own = {rate.key: rate for rate in WorkRate.objects.select_related("changed_by")}
    return {key: _given(kind, own.get(key)) for key, kind in WORK_RATES.items()}


def rates_by_stage() -> list[tuple[Stage, list[RateLine]]]:
    """Return every rate in the order of the stages, for the page."""
    own = {rate.key: rate for rate in WorkRate.objects.select_related("changed_by")}
    lines = [RateLine(kind=kind, own=own.get(kind.key)) for kind in WORK_RATES.values()]
    return [(stage, found) for stage in Stage if (found := [line for line in lines if line.kind.stage == stage])]


@transaction.atomic
def set_rate(*, key: str, value: Decimal, note: str, by: Account) -> WorkRate:
    """Keep the studio's own value for a rate, with who said so and when."""
    kind_of(key)
    if value < 0:
        raise RateError("A rate of work cannot be below zero.")
    rate, _ = WorkRate.objects.update_or_create(
        key=key, defaults={"value": value, "note": note, "changed_by": by, "changed_at": timezone.now()}
    )
    return rate


def reset_rate(*, key: str) -> Decimal | None:
    """Put the table's default back; return the own value that was there."""
    kind_of(key)
    rate = WorkRate.objects.filter(key=key).first()
    if rate is None:
        return None
    rate.delete()
    return rate.value


def kind_of(key: str) -> WorkRateKind:
    """Return a rate's line of the table, or refuse a key that is not in it."""
    try:
        return WORK_RATES[key]
    except KeyError:
        raise RateError("There is no such rate of work. Load the list again.") from None


def _given(kind: WorkRateKind, own: WorkRate | None) -> Given:
    if own is None:
        return kind.as_given()
    who = own.changed_by.name if own.changed_by else ""
    text = f"set by {who}, {own.changed_at:%Y-%m-%d}" if who else f"set {own.changed_at:%Y-%m-%d}"
    source = Source(kind=SourceKind.OWN, text=f"{text}. {own.note}".strip() if own.note else text)
    return Given(label=kind.label, value=float(own.value), unit=kind.unit, source=source, low=kind.low, high=kind.high)
