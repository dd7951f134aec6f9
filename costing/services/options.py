"""Options of the next quote: kept until it is frozen, each change undone by one step; and totals with those chosen."""

import hashlib
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from costing.engine.brief import Terms
from costing.engine.cost import Cost
from costing.engine.money import PricedLine, Totals
from costing.engine.options import priced_option, suggested_price, with_options
from costing.errors import OptionRefused
from costing.inputs import money_places, terms_of, terms_values
from costing.models import OfferOption, Quote, QuoteOption
from jobs.models import Job
from studio.models import Account, StudioProfile

MOST_OPTIONS = 20
FIELDS = ("text", "quantity", "unit_price", "cost", "hours", "tax_percent")
_NUMBERS = ("quantity", "unit_price", "cost", "hours", "tax_percent")

Told = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedOption:
    """An option as it would be frozen now; `suggested` is what its expense and hours ask for, where some were typed."""

    option: OfferOption
    line: PricedLine
    suggested: Cost | None

    @property
    def differs(self) -> bool:
        """Whether the price kept is another than the one that expense and hours ask for now."""
        return self.suggested is not None and self.suggested.unit_price != self.line.unit_price


def options_of(job: Job, profile: StudioProfile) -> list[PricedOption]:
    """Price the options of a job on the terms kept for it."""
    return priced_options(job, terms_values(terms_of(job), profile), money_places(profile))


def priced_options(job: Job, terms: Terms, places: int) -> list[PricedOption]:
    """Price the options of a job by the rounding rule; an empty tax takes the job's."""
    return [_priced(option, terms, places) for option in OfferOption.objects.filter(job=job).order_by("position", "pk")]


def suggestion(option: OfferOption, terms: Terms, places: int) -> Cost | None:
    """Return what expense and hours of an option ask for, or None where neither was typed."""
    if not option.cost and not option.hours:
        return None
    stem = f"option-{option.pk or 'new'}"
    return suggested_price(
        stem=stem, expense=option.cost or Decimal(0), hours=option.hours or Decimal(0), terms=terms, places=places
    )


def priced_line_of(option: OfferOption, terms: Terms, places: int) -> PricedLine:
    """Price an option by the rounding rule as it would be frozen."""
    return priced_option(
        text=option.text,
        quantity=option.quantity,
        unit_price=option.unit_price,
        tax_percent=terms.tax_percent if option.tax_percent is None else option.tax_percent,
        places=places,
    )


def fingerprint(options: Sequence[PricedOption]) -> str:
    """Return a short mark of what options say and ask, to see whether they moved since a page was opened."""
    said = "\n".join(
        f"{item.line.text}\t{item.line.quantity:f}\t{item.line.unit_price}\t{item.line.tax_percent}" for item in options
    )
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def totals_with(quote: Quote, positions: Collection[int]) -> tuple[Decimal, Decimal, Decimal]:
    """Return net, tax and gross of a frozen quote with the options at these positions, exact to the cent.

    Raises EngineError when a position is none of the quote's options.
    """
    options = QuoteOption.objects.filter(quote=quote).values_list("position", "net", "tax")
    lines = Totals(net=quote.net_total, tax=quote.tax_total)
    totals = with_options(lines=lines, options=options, chosen=positions)
    return totals.net, totals.tax, totals.gross


def freeze_options(quote: Quote, options: Sequence[PricedOption]) -> None:
    """Copy the options into a quote, numbered from 1."""
    QuoteOption.objects.bulk_create(
        QuoteOption(
            quote=quote,
            position=position,
            text=item.line.text,
            quantity=item.line.quantity,
            unit_price=item.line.unit_price,
            net=item.line.net,
            tax_percent=item.line.tax_percent,
            tax=item.line.tax,
        )
        for position, item in enumerate(options, start=1)
    )


def add_option(*, job: Job, values: Mapping[str, Any], by: Account | None) -> Told:
    """Add an option at the end of a job's list; returns what undoes it."""

    def change() -> str:
        rows = OfferOption.objects.filter(job=job)
        if rows.count() >= MOST_OPTIONS:
            raise OptionRefused(f"A quote offers at most {MOST_OPTIONS} options; remove one first.")
        last = rows.aggregate(last=Max("position"))["last"] or 0
        kept = {name: values[name] for name in FIELDS if name in values}
        OfferOption.objects.create(job=job, position=last + 1, changed_by=by, **kept)
        return f"“{kept['text']}” is added."

    return _changed(job, change)


def change_option(*, job: Job, pk: int, values: Mapping[str, Any], seen: str, by: Account | None) -> Told:
    """Change an option that was read as `seen`; refused when somebody changed it since. Returns what undoes it."""

    def change() -> str:
        row = _row(job, pk)
        if seen != seen_mark(row):
            who = row.changed_by.name if row.changed_by else "Somebody"
            raise OptionRefused(
                f"{who} changed this option at {timezone.localtime(row.changed_at):%H:%M}, after you opened it. "
                "What you typed still stands below: keep it again to replace theirs."
            )
        for name in FIELDS:
            if name in values:
                setattr(row, name, values[name])
        row.changed_by, row.changed_at = by, timezone.now()
        row.save()
        return f"“{row.text}” is changed."

    return _changed(job, change)


def move_option(*, job: Job, pk: int, up: bool) -> Told:
    """Move an option one place up or down; at the end of the list it stays. Returns what undoes it."""

    def change() -> str:
        row = _row(job, pk)
        rows = list(OfferOption.objects.filter(job=job).order_by("position", "pk"))
        at = rows.index(row)
        to = max(at - 1, 0) if up else min(at + 1, len(rows) - 1)
        rows.insert(to, rows.pop(at))
        for position, item in enumerate(rows, start=1):
            item.position = position
        OfferOption.objects.bulk_update(rows, ["position"])
        return f"“{row.text}” is number {to + 1} now."

    return _changed(job, change)


def remove_option(*, job: Job, pk: int) -> Told:
    """Take an option off the list; returns what undoes it."""

    def change() -> str:
        row = _row(job, pk)
        row.delete()
        return f"“{row.text}” is removed."

    return _changed(job, change)


@transaction.atomic
def put_back_options(*, job: Job, told: Mapping[str, Any]) -> None:
    """Put the list of options back as it was before a change; refused when it was changed again since."""
    _lock(job)
    if told.get("job") != job.pk:
        raise OptionRefused("There is nothing to undo: the options of this job were not changed here.")
    if told.get("after") != _snapshot(job):
        raise OptionRefused("The options were changed since by somebody else, so that change cannot be undone any more.")
    OfferOption.objects.filter(job=job).delete()
    accounts = set(Account.objects.filter(pk__in=[row["by"] for row in told["before"] if row["by"]]).values_list("pk", flat=True))
    OfferOption.objects.bulk_create(
        OfferOption(
            pk=row["pk"],
            job=job,
            position=row["position"],
            text=row["text"],
            changed_by_id=row["by"] if row["by"] in accounts else None,
            **{name: None if row[name] is None else Decimal(row[name]) for name in _NUMBERS},
        )
        for row in told["before"]
    )


def seen_mark(option: OfferOption) -> str:
    """Return the moment of an option's last change, as a form carries it."""
    return option.changed_at.isoformat()


@transaction.atomic
def _changed(job: Job, change: Callable[[], str]) -> Told:
    """Make one change to a job's list under its lock, and tell how to undo it."""
    _lock(job)
    before = _snapshot(job)
    words = change()
    return {"job": job.pk, "words": words, "before": before, "after": _snapshot(job)}


def _lock(job: Job) -> None:
    Job.objects.select_for_update().values_list("pk").get(pk=job.pk)


def _row(job: Job, pk: int) -> OfferOption:
    row = OfferOption.objects.select_related("changed_by").filter(job=job, pk=pk).first()
    if row is None:
        raise OptionRefused("That option is not there any more; somebody removed it already.")
    return row


def _snapshot(job: Job) -> list[dict[str, Any]]:
    """Write the list as plain values, which a session can keep."""
    return [
        {
            "pk": row.pk,
            "position": row.position,
            "text": row.text,
            "by": row.changed_by_id,
            **{name: _plain(getattr(row, name)) for name in _NUMBERS},
        }
        for row in OfferOption.objects.filter(job=job).order_by("position", "pk")
    ]


def _priced(option: OfferOption, terms: Terms, places: int) -> PricedOption:
    line = priced_line_of(option, terms, places)
    return PricedOption(option=option, line=line, suggested=suggestion(option, terms, places))


def _plain(value: Decimal | None) -> str | None:
    """Write a number with as many decimals as the column holds, so that two readings of one row are equal."""
    return None if value is None else f"{value.normalize():f}"
