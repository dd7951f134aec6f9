"""The movements themselves; each is one transaction and one line."""

from decimal import Decimal

from materials.errors import AlreadyReversed, NotEnough, NotReserved, NotUsed, ThingGone
from materials.ledger.balances import reserved_for, used_from
from materials.ledger.masses import Mass, positive, whole_mass
from materials.ledger.writing import Asked, Kept, Line, written, written_or_none
from materials.models import Movement
from studio.models import Account


def receive(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Put a delivered or newly cut mass on the shelf."""
    mass = positive(mass_g)

    def line(_kept: Kept) -> Line:
        return Line(kind=Movement.Kind.RECEIVE, mass_g=mass, received_g=mass)

    return written(line, of, Asked(Movement.Kind.RECEIVE, mass, key, by, why, job_number))


def issue(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Use up a mass; what is promised to the same job is taken first, the rest must be free."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        promised = min(mass, reserved_for(of=kept, job_number=job_number)) if job_number is not None else Decimal(0)
        _must_be_free(kept, mass - promised)
        return Line(kind=Movement.Kind.ISSUE, mass_g=-mass, reserved_g=-promised)

    return written(line, of, Asked(Movement.Kind.ISSUE, mass, key, by, why, job_number))


def reserve(*, of: Kept, mass_g: Mass, key: str, by: Account | None, job_number: int, why: str = "") -> Movement:
    """Promise a free mass to a job."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        _must_be_free(kept, mass)
        return Line(kind=Movement.Kind.RESERVE, reserved_g=mass)

    return written(line, of, Asked(Movement.Kind.RESERVE, mass, key, by, why, job_number))


def release(*, of: Kept, mass_g: Mass, key: str, by: Account | None, job_number: int, why: str = "") -> Movement:
    """Take back a promise, wholly or in part."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        held = reserved_for(of=kept, job_number=job_number)
        if held < mass:
            raise NotReserved(
                f"{{held}} of this is promised to job {job_number}; {{mass}} cannot be released. Release no more than that.",
                held=held,
                mass=mass,
            )
        return Line(kind=Movement.Kind.RELEASE, reserved_g=-mass)

    return written(line, of, Asked(Movement.Kind.RELEASE, mass, key, by, why, job_number))


def return_(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Put back what was taken out and not used."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        used = used_from(of=kept, job_number=job_number)
        if used < mass:
            whose = f" for job {job_number}" if job_number is not None else ""
            raise NotUsed(
                f"{{used}} was used from here{whose}; {{mass}} cannot come back. "
                "If more was found, correct the balance by a count.",
                used=used,
                mass=mass,
            )
        return Line(kind=Movement.Kind.RETURN, mass_g=mass)

    return written(line, of, Asked(Movement.Kind.RETURN, mass, key, by, why, job_number))


def adjust_by_count(*, of: Kept, counted_g: Mass, key: str, by: Account | None, why: str = "") -> Movement | None:
    """Set the balance to what was weighed; answers None when the count agrees and there is nothing to write."""
    counted = whole_mass(counted_g)

    def line(kept: Kept) -> Line | None:
        if counted < kept.reserved_g:
            raise NotEnough(
                "{promised} is promised to jobs, more than the {counted} counted. "
                "Release what cannot be kept, then correct the balance.",
                promised=kept.reserved_g,
                counted=counted,
            )
        difference = counted - kept.on_hand_g
        return Line(kind=Movement.Kind.ADJUST, mass_g=difference) if difference else None

    return written_or_none(line, of, Asked(Movement.Kind.ADJUST, counted, key, by, why, None))


def discard(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "") -> Movement:
    """Throw a free mass away."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        _must_be_free(kept, mass)
        return Line(kind=Movement.Kind.DISCARD, mass_g=-mass)

    return written(line, of, Asked(Movement.Kind.DISCARD, mass, key, by, why, None))


def reverse(*, movement: Movement, key: str, by: Account | None, why: str = "") -> Movement:
    """Undo a line by writing its opposite."""
    of: Kept | None = movement.lot or movement.scrap_bin
    if of is None:
        raise ThingGone("This line belongs to nothing; it cannot be undone.")

    def line(kept: Kept) -> Line:
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
        return Line(kind=Movement.Kind.REVERSE, mass_g=mass, reserved_g=reserved, received_g=received, reverses=movement)

    return written(line, of, Asked(Movement.Kind.REVERSE, Decimal(movement.pk), key, by, why, movement.job_number))


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
