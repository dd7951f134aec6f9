"""A mix as the bench takes it: what is wanted of each material, what the shelf offers for it, taking it, undoing it."""

import datetime
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from materials import ledger
from materials.errors import BadMass, MaterialsError, NotEnough, ShelfChanged, verbatim
from materials.models import Lot, Material, Movement
from materials.services.mixes import MOST_LOTS, MixTake, propose_mix
from studio.models import Account


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A mass of one material that goes into a mix."""

    material: Material
    mass_g: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What the shelf offers for it: lots with reasons, or why it cannot be had and how much of it could."""

    wanted: Wanted
    takes: tuple[MixTake, ...] = ()
    refused: MaterialsError | None = None

    @property
    def most_g(self) -> Decimal | None:
        """How much of it the shelf does give, where that is more than nought and less than wanted."""
        masses = self.refused.masses_g if isinstance(self.refused, NotEnough) else {}
        most = masses.get("most") or masses.get("free")
        return most if most else None


def offer_mix(*, wanted: Sequence[Wanted], today: datetime.date, job_number: int | None = None) -> tuple[Offered, ...]:
    """Propose lots for each material of a mix; one that runs short does not hide what is there of the others."""
    found = []
    for one in wanted:
        try:
            takes = propose_mix(material=one.material, mass_g=one.mass_g, today=today, job_number=job_number)
        except MaterialsError as refused:
            found.append(Offered(wanted=one, refused=refused))
        else:
            found.append(Offered(wanted=one, takes=takes))
    return tuple(found)


def take_mix(
    *,
    takes: Sequence[tuple[int, Decimal]],
    materials: Sequence[Material],
    key: str,
    by: Account | None,
    job_number: int | None = None,
    why: str = "",
    today: datetime.date | None = None,
) -> list[Movement]:
    """Use masses of lots, as they were offered or as they were weighed: all of them in one transaction, or none.

    `takes` names lots by number. A lot that was set aside or expired since it was offered is refused.
    """
    if not takes or len(takes) > MOST_LOTS:
        raise BadMass("Nothing is to be taken." if not takes else "That is more containers than a mix is taken from.")
    day, masses = today or timezone.localdate(), dict(takes)
    names = {material.pk: material for material in materials}

    @transaction.atomic
    def taken() -> list[Movement]:
        found = Lot.objects.filter(pk__in=masses, material__in=names).order_by("pk")
        held = ledger.hold(*found)
        if len(held.lots) < len(masses):
            raise ShelfChanged("A lot of this mix is not there any more. Nothing was taken; below is what is there now.")
        done = Movement.objects.filter(idempotency_key=ledger.family_key(key, 1)).exists()
        for lot in held.lots.values():
            lot.material = names[lot.material_id]
            if not done and not lot.usable_on(day):
                state = "set aside" if lot.quarantined else "past its day"
                raise ShelfChanged(f"{verbatim(str(lot))} is {state} now. Nothing was taken; below is what is there now.")
        return ledger.issue_together(
            takes=[ledger.Take(of=held.lots[pk], mass_g=mass) for pk, mass in takes],
            key=key,
            by=by,
            why=why,
            job_number=job_number,
        )

    return ledger.patiently(taken)


def lines_of_mix(line: Movement) -> list[Movement]:
    """Return the lines that were taken together with a line, in their order; the line alone where it was taken alone."""
    stem, _, number = line.idempotency_key.rpartition(".")
    if line.kind != Movement.Kind.ISSUE or not stem or not number.isdecimal():
        return [line]
    keys = [ledger.family_key(stem, place) for place in range(1, MOST_LOTS + 1)]
    family = Movement.objects.filter(idempotency_key__in=keys, kind=Movement.Kind.ISSUE)
    return list(family.select_related("lot__material", "scrap_bin", "by", "reversed_by").order_by("pk"))


def undo_mix(*, line: Movement, by: Account | None, why: str = "") -> list[Movement]:
    """Undo the lines of a mix together; those that were undone singly before stay as they are."""
    return ledger.reverse_together(movements=lines_of_mix(line), by=by, why=why)


def mixes_taken(*, job_number: int) -> Counter[str]:
    """Count the mixes of a job that were taken and not undone, by what they were for."""
    first = Movement.objects.of_job(job_number).filter(
        kind=Movement.Kind.ISSUE, idempotency_key__endswith=".1", reversed_by__isnull=True
    )
    return Counter(first.values_list("why", flat=True))
