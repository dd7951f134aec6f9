"""The parts of a mix off the shelf: which lots to take, each with its reason, and taking them all at once.

Lots that are set aside or have expired are never proposed.
"""

import datetime
import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from materials import ledger
from materials.errors import BadMass
from materials.ledger.masses import rounded
from materials.models import Lot, Material, Movement
from materials.services.choosing import choose_lots
from materials.services.gel_tests import GelTestWanted, gel_test_wanted
from studio.models import Account

MOST_G = Decimal(100_000_000)
# A mix that needs more containers than this is no mix.
MOST_LOTS = 99
QUICK_TURNS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class MixTake:
    """A mass of one lot, why this lot, and whether it wants a test cup first."""

    lot: Lot
    mass_g: Decimal
    why: str
    gel_test: GelTestWanted | None


def propose_mix(
    *, material: Material, mass_g: Decimal, today: datetime.date, job_number: int | None = None
) -> tuple[MixTake, ...]:
    """Propose which lots to take for a mix of a mass.

    Raises
    ------
    NotEnough
        When the shelf does not give that much, naming the part that runs short.
    RatioUnknown
        When A and B stand apart and the mix ratio is not known.
    """
    lots = list(_usable(material, today))
    return _proposed(material, _whole(mass_g), today, lots, _promised(lots, job_number))


def issue_mix(
    *,
    material: Material,
    mass_g: Decimal,
    key: str,
    by: Account | None,
    job_number: int | None = None,
    why: str = "",
    today: datetime.date | None = None,
) -> list[Movement]:
    """Use the parts of a mix from the lots that are proposed for it: all of them in one transaction, or none.

    The same key again answers with the lines that it wrote, whatever would be proposed by then.
    """
    mass, day = _whole(mass_g), today or timezone.localdate()
    told = f"mix {material.pk} {mass} {job_number} {why[:200]}"
    fingerprint = hashlib.sha256(told.encode()).hexdigest()

    def before() -> list[Movement]:
        written = bool(ledger.lines_of_keys(_keys(key, 1, fingerprint)))
        return ledger.lines_of_keys(_keys(key, MOST_LOTS, fingerprint)) if written else []

    @transaction.atomic
    def taken(*, all_held: bool) -> list[Movement] | None:
        """Choose and take; None where a lot that was chosen has moved before it was held."""
        lots = list(_usable(material, day))
        if all_held:
            lots = [lot for lot in ledger.hold(*lots).lots.values() if lot.usable_on(day)]
        first = before()
        if first:
            return first
        takes = _proposed(material, mass, day, lots, _promised(lots, job_number))
        if not all_held:
            held = ledger.hold(*(take.lot for take in takes)).lots
            if any(_stands(held.get(take.lot.pk)) != _stands(take.lot) for take in takes):
                return None
        return ledger.issue_together(
            takes=[ledger.Take(of=take.lot, mass_g=take.mass_g) for take in takes],
            key=key,
            by=by,
            why=why,
            job_number=job_number,
            fingerprint=fingerprint,
        )

    def patient() -> list[Movement]:
        # A mix takes few of the lots that stand there, so only those are held; where others are quicker, all are held first.
        for _ in range(QUICK_TURNS):
            lines = taken(all_held=False)
            if lines is not None:
                return lines
        return taken(all_held=True) or []

    return ledger.patiently(patient)


def _stands(lot: Lot | None) -> tuple[object, ...] | None:
    """Return what a choice of lots goes by."""
    return None if lot is None else (lot.on_hand_g, lot.reserved_g, lot.quarantined, lot.expires_on, lot.kit_code)


def _keys(key: str, many: int, fingerprint: str) -> list[tuple[str, str]]:
    return [(ledger.family_key(key, number), fingerprint) for number in range(1, many + 1)]


def _usable(material: Material, today: datetime.date) -> Iterable[Lot]:
    found: Iterable[Lot] = Lot.objects.filter(material=material).usable(today)
    return found


def _promised(lots: Sequence[Lot], job_number: int | None) -> dict[int, Decimal]:
    """Return what of each lot is promised to the job."""
    if job_number is None or not any(lot.reserved_g for lot in lots):
        return {}
    lines = Movement.objects.filter(job_number=job_number, lot__in=[lot.pk for lot in lots if lot.reserved_g])
    held = lines.order_by().values_list("lot").annotate(held_g=Sum("reserved_g"))
    return {lot: rounded(grams) for lot, grams in held if grams > 0}


def _proposed(
    material: Material, mass_g: Decimal, today: datetime.date, lots: Sequence[Lot], promised: dict[int, Decimal]
) -> tuple[MixTake, ...]:
    chosen = choose_lots(material=material, lots=lots, mass_g=mass_g, promised=promised)
    if len(chosen) > MOST_LOTS:
        raise BadMass(f"This mix would need {len(chosen)} containers; mix less at once.")
    for one in chosen:
        one.lot.material = material
    return tuple(MixTake(lot=one.lot, mass_g=one.mass_g, why=one.why, gel_test=gel_test_wanted(one.lot, today)) for one in chosen)


def _whole(mass_g: Decimal) -> Decimal:
    mass = Decimal(mass_g)
    if not mass.is_finite() or not 0 < mass <= MOST_G:
        raise BadMass("A mix needs a mass above nought.")
    whole = rounded(mass)
    if whole <= 0:
        raise BadMass("A mix needs a mass of at least a thousandth of a gram.")
    return whole
