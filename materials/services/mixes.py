"""The parts of a mix off the shelf: which lots to take, each with its reason, and taking them all at once.

The order: what is promised to the job; the stranded rest of a kit whose other part has run out; then what expires first, the
parts of one kit together. Lots that are set aside or have expired are never proposed.
"""

import datetime
import hashlib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from materials import ledger
from materials.errors import BadMass, NotEnough, RatioUnknown
from materials.inputs import specs_of
from materials.ledger.masses import STEP, rounded
from materials.models import Lot, Material, Movement
from materials.science.mixing import component_shares
from materials.services.gel_tests import GelTestWanted, gel_test_wanted
from studio.figures import WorkingError
from studio.models import Account

HAIR = Decimal("1e-9")
MOST_G = Decimal(100_000_000)
NEVER = datetime.date.max
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Offer:
    lot: Lot
    mass_g: Decimal
    why: str


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
    parts: dict[str, list[Lot]] = defaultdict(list)
    for lot in lots:
        if lot.free_g + promised.get(lot.pk, Decimal(0)) > 0:
            apart = material.two_part and lot.component in {Lot.Component.A, Lot.Component.B}
            parts[lot.component if apart else ""].append(lot)
    whole = _offers(parts[""], promised, {})
    in_two = parts["A"] or parts["B"]
    offers = _of_parts(material, parts, mass_g, promised, whole) if in_two else _taken(whole, mass_g, "")
    if len(offers) > MOST_LOTS:
        raise BadMass(f"This mix would need {len(offers)} containers; mix less at once.")
    for one in offers:
        one.lot.material = material
    return tuple(MixTake(lot=one.lot, mass_g=one.mass_g, why=one.why, gel_test=gel_test_wanted(one.lot, today)) for one in offers)


def _of_parts(
    material: Material, parts: dict[str, list[Lot]], mass_g: Decimal, promised: dict[int, Decimal], whole: list[_Offer]
) -> list[_Offer]:
    """Mix A and B in their ratio; kits that were never weighed apart stand in for what the parts do not give."""
    spec = specs_of(Material.objects.filter(pk=material.pk), priced=False)[material.pk]
    try:
        share_a, share_b = (Decimal(repr(share.value)) for share in component_shares(spec))
    except WorkingError as unknown:
        raise RatioUnknown(f"{unknown} Without it A and B cannot be weighed out.") from unknown
    if share_b <= 0:
        raise RatioUnknown(f"The values of {material.name} say that no B goes into it, and yet it stands here in two parts.")
    free = {part: sum((_has(lot, promised) for lot in parts[part]), Decimal(0)) for part in ("A", "B")}
    # The shares are binary fractions: 1000 g of A at 100 : 10 would give 1099.9999999 g of mix.
    most = (min(free["A"] / share_a, free["B"] / share_b) + HAIR).quantize(STEP, rounding=ROUND_DOWN)
    from_parts = min(mass_g, most)
    rest = mass_g - from_parts
    if rest > sum((one.mass_g for one in whole), Decimal(0)):
        short = "A" if free["A"] / share_a <= free["B"] / share_b else "B"
        raise NotEnough(
            f"{{wanted}} is wanted, and the shelf gives {{most}} of it: part {short} runs short. Mix less, or get more of it.",
            wanted=mass_g,
            most=from_parts + sum((one.mass_g for one in whole), Decimal(0)),
        )
    of_b = rounded(from_parts * share_b)
    offers = []
    for part, wanted in (("A", from_parts - of_b), ("B", of_b)):
        stranded = _stranded(parts, promised, {"A": share_a, "B": share_b}, part)
        offers += _taken(_offers(parts[part], promised, stranded, kits=parts["A"] + parts["B"]), wanted, f" of part {part}")
    return offers + (_taken(whole, rest, "") if rest else [])


def _has(lot: Lot, promised: dict[int, Decimal]) -> Decimal:
    return lot.free_g + promised.get(lot.pk, Decimal(0))


def _stranded(
    parts: dict[str, list[Lot]], promised: dict[int, Decimal], shares: dict[str, Decimal], part: str
) -> dict[str, Decimal]:
    """Return for each kit what its other part no longer suffices for."""
    other = "B" if part == "A" else "A"
    found: dict[str, Decimal] = {}
    for code in {lot.kit_code for lot in parts[part] if lot.kit_code}:
        mine = sum((_has(lot, promised) for lot in parts[part] if lot.kit_code == code), Decimal(0))
        its = sum((_has(lot, promised) for lot in parts[other] if lot.kit_code == code), Decimal(0))
        rest = (mine - its * shares[part] / shares[other]).quantize(STEP, rounding=ROUND_DOWN)
        # A mix is never weighed closer than a gram; less than that is not a remainder.
        if rest >= 1:
            found[code] = rest
    return found


def _offers(
    lots: list[Lot], promised: dict[int, Decimal], stranded: dict[str, Decimal], kits: Sequence[Lot] = ()
) -> list[_Offer]:
    """Put lots in the order in which they are to be used, a lot once for each reason."""
    ends: dict[str, datetime.date] = {}
    for lot in kits:
        if lot.kit_code:
            ends[lot.kit_code] = min(ends.get(lot.kit_code, NEVER), lot.expires_on or NEVER)

    def first_out(lot: Lot) -> tuple[datetime.date, datetime.date, bool, datetime.date, int]:
        own = lot.expires_on or NEVER
        return (ends.get(lot.kit_code, own), own, lot.opened_on is None, lot.received_on, lot.pk)

    rest, offers = dict(stranded), []
    ordered = sorted(lots, key=first_out)
    left = {lot.pk: _has(lot, promised) for lot in ordered}

    def offer(lot: Lot, mass: Decimal, why: str) -> None:
        if mass > 0:
            left[lot.pk] -= mass
            offers.append(_Offer(lot=lot, mass_g=mass, why=why))

    for lot in ordered:
        offer(lot, min(promised.get(lot.pk, Decimal(0)), left[lot.pk]), "promised to this job")
    for lot in ordered:
        part = min(rest.get(lot.kit_code, Decimal(0)), left[lot.pk])
        if part > 0:
            rest[lot.kit_code] -= part
            other = "B" if lot.component == Lot.Component.A else "A"
            offer(lot, part, f"left over in kit {lot.kit_code}: no {other} of it belongs to this any more")
    for lot in ordered:
        offer(lot, left[lot.pk], _why_in_turn(lot))
    return offers


def _why_in_turn(lot: Lot) -> str:
    if lot.expires_on is not None:
        return f"expires first of what is free, on {lot.expires_on:%d %b %Y}"
    return "never expires, came first" if lot.opened_on is None else "never expires, open already"


def _taken(offers: list[_Offer], wanted: Decimal, of_part: str) -> list[_Offer]:
    """Take from the offers in turn; a lot that is taken for two reasons is taken once, with both."""
    left, found = wanted, dict[int, _Offer]()
    for one in offers:
        if left <= 0:
            break
        mass = min(one.mass_g, left)
        left -= mass
        earlier = found.get(one.lot.pk)
        if earlier is None:
            found[one.lot.pk] = _Offer(lot=one.lot, mass_g=mass, why=one.why)
        else:
            found[one.lot.pk] = _Offer(lot=one.lot, mass_g=earlier.mass_g + mass, why=f"{earlier.why}; {one.why}")
    if left > 0:
        raise NotEnough(
            f"{{wanted}}{of_part} is wanted and {{free}} can be used: the rest is promised, set aside or past its day. "
            "Mix less, or get more of it.",
            wanted=wanted,
            free=wanted - left,
        )
    return list(found.values())


def _whole(mass_g: Decimal) -> Decimal:
    mass = Decimal(mass_g)
    if not mass.is_finite() or not 0 < mass <= MOST_G:
        raise BadMass("A mix needs a mass above nought.")
    whole = rounded(mass)
    if whole <= 0:
        raise BadMass("A mix needs a mass of at least a thousandth of a gram.")
    return whole
