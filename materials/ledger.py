"""The only door through which a mass on the shelf changes.

Each function writes one movement and moves the balance of its lot or scrap bin in the same transaction: the row is locked
first, the balance is swapped only where it still is what was read, and CHECKs in the database stand behind both. Each
takes an idempotency key: the same key with the same payload writes once and answers with the first line, with another
payload it is refused. Masses are grams to three places, rounded half up.
"""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Q, Sum
from django.utils import timezone

from materials.errors import AlreadyReversed, BadMass, KeyUsedForOther, NotEnough, NotReserved, NotUsed, ThingGone
from materials.models import Lot, Movement, ScrapBin
from studio.models import Account

Kept = Lot | ScrapBin
Mass = Decimal | int | str

STEP = Decimal("0.001")
MOST_G = Decimal("999999999.999")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """A movement to be written."""

    kind: Movement.Kind
    mass_g: Decimal = Decimal(0)
    reserved_g: Decimal = Decimal(0)
    received_g: Decimal = Decimal(0)
    reverses: Movement | None = None


def receive(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Put a delivered or newly cut mass on the shelf."""
    mass = _positive(mass_g)

    def line(_kept: Kept) -> _Line:
        return _Line(kind=Movement.Kind.RECEIVE, mass_g=mass, received_g=mass)

    return _written(line, of, _Asked(Movement.Kind.RECEIVE, mass, key, by, why, job_number))


def issue(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Use up a mass; what is promised to the same job is taken first, the rest must be free."""
    mass = _positive(mass_g)

    def line(kept: Kept) -> _Line:
        promised = min(mass, reserved_for(of=kept, job_number=job_number)) if job_number is not None else Decimal(0)
        _must_be_free(kept, mass - promised)
        return _Line(kind=Movement.Kind.ISSUE, mass_g=-mass, reserved_g=-promised)

    return _written(line, of, _Asked(Movement.Kind.ISSUE, mass, key, by, why, job_number))


def reserve(*, of: Kept, mass_g: Mass, key: str, by: Account | None, job_number: int, why: str = "") -> Movement:
    """Promise a free mass to a job."""
    mass = _positive(mass_g)

    def line(kept: Kept) -> _Line:
        _must_be_free(kept, mass)
        return _Line(kind=Movement.Kind.RESERVE, reserved_g=mass)

    return _written(line, of, _Asked(Movement.Kind.RESERVE, mass, key, by, why, job_number))


def release(*, of: Kept, mass_g: Mass, key: str, by: Account | None, job_number: int, why: str = "") -> Movement:
    """Take back a promise, wholly or in part."""
    mass = _positive(mass_g)

    def line(kept: Kept) -> _Line:
        held = reserved_for(of=kept, job_number=job_number)
        if held < mass:
            raise NotReserved(
                f"{{held}} of this is promised to job {job_number}; {{mass}} cannot be released. Release no more than that.",
                held=held,
                mass=mass,
            )
        return _Line(kind=Movement.Kind.RELEASE, reserved_g=-mass)

    return _written(line, of, _Asked(Movement.Kind.RELEASE, mass, key, by, why, job_number))


def return_(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Put back what was taken out and not used."""
    mass = _positive(mass_g)

    def line(kept: Kept) -> _Line:
        used = used_from(of=kept, job_number=job_number)
        if used < mass:
            whose = f" for job {job_number}" if job_number is not None else ""
            raise NotUsed(
                f"{{used}} was used from here{whose}; {{mass}} cannot come back. "
                "If more was found, correct the balance by a count.",
                used=used,
                mass=mass,
            )
        return _Line(kind=Movement.Kind.RETURN, mass_g=mass)

    return _written(line, of, _Asked(Movement.Kind.RETURN, mass, key, by, why, job_number))


def adjust_by_count(*, of: Kept, counted_g: Mass, key: str, by: Account | None, why: str = "") -> Movement | None:
    """Set the balance to what was weighed; answers None when the count agrees and there is nothing to write."""
    counted = _mass(counted_g)

    def line(kept: Kept) -> _Line | None:
        if counted < kept.reserved_g:
            raise NotEnough(
                "{promised} is promised to jobs, more than the {counted} counted. "
                "Release what cannot be kept, then correct the balance.",
                promised=kept.reserved_g,
                counted=counted,
            )
        difference = counted - kept.on_hand_g
        return _Line(kind=Movement.Kind.ADJUST, mass_g=difference) if difference else None

    return _written_or_none(line, of, _Asked(Movement.Kind.ADJUST, counted, key, by, why, None))


def discard(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "") -> Movement:
    """Throw a free mass away."""
    mass = _positive(mass_g)

    def line(kept: Kept) -> _Line:
        _must_be_free(kept, mass)
        return _Line(kind=Movement.Kind.DISCARD, mass_g=-mass)

    return _written(line, of, _Asked(Movement.Kind.DISCARD, mass, key, by, why, None))


def reverse(*, movement: Movement, key: str, by: Account | None, why: str = "") -> Movement:
    """Undo a line by writing its opposite."""
    of: Kept | None = movement.lot or movement.scrap_bin
    if of is None:
        raise ThingGone("This line belongs to nothing; it cannot be undone.")

    def line(kept: Kept) -> _Line:
        if movement.kind == Movement.Kind.REVERSE:
            raise AlreadyReversed("This line undoes another; write the movement anew instead of undoing it.")
        if Movement.objects.filter(reverses_id=movement.pk).exists():
            raise AlreadyReversed("This line has been undone already.")
        mass, reserved = -movement.mass_g, -movement.reserved_g
        if kept.on_hand_g + mass < 0 or not 0 <= kept.reserved_g + reserved <= kept.on_hand_g + mass:
            raise NotEnough(
                "This line cannot be undone any more: {here} is here, {promised} of it promised. "
                "Undo or release what came after it first.",
                here=kept.on_hand_g,
                promised=kept.reserved_g,
            )
        if movement.job_number is not None and reserved < 0:
            held = reserved_for(of=kept, job_number=movement.job_number)
            if held + reserved < 0:
                raise NotReserved(f"Job {movement.job_number} holds only {{held}} of this any more.", held=held)
        if movement.kind == Movement.Kind.ISSUE and used_from(of=kept, job_number=movement.job_number) < mass:
            raise NotUsed("Some of what was used has come back already; undo the return first.")
        received = mass if movement.kind == Movement.Kind.RECEIVE else Decimal(0)
        return _Line(kind=Movement.Kind.REVERSE, mass_g=mass, reserved_g=reserved, received_g=received, reverses=movement)

    return _written(line, of, _Asked(Movement.Kind.REVERSE, Decimal(movement.pk), key, by, why, movement.job_number))


def reserved_for(*, of: Kept, job_number: int | None) -> Decimal:
    """Return what is promised to a job."""
    total = _lines_of(of).filter(job_number=job_number).aggregate(total=Sum("reserved_g"))["total"]
    return _rounded(total or Decimal(0))


def used_from(*, of: Kept, job_number: int | None = None) -> Decimal:
    """Return what was used and did not come back, of one job or of all."""
    kinds = [Movement.Kind.ISSUE, Movement.Kind.RETURN]
    lines = _lines_of(of).filter(Q(kind__in=kinds) | Q(reverses__kind__in=kinds))
    everybody = lines.aggregate(total=Sum("mass_g"))["total"] or Decimal(0)
    if job_number is None:
        return _rounded(-everybody)
    # What came back without a job's number may have been this job's: never count more than is still out.
    of_job = lines.filter(job_number=job_number).aggregate(total=Sum("mass_g"))["total"] or Decimal(0)
    return _rounded(min(-of_job, -everybody))


def balances_from_movements(*, of: Kept) -> tuple[Decimal, Decimal]:
    """Replay the ledger of one lot or bin: what must be on hand and promised."""
    totals = _lines_of(of).aggregate(on_hand=Sum("mass_g"), reserved=Sum("reserved_g"))
    return _rounded(totals["on_hand"] or Decimal(0)), _rounded(totals["reserved"] or Decimal(0))


def unbalanced() -> list[Kept]:
    """Return every lot and bin whose balance is not what its movements add up to; empty when the books are right."""
    found: list[Kept] = []
    for model in (Lot, ScrapBin):
        rows = model.objects.annotate(
            moved_g=Sum("movements__mass_g", default=Decimal(0)), promised_g=Sum("movements__reserved_g", default=Decimal(0))
        )
        for row in rows.iterator():
            replayed = _rounded(row.moved_g), _rounded(row.promised_g)
            if replayed != (row.on_hand_g, row.reserved_g):
                found.append(row)
    return found


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a caller asked for, apart from which lot or bin."""

    kind: Movement.Kind
    amount: Decimal
    key: str
    by: Account | None
    why: str
    job_number: int | None

    def sha256(self, of: Kept) -> str:
        """Hash what must be the same when the key comes again."""
        payload = [
            self.kind.value,
            type(of).__name__,
            of.pk,
            str(_rounded(self.amount)),
            self.job_number,
            self.why[:200],
        ]
        return hashlib.sha256(json.dumps(payload).encode()).hexdigest()


def _written(line: Callable[[Kept], _Line], of: Kept, asked: _Asked) -> Movement:
    movement = _written_or_none(line, of, asked)
    if movement is None:
        raise BadMass("This would move nothing.")
    return movement


def _written_or_none(line: Callable[[Kept], _Line | None], of: Kept, asked: _Asked) -> Movement | None:
    """Lock, look for the key, decide, move the balance, write the line."""
    if not 1 <= len(asked.key) <= 64:
        raise KeyUsedForOther("This entry carries no usable key; load the page again and enter it once more.")
    fingerprint = asked.sha256(of)
    try:
        with transaction.atomic():
            kept = _locked(of)
            first = _written_before(asked.key, fingerprint)
            if first is not None:
                return first
            planned = line(kept)
            if planned is None:
                return None
            _swap_balance(kept, planned)
            movement = _insert(kept, planned, asked, fingerprint)
    except IntegrityError:
        # Somebody wrote the same key for another lot or bin between our look and our line.
        first = _written_before(asked.key, fingerprint)
        if first is None:
            raise
        return first
    of.on_hand_g, of.reserved_g = kept.on_hand_g, kept.reserved_g
    if isinstance(of, Lot) and isinstance(kept, Lot):
        of.received_g = kept.received_g
    return movement


def _locked(of: Kept) -> Kept:
    model: Any = type(of)
    kept = model.objects.select_for_update().filter(pk=of.pk).first()
    if kept is None:
        raise ThingGone("This lot or bin does not exist any more; go back to the shelf.")
    found: Kept = kept
    return found


def _written_before(key: str, fingerprint: str) -> Movement | None:
    first: Movement | None = Movement.objects.filter(idempotency_key=key).first()
    if first is not None and first.payload_sha256 != fingerprint:
        raise KeyUsedForOther(
            "This entry was already written with other figures. Look at the day book, then load the page again."
        )
    return first


def _swap_balance(kept: Kept, line: _Line) -> None:
    """Replace the balance where it still is what was read under the lock.

    Absolute values: SQLite adds decimals as binary fractions, and a CHECK would trip over the last digit.
    """
    on_hand, reserved = kept.on_hand_g + line.mass_g, kept.reserved_g + line.reserved_g
    if on_hand > MOST_G:
        raise BadMass("That is more than a lot or bin can hold; check the mass and its unit.")
    new = {"on_hand_g": on_hand, "reserved_g": reserved}
    if isinstance(kept, Lot):
        new["received_g"] = max(kept.received_g + line.received_g, Decimal(0))
        if new["received_g"] > MOST_G:
            raise BadMass("That is more than a lot can ever have held; add another lot.")
    model: Any = type(kept)
    unmoved = model.objects.filter(pk=kept.pk, on_hand_g=kept.on_hand_g, reserved_g=kept.reserved_g)
    if unmoved.update(**new) != 1:
        raise NotEnough("Somebody moved this at the same moment; look at the balance and try again.")
    for name, value in new.items():
        setattr(kept, name, value)


def _insert(kept: Kept, line: _Line, asked: _Asked, fingerprint: str) -> Movement:
    movement: Movement = Movement.objects.create(
        kind=line.kind,
        lot=kept if isinstance(kept, Lot) else None,
        scrap_bin=kept if isinstance(kept, ScrapBin) else None,
        mass_g=line.mass_g,
        reserved_g=line.reserved_g,
        unit_cost_per_kg=kept.unit_cost_per_kg if isinstance(kept, Lot) else Decimal(0),
        job_number=asked.job_number,
        why=asked.why[:200],
        by=asked.by,
        happened_at=timezone.now(),
        idempotency_key=asked.key,
        payload_sha256=fingerprint,
        reverses=line.reverses,
    )
    return movement


def _lines_of(of: Kept) -> Any:
    return Movement.objects.filter(lot_id=of.pk) if isinstance(of, Lot) else Movement.objects.filter(scrap_bin_id=of.pk)


def _must_be_free(kept: Kept, wanted: Decimal) -> None:
    if wanted > kept.free_g:
        promised = "; {promised} more is promised to jobs" if kept.reserved_g else ""
        raise NotEnough(
            "{wanted} is wanted but {free} is free here" + promised + ". Take less, take from elsewhere, "
            "or correct the balance by a count.",
            wanted=wanted,
            free=kept.free_g,
            promised=kept.reserved_g,
        )


def _mass(value: Mass) -> Decimal:
    mass = Decimal(value)
    if not mass.is_finite() or mass < 0:
        raise BadMass("A mass must be a number of grams, nought or more.")
    if mass > MOST_G:
        raise BadMass("That is more than can be written down; check the mass and its unit.")
    return _rounded(mass)


def _positive(value: Mass) -> Decimal:
    mass = _mass(value)
    if mass == 0:
        raise BadMass("A mass of at least a thousandth of a gram is needed.")
    return mass


def _rounded(value: Decimal) -> Decimal:
    return value.quantize(STEP, rounding=ROUND_HALF_UP)
