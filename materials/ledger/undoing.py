"""Undo lines by writing their opposites; what was moved together is undone together."""

from collections.abc import Sequence
from decimal import Decimal

from materials.errors import AlreadyReversed, NotEnough, NotReserved, NotUsed, ThingGone
from materials.ledger.balances import reserved_for, used_from
from materials.ledger.holding import Kept
from materials.ledger.writing import Asked, Line, Step, written_together
from materials.models import Movement
from materials.valuing.money import NOTHING
from materials.valuing.pool import Way
from studio.models import Account

FROM, TO = ".from", ".to"


def reverse(*, movement: Movement, key: str, by: Account | None, why: str = "") -> Movement:
    """Undo a line; of a mass that was moved between bins both lines are undone, and that of the line asked for is returned."""
    lines = [movement] if movement.kind != Movement.Kind.MOVE else sorted(_pair(movement), key=lambda one: one.mass_g > 0)
    # What came into the one bin goes out of it first, and what that was worth comes back into the other.
    lines.reverse()
    steps = [_step(line, key=key if line.pk == movement.pk else f"{key[:58]}.pair", by=by, why=why) for line in lines]
    done = written_together(steps, money=any(line.mass_g for line in lines))
    return next(one for one in done if one.reverses_id == movement.pk)


def reverse_together(*, movements: Sequence[Movement], by: Account | None, why: str = "") -> list[Movement]:
    """Undo the uses that were written together, all or none; those that were undone singly before are left out."""
    undone = set(Movement.objects.filter(reverses__in=movements).values_list("reverses", "idempotency_key"))
    # A line is undone once, so its key is its own: pressing twice answers with the first lines.
    singly = {pk for pk, key in undone if key != _undo_key(pk)}
    lines = [movement for movement in movements if movement.pk not in singly]
    if not lines:
        raise AlreadyReversed("All of this has been undone already.")
    steps = [_step(line, key=_undo_key(line.pk), by=by, why=why) for line in lines]
    return written_together(steps, money=any(line.mass_g for line in lines))


def _undo_key(pk: int | None) -> str:
    return f"undo-together-{pk}"


def _pair(movement: Movement) -> list[Movement]:
    stem, _, end = movement.idempotency_key.rpartition(".")
    other = Movement.objects.filter(idempotency_key=stem + (TO if f".{end}" == FROM else FROM)).first()
    if other is None:
        raise ThingGone("The other line of this move is missing; it cannot be undone.")
    return [movement, other]


def _step(movement: Movement, *, key: str, by: Account | None, why: str) -> Step:
    of: Kept | None = movement.lot or movement.scrap_bin
    if of is None:
        raise ThingGone("This line belongs to nothing; it cannot be undone.")

    def line(kept: Kept, done: list[Movement]) -> Line:
        return _undoing(movement, kept, done)

    asked = Asked(Movement.Kind.REVERSE, Decimal(movement.pk), key, by, why, movement.job_number)
    return Step(of, line, asked, asked.sha256(of))


def _undoing(movement: Movement, kept: Kept, done: list[Movement]) -> Line:
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
    way = None if not mass else Way.UNDO_IN if mass < 0 else Way.UNDO_OUT
    value = abs(movement.value)
    if movement.kind == Movement.Kind.MOVE and mass > 0:
        value = -done[0].value if done else NOTHING
    received = mass if movement.kind == Movement.Kind.RECEIVE else Decimal(0)
    return Line(
        kind=Movement.Kind.REVERSE,
        mass_g=mass,
        reserved_g=reserved,
        received_g=received,
        reverses=movement,
        way=way,
        value=value,
        used=movement.kind in Movement.OF_USE,
    )
