"""How lines are written: lock, look for the key, decide, swap the balance, cost, insert."""

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from materials.errors import BadMass, KeyUsedForOther, NotEnough
from materials.ledger.costs import Costed, cost_of, enter, lay
from materials.ledger.holding import Held, Kept, hold
from materials.ledger.masses import MOST_G, rounded
from materials.ledger.patience import patiently
from materials.models import Lot, Movement, ScrapBin, StockBook
from materials.valuing.money import NOTHING
from materials.valuing.pool import Way
from studio.models import Account

LONGEST_KEY = 64
# Worth more than this and the money column would not hold it.
MOST_VALUE = Decimal("9999999999")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A movement to be written; `value` is what it carries itself, `per_kg` what is written on it as the price."""

    kind: Movement.Kind
    mass_g: Decimal = Decimal(0)
    reserved_g: Decimal = Decimal(0)
    received_g: Decimal = Decimal(0)
    reverses: Movement | None = None
    way: Way | None = None
    value: Decimal = NOTHING
    per_kg: Decimal | None = None
    used: bool = False


@dataclass(frozen=True, slots=True)
class Asked:
    """What a caller asked for, apart from which lot or bin; `also` is what else must be the same when the key comes again."""

    kind: Movement.Kind
    amount: Decimal
    key: str
    by: Account | None
    why: str
    job_number: int | None
    also: tuple[str, ...] = ()

    def sha256(self, of: Kept | None) -> str:
        """Hash what must be the same when the key comes again; lots that were chosen for the caller do not count."""
        payload = [
            self.kind.value,
            type(of).__name__ if of else "",
            of.pk if of else 0,
            str(rounded(self.amount)),
            self.job_number,
            self.why[:200],
            *self.also,
        ]
        return hashlib.sha256(json.dumps(payload).encode()).hexdigest()


Planned = Callable[[Kept, list[Movement]], Line | None]


@dataclass(frozen=True, slots=True)
class Step:
    """One line of several; `line` sees the locked lot or bin and the lines written before it."""

    of: Kept
    line: Planned
    asked: Asked
    fingerprint: str


def written(line: Callable[[Kept], Line], of: Kept, asked: Asked, *, money: bool = True) -> Movement:
    """Write a line that must move something."""
    movement = written_or_none(line, of, asked, money=money)
    if movement is None:
        raise BadMass("This would move nothing.")
    return movement


def written_or_none(line: Callable[[Kept], Line | None], of: Kept, asked: Asked, *, money: bool = True) -> Movement | None:
    """Write a line, or nothing where nothing would move."""
    found = written_together([Step(of, lambda kept, _done: line(kept), asked, asked.sha256(of))], money=money)
    return found[0] if found else None


def written_together(steps: Sequence[Step], *, money: bool = True) -> list[Movement]:
    """Write lines of one family of keys, all or none; the same family again answers with the first lines."""
    for step in steps:
        if not 1 <= len(step.asked.key) <= LONGEST_KEY:
            raise KeyUsedForOther("This entry carries no usable key; load the page again and enter it once more.")
    return patiently(lambda: _written_once(steps, money=money))


def written_before(steps: Sequence[Step]) -> list[Movement]:
    """Return the lines that these keys have written already; empty when none is, refused when they were other ones."""
    return lines_of_keys([(step.asked.key, step.fingerprint) for step in steps])


def lines_of_keys(wanted: Sequence[tuple[str, str]]) -> list[Movement]:
    """Return the lines of keys with their fingerprints, in that order."""
    fingerprints = dict(wanted)
    found = {line.idempotency_key: line for line in Movement.objects.filter(idempotency_key__in=fingerprints)}
    if any(line.payload_sha256 != fingerprints[key] for key, line in found.items()):
        raise KeyUsedForOther(
            "This entry was already written with other figures. Look at the day book, then load the page again."
        )
    return [found[key] for key, _ in wanted if key in found]


def _written_once(steps: Sequence[Step], *, money: bool) -> list[Movement]:
    try:
        with transaction.atomic():
            held = hold(*(step.of for step in steps), money=money)
            for step in steps:
                held.kept(step.of)
            first = written_before(steps)
            if first:
                return first
            done: list[Movement] = []
            for step in steps:
                planned = step.line(held.kept(step.of), done)
                if planned is not None:
                    done.append(_write(held, held.kept(step.of), planned, step))
    except IntegrityError:
        # Somebody wrote the same key for another lot or bin between our look and our line.
        first = written_before(steps)
        if not first:
            raise
        return first
    for step in steps:
        _refresh(step.of, held.kept(step.of))
    return done


def _refresh(of: Kept, kept: Kept) -> None:
    of.on_hand_g, of.reserved_g = kept.on_hand_g, kept.reserved_g
    if isinstance(of, Lot) and isinstance(kept, Lot):
        of.received_g = kept.received_g


def _write(held: Held, kept: Kept, planned: Line, step: Step) -> Movement:
    _swap_balance(kept, planned)
    movement = _line(kept, planned, step)
    if planned.way is None:
        movement.save(force_insert=True)
        return movement
    book = held.book(kept)
    movement.happened_at = max(movement.happened_at, book.moved_at or movement.happened_at)
    costed = _costed(book, kept, planned)
    movement.value = costed.change
    movement.unit_cost_per_kg = costed.per_kg if planned.per_kg is None else planned.per_kg
    used_g, used_value = (-movement.mass_g, -costed.change) if planned.used else (NOTHING, NOTHING)
    enter(book, movement, costed, used_g=used_g, used_value=used_value)
    movement.save(force_insert=True)
    lay(book, movement, way=planned.way)
    return movement


def _costed(book: StockBook, kept: Kept, planned: Line) -> Costed:
    assert planned.way is not None
    costed = cost_of(
        book,
        way=planned.way,
        mass_g=abs(planned.mass_g),
        value=planned.value,
        lot_per_kg=kept.unit_cost_per_kg if isinstance(kept, Lot) else NOTHING,
        undoes=planned.reverses,
    )
    if book.value + costed.change > MOST_VALUE:
        raise BadMass("That is worth more than can be written down; check the mass, its unit and the price.")
    return costed


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


def _line(kept: Kept, planned: Line, step: Step) -> Movement:
    asked = step.asked
    return Movement(
        kind=planned.kind,
        lot=kept if isinstance(kept, Lot) else None,
        scrap_bin=kept if isinstance(kept, ScrapBin) else None,
        material_id=kept.material_id if isinstance(kept, Lot) else None,
        mass_g=planned.mass_g,
        reserved_g=planned.reserved_g,
        unit_cost_per_kg=kept.unit_cost_per_kg if isinstance(kept, Lot) else NOTHING,
        left_g=kept.on_hand_g,
        job_number=asked.job_number,
        why=asked.why[:200],
        by=asked.by,
        happened_at=timezone.now(),
        idempotency_key=asked.key,
        payload_sha256=step.fingerprint,
        reverses=planned.reverses,
    )
