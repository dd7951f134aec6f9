"""What the lines add up to: held by a job, out of the house, on hand."""

from decimal import Decimal
from typing import Any

from django.db.models import Sum

from materials.ledger.masses import rounded
from materials.models import Lot, Movement, ScrapBin
from materials.valuing.money import money

Kept = Lot | ScrapBin


def reserved_for(*, of: Kept, job_number: int | None) -> Decimal:
    """Return what is promised to a job."""
    total = lines_of(of).filter(job_number=job_number).aggregate(total=Sum("reserved_g"))["total"]
    return rounded(total or Decimal(0))


def used_from(*, of: Kept, job_number: int | None = None) -> Decimal:
    """Return what was used and did not come back, of one job or of all."""
    return used_at_cost(of=of, job_number=job_number)[0]


def used_at_cost(*, of: Kept, job_number: int | None = None) -> tuple[Decimal, Decimal]:
    """Return what was used and did not come back, of one job or of all, and what that cost."""
    lines = lines_of(of).filter(Movement.IS_USE)
    everybody = _out(lines)
    if job_number is None:
        return everybody
    # What came back without a job's number may have been this job's: never count more than is still out.
    of_job = _out(lines.filter(job_number=job_number))
    return of_job if of_job[0] <= everybody[0] else everybody


def _out(lines: Any) -> tuple[Decimal, Decimal]:
    totals = lines.aggregate(mass=Sum("mass_g"), value=Sum("value"))
    return rounded(-(totals["mass"] or Decimal(0))), money(-(totals["value"] or Decimal(0)))


def balances_from_movements(*, of: Kept) -> tuple[Decimal, Decimal]:
    """Replay the ledger of one lot or bin: what must be on hand and promised."""
    totals = lines_of(of).aggregate(on_hand=Sum("mass_g"), reserved=Sum("reserved_g"))
    return rounded(totals["on_hand"] or Decimal(0)), rounded(totals["reserved"] or Decimal(0))


def unbalanced() -> list[Kept]:
    """Return every lot and bin whose balance is not what its movements add up to; empty when the books are right."""
    found: list[Kept] = []
    for model in (Lot, ScrapBin):
        rows = model.objects.annotate(
            moved_g=Sum("movements__mass_g", default=Decimal(0)), promised_g=Sum("movements__reserved_g", default=Decimal(0))
        )
        for row in rows.iterator():
            replayed = rounded(row.moved_g), rounded(row.promised_g)
            if replayed != (row.on_hand_g, row.reserved_g):
                found.append(row)
    return found


def lines_of(of: Kept) -> Any:
    """Return the lines of a lot or bin."""
    return Movement.objects.filter(lot_id=of.pk) if isinstance(of, Lot) else Movement.objects.filter(scrap_bin_id=of.pk)
