"""The movements themselves; each is one transaction and one line."""

from decimal import Decimal

from materials.errors import BadValue, NotEnough, NotReserved, NotUsed
from materials.ledger.balances import reserved_for, used_at_cost
from materials.ledger.holding import Kept
from materials.ledger.masses import Mass, positive, whole_mass
from materials.ledger.writing import MOST_VALUE, Asked, Line, written, written_or_none
from materials.models import Lot, Movement, ScrapBin
from materials.valuing.money import NOTHING, money, part_of, worth
from materials.valuing.pool import Way
from studio.models import Account


def receive(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Put a delivered mass on the shelf at the cost written on its lot; what is put into a bin so costs nothing."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        cost = kept.unit_cost_per_kg if isinstance(kept, Lot) else NOTHING
        return Line(kind=Movement.Kind.RECEIVE, mass_g=mass, received_g=mass, way=Way.IN, value=worth(mass, cost), per_kg=cost)

    return written(line, of, Asked(Movement.Kind.RECEIVE, mass, key, by, why, job_number))


def cut(
    *,
    of: ScrapBin,
    mass_g: Mass,
    key: str,
    by: Account | None,
    value: Decimal = NOTHING,
    why: str = "",
    job_number: int | None = None,
) -> Movement:
    """Put what was cut up into a bin; `value` is what it is worth there, `why` and the job name the mold it came from."""
    mass, own = positive(mass_g), stated_value(value)

    def line(_kept: Kept) -> Line:
        return Line(kind=Movement.Kind.CUT, mass_g=mass, way=Way.IN, value=own)

    return written(line, of, Asked(Movement.Kind.CUT, mass, key, by, why, job_number, (f"{own:f}",)))


def issue(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Use up a mass; what is promised to the same job is taken first, the rest must be free."""
    mass = positive(mass_g)
    return written(
        lambda kept: issue_line(kept, mass, job_number), of, Asked(Movement.Kind.ISSUE, mass, key, by, why, job_number)
    )


def issue_line(kept: Kept, mass: Decimal, job_number: int | None) -> Line:
    """Plan a use of a locked lot or bin."""
    held = reserved_for(of=kept, job_number=job_number) if job_number is not None and kept.reserved_g else Decimal(0)
    promised = min(mass, held)
    must_be_free(kept, mass - promised)
    return Line(kind=Movement.Kind.ISSUE, mass_g=-mass, reserved_g=-promised, way=Way.OUT, used=True)


def reserve(*, of: Kept, mass_g: Mass, key: str, by: Account | None, job_number: int, why: str = "") -> Movement:
    """Promise a free mass to a job."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        must_be_free(kept, mass)
        return Line(kind=Movement.Kind.RESERVE, reserved_g=mass)

    return written(line, of, Asked(Movement.Kind.RESERVE, mass, key, by, why, job_number), money=False)


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

    return written(line, of, Asked(Movement.Kind.RELEASE, mass, key, by, why, job_number), money=False)


def return_(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "", job_number: int | None = None) -> Movement:
    """Put back what was taken out and not used, at what it went out at."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        used, cost = used_at_cost(of=kept, job_number=job_number)
        if used < mass:
            whose = f" for job {job_number}" if job_number is not None else ""
            raise NotUsed(
                f"{{used}} was used from here{whose}; {{mass}} cannot come back. "
                "If more was found, correct the balance by a count.",
                used=used,
                mass=mass,
            )
        back = part_of(max(cost, NOTHING), mass_g=mass, of_g=used)
        return Line(kind=Movement.Kind.RETURN, mass_g=mass, way=Way.BACK, value=back, used=True)

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
        way = Way.FOUND if difference > 0 else Way.OUT
        return Line(kind=Movement.Kind.ADJUST, mass_g=difference, way=way) if difference else None

    return written_or_none(line, of, Asked(Movement.Kind.ADJUST, counted, key, by, why, None))


def discard(*, of: Kept, mass_g: Mass, key: str, by: Account | None, why: str = "") -> Movement:
    """Throw a free mass away."""
    mass = positive(mass_g)

    def line(kept: Kept) -> Line:
        must_be_free(kept, mass)
        return Line(kind=Movement.Kind.DISCARD, mass_g=-mass, way=Way.OUT)

    return written(line, of, Asked(Movement.Kind.DISCARD, mass, key, by, why, None))


def must_be_free(kept: Kept, wanted: Decimal) -> None:
    """Refuse to take more than is free."""
    if wanted > kept.free_g:
        promised = "; {promised} more is promised to jobs" if kept.reserved_g else ""
        raise NotEnough(
            "{wanted} is wanted but {free} is free here" + promised + ". Take less, take from elsewhere, "
            "or correct the balance by a count.",
            wanted=wanted,
            free=kept.free_g,
            promised=kept.reserved_g,
        )


def stated_value(value: Decimal) -> Decimal:
    """Return a value that may be nought, or refuse it."""
    stated = Decimal(value)
    if not stated.is_finite() or stated < 0 or stated > MOST_VALUE:
        raise BadValue("A value must be an amount of money, nought or more.")
    return money(stated)
