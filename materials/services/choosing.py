"""Which lots a mass of a mix is taken from, each with its reason.

The order: what is promised to the job; the stranded rest of a kit whose other part has run out; then what expires first, the
parts of one kit together. Mixes at the bench and what is reserved for a job are both chosen so.
"""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from decimal import ROUND_DOWN, Decimal

from django.utils import timezone

from materials.errors import NotEnough, RatioUnknown
from materials.inputs import specs_of
from materials.ledger.masses import STEP, rounded
from materials.models import Lot, Material
from materials.science.material import MaterialSpec
from materials.science.mixing import component_shares
from studio.figures import WorkingError
from studio.web.context import current_profile
from studio.web.formats import day_text, locale_code

HAIR = Decimal("1e-9")
NEVER = datetime.date.max
# No other reason than the order; it is put in words where it is read.
IN_TURN = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A mass of one lot, and why this lot."""

    lot: Lot
    mass_g: Decimal
    reasons: tuple[str, ...]

    @property
    def why(self) -> str:
        """The reasons in words, days as the studio writes them."""
        return "; ".join(reason or _why_in_turn(self.lot) for reason in self.reasons)


@dataclass(frozen=True, slots=True, kw_only=True)
class _There:
    """What can be used of a material: lots by part, those that are taken as they are in their order, and A and B by ratio."""

    parts: Mapping[str, list[Lot]]
    promised: Mapping[int, Decimal]
    whole: list[Choice]
    shares: Mapping[str, Decimal] | None = None

    @property
    def in_two(self) -> bool:
        """Whether some of it is an A or a B."""
        return bool(self.parts["A"] or self.parts["B"])

    @property
    def mixes_g(self) -> dict[str, Decimal]:
        """The mix that A would give with enough B, and B with enough A."""
        shares = self.shares or {}
        return {
            part: sum((_has(lot, self.promised) for lot in self.parts[part]), Decimal(0)) / share
            for part, share in shares.items()
        }

    @property
    def runs_short(self) -> str:
        """Which of A and B gives less."""
        return min(self.mixes_g, key=lambda part: self.mixes_g[part])

    @property
    def from_parts_g(self) -> Decimal:
        """The mix that A and B give."""
        # The shares are binary fractions: 1000 g of A at 100 : 10 would give 1099.9999999 g of mix.
        return (min(self.mixes_g.values(), default=Decimal(0)) + HAIR).quantize(STEP, rounding=ROUND_DOWN)

    @property
    def most_g(self) -> Decimal:
        """The mix that all of it gives."""
        return self.from_parts_g + sum((one.mass_g for one in self.whole), Decimal(0))


def choose_lots(*, material: Material, lots: Iterable[Lot], mass_g: Decimal, promised: Mapping[int, Decimal]) -> list[Choice]:
    """Choose from usable lots for a mix of a mass; `promised` is what of each lot is promised to who takes it.

    Raises
    ------
    NotEnough
        When they do not give that much, naming the part that runs short.
    RatioUnknown
        When A and B stand apart and the mix ratio is not known.
    """
    there = _there(material, lots, promised)
    if there.in_two:
        there = _in_ratio(there, specs_of(Material.objects.filter(pk=material.pk), priced=False)[material.pk])
        if mass_g > there.most_g:
            raise NotEnough(
                f"{{wanted}} is wanted, and the shelf gives {{most}} of it: part {there.runs_short} runs short. "
                "Mix less, or get more of it.",
                wanted=mass_g,
                most=there.most_g,
            )
    return _chosen(there, mass_g)


def choose_what_there_is(*, material: Material, spec: MaterialSpec, lots: Iterable[Lot], mass_g: Decimal) -> list[Choice]:
    """Choose from usable lots for a mix, as far as they give it; A and B only where their ratio is known."""
    there = _there(material, lots, {})
    if there.in_two:
        with suppress(RatioUnknown):
            there = _in_ratio(there, spec)
    return _chosen(there, min(mass_g, there.most_g))


def _there(material: Material, lots: Iterable[Lot], promised: Mapping[int, Decimal]) -> _There:
    parts: dict[str, list[Lot]] = {"": [], "A": [], "B": []}
    for lot in lots:
        if _has(lot, promised) > 0:
            apart = material.two_part and lot.component in {Lot.Component.A, Lot.Component.B}
            parts[lot.component if apart else ""].append(lot)
    return _There(parts=parts, promised=promised, whole=_offers(parts[""], promised, {}))


def _in_ratio(there: _There, spec: MaterialSpec) -> _There:
    try:
        share_a, share_b = (Decimal(repr(share.value)) for share in component_shares(spec))
    except WorkingError as unknown:
        raise RatioUnknown(f"{unknown} Without it A and B cannot be weighed out.") from unknown
    if share_b <= 0:
        raise RatioUnknown(f"The values of {spec.name} say that no B goes into it, and yet it stands here in two parts.")
    return replace(there, shares={"A": share_a, "B": share_b})


def _chosen(there: _There, mass_g: Decimal) -> list[Choice]:
    """Mix A and B in their ratio; kits that were never weighed apart stand in for what the parts do not give."""
    parts, promised, found = there.parts, there.promised, list[Choice]()
    from_parts = min(mass_g, there.from_parts_g)
    if there.shares is not None and from_parts > 0:
        of_b = rounded(from_parts * there.shares["B"])
        for part, wanted in (("A", from_parts - of_b), ("B", of_b)):
            stranded = _stranded(parts, promised, there.shares, part)
            found += _taken(_offers(parts[part], promised, stranded, kits=parts["A"] + parts["B"]), wanted, f" of part {part}")
    return found + _taken(there.whole, mass_g - from_parts, "")


def _has(lot: Lot, promised: Mapping[int, Decimal]) -> Decimal:
    return lot.free_g + promised.get(lot.pk, Decimal(0))


def _stranded(
    parts: Mapping[str, list[Lot]], promised: Mapping[int, Decimal], shares: Mapping[str, Decimal], part: str
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
    lots: list[Lot], promised: Mapping[int, Decimal], stranded: dict[str, Decimal], kits: Sequence[Lot] = ()
) -> list[Choice]:
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
            offers.append(Choice(lot=lot, mass_g=mass, reasons=(why,)))

    for lot in ordered:
        offer(lot, min(promised.get(lot.pk, Decimal(0)), left[lot.pk]), "promised to this job")
    for lot in ordered:
        part = min(rest.get(lot.kit_code, Decimal(0)), left[lot.pk])
        if part > 0:
            rest[lot.kit_code] -= part
            other = "B" if lot.component == Lot.Component.A else "A"
            offer(lot, part, f"left over in kit {lot.kit_code}: no {other} of it belongs to this any more")
    for lot in ordered:
        offer(lot, left[lot.pk], IN_TURN)
    return offers


def _why_in_turn(lot: Lot) -> str:
    if lot.expires_on is not None:
        day = day_text(lot.expires_on, timezone.localdate(), locale_code(current_profile()))
        return f"expires first of what is free, on {day}"
    return "never expires, came first" if lot.opened_on is None else "never expires, open already"


def _taken(offers: list[Choice], wanted: Decimal, of_part: str) -> list[Choice]:
    """Take from the offers in turn; a lot that is taken for two reasons is taken once, with both."""
    left, found = wanted, dict[int, Choice]()
    for one in offers:
        if left <= 0:
            break
        mass = min(one.mass_g, left)
        left -= mass
        earlier = found.get(one.lot.pk)
        if earlier is None:
            found[one.lot.pk] = replace(one, mass_g=mass)
        else:
            found[one.lot.pk] = replace(earlier, mass_g=earlier.mass_g + mass, reasons=earlier.reasons + one.reasons)
    if left > 0:
        raise NotEnough(
            f"{{wanted}}{of_part} is wanted and {{free}} can be used: the rest is promised, set aside or past its day. "
            "Mix less, or get more of it.",
            wanted=wanted,
            free=wanted - left,
        )
    return list(found.values())
