"""Several lines at once, all or none, under one family of keys."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from materials.errors import BadMass, KeyUsedForOther, OtherRubber
from materials.ledger.holding import Kept
from materials.ledger.masses import Mass, positive
from materials.ledger.moves import issue_line, must_be_free
from materials.ledger.undoing import FROM, TO
from materials.ledger.writing import LONGEST_KEY, Asked, Line, Planned, Step, written_together
from materials.models import Movement, ScrapBin
from materials.valuing.pool import Way
from studio.models import Account

LONGEST_STEM = LONGEST_KEY - 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """A mass to be taken from a lot or bin."""

    of: Kept
    mass_g: Decimal


def issue_together(
    *,
    takes: Sequence[Take],
    key: str,
    by: Account | None,
    why: str = "",
    job_number: int | None = None,
    fingerprint: str | None = None,
) -> list[Movement]:
    """Use masses of several lots and bins in one transaction: all of them, or none with the reason.

    `fingerprint` says what must be the same when the key comes again, where the lots were chosen for the caller; otherwise
    the takes themselves must be.
    """
    _stem(key)
    masses = [positive(take.mass_g) for take in takes]
    if not takes:
        raise BadMass("Nothing is to be taken.")
    if len({(type(take.of), take.of.pk) for take in takes}) < len(takes):
        raise BadMass("A lot or bin stands twice in this; add its masses up.")
    family = tuple(f"{type(take.of).__name__} {take.of.pk} {mass}" for take, mass in zip(takes, masses, strict=True))
    steps = []
    for number, (take, mass) in enumerate(zip(takes, masses, strict=True), start=1):
        asked = Asked(Movement.Kind.ISSUE, mass, family_key(key, number), by, why, job_number, family)
        steps.append(Step(take.of, _issuing(mass, job_number), asked, fingerprint or asked.sha256(take.of)))
    return written_together(steps)


def family_key(key: str, number: int) -> str:
    """Return the key of one line of a family."""
    return f"{key}.{number}"


def move(*, source: ScrapBin, target: ScrapBin, mass_g: Mass, key: str, by: Account | None, why: str = "") -> list[Movement]:
    """Put a free mass of one bin into another, with what it is worth: two lines, both or none."""
    _stem(key)
    mass = positive(mass_g)
    if source.pk == target.pk:
        raise BadMass("That is the same bin. Choose another one to put it into.")
    if source.chemistry != target.chemistry:
        raise OtherRubber(
            f"“{source.label}” holds {source.get_chemistry_display()}, “{target.label}” {target.get_chemistry_display()}. "
            "Put together they would be waste; choose a bin of the same kind."
        )

    def out(kept: Kept, _done: list[Movement]) -> Line:
        must_be_free(kept, mass)
        return Line(kind=Movement.Kind.MOVE, mass_g=-mass, way=Way.OUT)

    def into(_kept: Kept, done: list[Movement]) -> Line:
        return Line(kind=Movement.Kind.MOVE, mass_g=mass, way=Way.IN, value=-done[0].value)

    also = (str(source.pk), str(target.pk))
    asked_from = Asked(Movement.Kind.MOVE, mass, f"{key}{FROM}", by, why or f"into “{target.label}”", None, also)
    asked_to = Asked(Movement.Kind.MOVE, mass, f"{key}{TO}", by, why or f"from “{source.label}”", None, also)
    return written_together(
        [
            Step(source, out, asked_from, asked_from.sha256(source)),
            Step(target, into, asked_to, asked_to.sha256(target)),
        ]
    )


def _issuing(mass: Decimal, job_number: int | None) -> Planned:
    return lambda kept, _done: issue_line(kept, mass, job_number)


def _stem(key: str) -> None:
    if not 1 <= len(key) <= LONGEST_STEM:
        raise KeyUsedForOther("This entry carries no usable key; load the page again and enter it once more.")
