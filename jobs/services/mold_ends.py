"""The end of a mold: cut up into scrap in one step, or thrown away; and bringing it back."""

import datetime
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.errors import MoldRefused
from jobs.models import Mold
from jobs.services.molds import locked_mold, made_by, still_kept
from materials import ledger
from materials.models import Movement, ScrapBin, ScrapCut
from materials.models.scrap import USUAL_DENSITY_KG_M3
from materials.properties import Chemistry
from materials.science.compatibility import Outcome
from materials.science.material import MaterialSpec
from materials.services.scrap import save_bin, verdict_on
from materials.services.scrap_work import note_session
from materials.services.scrap_worth import cutting_value, terms_now
from studio.models import Account, Person, StudioProfile

# What a durometer and two pours of one rubber differ by (common practice, no source).
SAME_HARDNESS_SHORE_A = Decimal(5)
TAKEN_AWAY = (Movement.Kind.ISSUE, Movement.Kind.DISCARD, Movement.Kind.MOVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingBin:
    """A bin that a mold's rubber may go into; `differs` are the words for what is not the same, the same first."""

    bin: ScrapBin
    differs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """The line of the day book that a mold's end wrote; `undone` where it was undone since."""

    movement: Movement
    undone: bool


def key_of(mold: Mold, key: str) -> str:
    """Return the ledger's key of a mold's cutting, so that the line is found by the mold."""
    return f"mold-{mold.pk}.{key}"[:64]


def cutting_of(mold: Mold) -> Cutting | None:
    """Return the last line that cutting this mold up wrote."""
    if mold.ended_on is None:
        return None
    lines = Movement.objects.filter(
        job_number=mold.job.number, kind=Movement.Kind.CUT, idempotency_key__startswith=f"mold-{mold.pk}."
    )
    line = lines.select_related("scrap_bin", "reversed_by").order_by("-pk").first()
    return None if line is None else Cutting(movement=line, undone=hasattr(line, "reversed_by"))


def fitting_bins(rubber: MaterialSpec | None) -> list[FittingBin]:
    """Return the bins that a mold of this rubber may be put into: same chemistry and maker's family, the likest first."""
    if rubber is None or rubber.chemistry is Chemistry.OTHER:
        return []
    found = [
        FittingBin(bin=one, differs=tuple(_differences(one, rubber)))
        for one in ScrapBin.objects.filter(chemistry=rubber.chemistry.value).order_by("label")
        if goes_into(one, rubber)
    ]
    return sorted(found, key=lambda one: (len(one.differs), one.bin.label.lower()))


def goes_into(scrap_bin: ScrapBin, rubber: MaterialSpec) -> bool:
    """Say whether this rubber may be mixed into a bin: what does not surely bond would spoil all that is in it."""
    verdict = verdict_on(scrap_bin, rubber)
    return verdict.outcome is Outcome.GOOD or (verdict.allowed and scrap_bin.family == rubber.family)


def _differences(scrap_bin: ScrapBin, rubber: MaterialSpec) -> list[str]:
    found = []
    hardness = rubber.get("hardness_shore_a")
    if scrap_bin.hardness_shore_a is not None and hardness is not None:
        own = Decimal(str(hardness.value))
        if abs(scrap_bin.hardness_shore_a - own) > SAME_HARDNESS_SHORE_A:
            found.append(f"hardness {scrap_bin.hardness_shore_a.normalize():f} against {own.normalize():f} Shore A")
    if not rubber.family:
        found.append("maker’s family not known")
    if not scrap_bin.washed:
        found.append("not washed")
    return found


def new_bin_facts(mold: Mold, rubber: MaterialSpec | None) -> dict[str, Any]:
    """Return what a new bin for this mold's rubber is filled in with."""
    if rubber is None:
        return {}
    hardness, density = rubber.get("hardness_shore_a"), rubber.get("density_kg_m3")
    return {
        "label": f"Job {mold.job.number}, mold {mold.number}",
        "hardness_shore_a": None if hardness is None else Decimal(str(round(hardness.value, 1))),
        "density_kg_m3": USUAL_DENSITY_KG_M3 if density is None else Decimal(str(round(density.value, 1))),
    }


@ledger.patient
@transaction.atomic
def cut_up(
    *,
    mold_id: int,
    into: ScrapBin | None,
    new_bin: dict[str, Any] | None,
    rubber: MaterialSpec | None,
    mass_g: Decimal,
    minutes: Decimal,
    cut_on: datetime.date,
    person: Person | None,
    key: str,
    by: Account | None,
    profile: StudioProfile,
) -> ScrapCut:
    """End a mold and put what it gave into a bin, with the minutes that it took: all of it, or nothing.

    `into` is a bin that is there, or `new_bin` the facts of one to be made. The same key again answers with the first.
    """
    mold = locked_mold(mold_id)
    sent_before = ScrapCut.objects.filter(movement__idempotency_key=key_of(mold, key)).select_related("scrap_bin").first()
    if sent_before is not None:
        return sent_before
    still_kept(mold)
    if rubber is None or mold.rubber_id is None or rubber.chemistry is Chemistry.OTHER:
        raise MoldRefused("It is not known which rubber this mold is of, so it is waste. Say what it is, or throw it away.")
    made_by(mold, cut_on)
    name = f"mold {mold.number} of job {mold.job.number}"
    if into is None:
        facts = {"chemistry": rubber.chemistry.value, "family": rubber.family, "origin": name, "kept_since_on": cut_on}
        into = save_bin(scrap_bin=None, **(new_bin or {}), **facts)
    elif not goes_into(into, rubber):
        raise MoldRefused(
            f"“{into.label}” holds rubber of another kind or maker's family; together they would be waste. Choose another bin."
        )
    value = cutting_value(mass_g=mass_g, minutes=minutes, rubber=rubber, terms=terms_now(profile))
    why = f"{name}, {mold.job.title}"[:200]
    line = ledger.cut(of=into, mass_g=mass_g, key=key_of(mold, key), by=by, value=value, why=why, job_number=mold.job.number)
    session = note_session(
        scrap_bin=into, work=ScrapCut.Work.CUTTING, mass_g=mass_g, minutes=minutes, on=cut_on, person=person,
        job_number=mold.job.number, movement=line, by=by,
    )  # fmt: skip
    mold.ended_on, mold.ended_why = cut_on, f"cut up into “{into.label}”"
    mold.save(update_fields=["ended_on", "ended_why"])
    return session


@transaction.atomic
def throw_away(*, mold_id: int, ended_on: datetime.date, why: str) -> Mold:
    """End a mold that is not worth keeping."""
    mold = locked_mold(mold_id)
    still_kept(mold)
    made_by(mold, ended_on)
    mold.ended_on, mold.ended_why = ended_on, f"thrown away: {why}"[:200]
    mold.save(update_fields=["ended_on", "ended_why"])
    return mold


@ledger.patient
@transaction.atomic
def bring_back(*, mold_id: int, by: Account | None) -> Mold:
    """Keep an ended mold again; what was cut of it leaves its bin, as long as nothing was taken from there since."""
    mold = locked_mold(mold_id)
    if mold.ended_on is None:
        return mold
    cutting = cutting_of(mold)
    if cutting is not None and not cutting.undone:
        line = cutting.movement
        later = Movement.objects.filter(scrap_bin=line.scrap_bin_id, pk__gt=line.pk, mass_g__lt=0, kind__in=TAKEN_AWAY)
        if later.filter(reversed_by=None).exists():
            raise MoldRefused(
                f"Something was taken from “{line.scrap_bin}” since, and nobody knows of which mold. Undo that in its day book "
                "first, or correct the bin by a count."
            )
        ledger.reverse(movement=line, key=f"mold-{mold.pk}-back-{line.pk}", by=by, why=f"mold {mold.number} is kept after all")
    mold.ended_on, mold.ended_why = None, ""
    mold.save(update_fields=["ended_on", "ended_why"])
    return mold
