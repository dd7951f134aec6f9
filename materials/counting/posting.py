"""Posting what differs, all lines in one transaction; and dropping a stocktake, each with its way back."""

from collections.abc import Mapping
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from materials import ledger
from materials.counting.lines import Kept, difference, kept_of, wants_reason, with_things
from materials.counting.weighing import open_or_refuse
from materials.errors import CountClosed, NotEnough, NotExplained, naming, verbatim
from materials.models import Movement, Stocktake, StocktakeLine
from studio.models import Account


@transaction.atomic
def keep_reasons(*, stocktake: Stocktake, reasons: Mapping[int, str]) -> None:
    """Write down why lines differ; lines that are not named keep what they have."""
    open_or_refuse(stocktake)
    lines = list(stocktake.lines.filter(pk__in=reasons))
    for line in lines:
        line.why = reasons[line.pk].strip()[:200]
    StocktakeLine.objects.bulk_update(lines, ["why"], batch_size=200)


@ledger.patient
@transaction.atomic
def post(*, stocktake: Stocktake, by: Account | None) -> int:
    """Write every difference into the ledger, or none; return how many lines were written.

    A difference is what scale and book disagreed by when the thing was weighed. What moved in the book since stays: the
    balance of now is corrected by that difference, not set to a weight of an hour ago. Posting again writes nothing.
    """
    row = Stocktake.objects.select_for_update().get(pk=stocktake.pk)
    if row.posted_at is not None:
        return 0
    open_or_refuse(row)
    lines = list(with_things(row.lines.filter(counted_g__isnull=False)))
    silent = [line for line in lines if wants_reason(line) and not line.why]
    if silent:
        names = "; ".join(verbatim(str(kept_of(line))) for line in silent[:3])
        more = f" and {len(silent) - 3} more" if len(silent) > 3 else ""
        raise NotExplained(f"Say why it differs, in a few words, before this is posted: {names}{more}.")
    written = 0
    differing = [line for line in lines if difference(line)]
    held = ledger.hold(*(kept_of(line) for line in differing)) if differing else None
    for line in differing:
        movement = _post_line(line, held.kept(kept_of(line)), by) if held else None
        if movement is not None:
            StocktakeLine.objects.filter(pk=line.pk).update(movement=movement)
            written += 1
    Stocktake.objects.filter(pk=row.pk).update(posted_at=timezone.now(), posted_by=by)
    return written


@ledger.patient
@transaction.atomic
def unpost(*, stocktake: Stocktake, by: Account | None) -> int:
    """Undo a posting by the opposite of each of its lines; the weights stay and can be corrected and posted again."""
    row = Stocktake.objects.select_for_update().get(pk=stocktake.pk)
    if row.posted_at is None:
        raise CountClosed("This stocktake is not posted, so there is nothing to undo.")
    undone = 0
    posted = list(with_things(row.lines.filter(movement__isnull=False)).select_related("movement__lot", "movement__scrap_bin"))
    if posted:
        ledger.hold(*(kept_of(line) for line in posted))
    for line in posted:
        movement = line.movement
        assert movement is not None
        if Movement.objects.filter(reverses=movement).exists():
            continue
        with naming(str(kept_of(line))):
            ledger.reverse(movement=movement, key=f"undo-line-{movement.pk}", by=by, why=f"stocktake “{row.name}” undone")
        undone += 1
    row.lines.update(movement=None)
    Stocktake.objects.filter(pk=row.pk).update(posted_at=None, posted_by=None)
    return undone


@transaction.atomic
def drop(*, stocktake: Stocktake) -> None:
    """Leave a stocktake unposted for good; nothing of the book changes."""
    row = open_or_refuse(stocktake)
    Stocktake.objects.filter(pk=row.pk).update(dropped_at=timezone.now())


@transaction.atomic
def bring_back(*, stocktake: Stocktake) -> None:
    """Let a dropped stocktake go on with all its weights."""
    if not Stocktake.objects.filter(pk=stocktake.pk, dropped_at__isnull=False).update(dropped_at=None):
        raise CountClosed("This stocktake was not dropped.")


def _post_line(line: StocktakeLine, now: Kept, by: Account | None) -> Movement | None:
    found, kept = difference(line) or Decimal(0), kept_of(line)
    target = now.on_hand_g + found
    if target < 0:
        raise NotEnough(
            f"{verbatim(str(kept))}: the count lacked {{lacked}}, but only {{here}} is left in the book since. Weigh it again.",
            lacked=-found,
            here=now.on_hand_g,
        )
    start = f"stocktake-{line.pk}-"
    turn = Movement.objects.filter(idempotency_key__startswith=start).count() + 1
    why = line.why or f"stocktake “{line.stocktake.name}”"
    with naming(str(kept)):
        return ledger.adjust_by_count(of=now, counted_g=target, key=f"{start}{turn}", by=by, why=why[:200])
