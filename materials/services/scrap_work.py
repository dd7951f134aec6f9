"""Sessions of cutting and seating scrap, what they say of the studio's own minutes, and planning with those."""

import datetime
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from materials.errors import BadMass, NothingToTake, ThingGone, ValuesChangedSince
from materials.models import Movement, ScrapBin, ScrapCut
from materials.science.scrap_minutes import LEAST_SESSIONS, Session, minutes_per_kg
from studio.figures import Figure
from studio.models import Account, Person, WorkRate
from studio.services.rates import RateLine, kind_of, reset_rate, set_rate

RATE_OF = {ScrapCut.Work.CUTTING: "scrap_cut_min_per_kg", ScrapCut.Work.SEATING: "scrap_seat_min_per_kg"}
# What a person can have meant: a kilogram in five seconds, or in sixteen hours.
FASTEST, SLOWEST = Decimal("0.1"), Decimal(1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnMinutesPerKg:
    """The studio's own minutes for one kind of work beside the rate that plans use; `own` is None without a session."""

    work: ScrapCut.Work
    rate: RateLine
    own: Figure | None
    sessions: int

    @property
    def worth_taking(self) -> bool:
        """Whether it could be taken over: enough sessions, and not what plans use already."""
        return self.own is not None and self.sessions >= LEAST_SESSIONS and rounded(self.own) != self.in_use

    @property
    def in_use(self) -> Decimal:
        """The minutes that plans use now."""
        return Decimal(str(self.rate.now.value)).quantize(Decimal("0.01"))


def rounded(own: Figure) -> Decimal:
    """Return minutes as a rate keeps them."""
    return Decimal(str(own.value)).quantize(Decimal("0.01"))


@transaction.atomic
def note_session(
    *,
    scrap_bin: ScrapBin,
    work: str,
    mass_g: Decimal,
    minutes: Decimal,
    on: datetime.date,
    person: Person | None = None,
    job_number: int | None = None,
    movement: Movement | None = None,
    by: Account | None = None,
) -> ScrapCut:
    """Note a session of cutting or seating; it moves no mass."""
    if not (mass_g > 0 and minutes > 0):
        raise BadMass("A session needs a mass and minutes, both more than nought.")
    if not FASTEST <= 1000 * minutes / mass_g <= SLOWEST:
        raise BadMass("So many minutes for so much scrap cannot be; check the mass with its unit, and the minutes.")
    return ScrapCut.objects.create(
        scrap_bin=scrap_bin, work=work, mass_g=mass_g, minutes=minutes, person=person, job_number=job_number, cut_on=on,
        movement=movement, noted_by=by,
    )  # fmt: skip


@transaction.atomic
def forget_session(*, session_id: int) -> dict[str, Any]:
    """Take out a session that was noted by mistake, and return what it said; one that a mold's end wrote goes with that."""
    session = ScrapCut.objects.select_for_update(of=("self",)).filter(pk=session_id).first()
    if session is None:
        raise ThingGone("This session is not there any more.")
    if session.movement_id is not None:
        raise ThingGone("This session was noted when a mold was cut up. Undo the cutting on the page of the mold.")
    said = {"work": session.work, "mass_g": session.mass_g, "minutes": session.minutes, "on": session.cut_on.isoformat()}
    said |= {"person": session.person_id or "", "job_number": session.job_number or ""}
    session.delete()
    return said


def sessions_that_count() -> Any:
    """Return the sessions whose line of the day book was not undone."""
    return ScrapCut.objects.filter(movement__reversed_by=None)


def own_minutes() -> list[OwnMinutesPerKg]:
    """Return the studio's own minutes per kilogram, cutting first, in two queries."""
    own_rates = {rate.key: rate for rate in WorkRate.objects.filter(key__in=RATE_OF.values()).select_related("changed_by")}
    noted: dict[str, list[Session]] = {}
    for work, mass_g, minutes in sessions_that_count().order_by("pk").values_list("work", "mass_g", "minutes"):
        noted.setdefault(work, []).append(Session(mass_g=float(mass_g), minutes=float(minutes)))
    found = []
    for work, key in RATE_OF.items():
        sessions, kind = noted.get(work, []), kind_of(key)
        own = minutes_per_kg(sessions, key=f"own_{key}", label=f"{kind.label}, by your sessions") if sessions else None
        line = RateLine(kind=kind, own=own_rates.get(key))
        found.append(OwnMinutesPerKg(work=work, rate=line, own=own, sessions=len(sessions)))
    return found


@transaction.atomic
def plan_with_own(*, work: str, by: Account) -> tuple[Decimal, dict[str, str] | None]:
    """Put the studio's own minutes in place of the rate; returns the new rate, and what an undo needs: the own one before it."""
    found = next((one for one in own_minutes() if one.work == work), None)
    if found is None or found.own is None or not found.worth_taking:
        raise NothingToTake("There is nothing to take over: too few sessions, or plans use these minutes already.")
    before = None if found.rate.own is None else {"value": str(found.rate.own.value), "note": found.rate.own.note}
    value = rounded(found.own)
    note = f"{found.sessions} own sessions by {timezone.localdate():%d %b %Y}"
    set_rate(key=RATE_OF[found.work], value=value, note=note, by=by)
    return value, before


@transaction.atomic
def plan_as_before(*, work: str, taken: Decimal, before: dict[str, str] | None, by: Account) -> None:
    """Put back what plans used before; refused where somebody changed the rate since."""
    key = RATE_OF.get(ScrapCut.Work(work)) if work in ScrapCut.Work.values else None
    if key is None:
        raise ThingGone("There is no such work with scrap.")
    rate = WorkRate.objects.select_for_update(of=("self",)).filter(key=key).first()
    if rate is None or rate.value != taken:
        raise ValuesChangedSince("This rate was changed since. Change it under Rates of work; undoing would lose that.")
    if before is None:
        reset_rate(key=key)
    else:
        set_rate(key=key, value=Decimal(before["value"]), note=before["note"], by=by)
