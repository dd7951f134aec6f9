"""How a line is written: lock, look for the key, decide, swap the balance, insert."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from materials.errors import BadMass, KeyUsedForOther, NotEnough, ThingGone
from materials.ledger.masses import MOST_G, rounded
from materials.models import Lot, Movement, ScrapBin
from studio.models import Account

Kept = Lot | ScrapBin


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A movement to be written."""

    kind: Movement.Kind
    mass_g: Decimal = Decimal(0)
    reserved_g: Decimal = Decimal(0)
    received_g: Decimal = Decimal(0)
    reverses: Movement | None = None


@dataclass(frozen=True, slots=True)
class Asked:
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
            str(rounded(self.amount)),
            self.job_number,
            self.why[:200],
        ]
        return hashlib.sha256(json.dumps(payload).encode()).hexdigest()


def written(line: Callable[[Kept], Line], of: Kept, asked: Asked) -> Movement:
    """Write a line that must move something."""
    movement = written_or_none(line, of, asked)
    if movement is None:
        raise BadMass("This would move nothing.")
    return movement


def written_or_none(line: Callable[[Kept], Line | None], of: Kept, asked: Asked) -> Movement | None:
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


def _swap_balance(kept: Kept, line: Line) -> None:
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


def _insert(kept: Kept, line: Line, asked: Asked, fingerprint: str) -> Movement:
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
