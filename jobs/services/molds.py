"""Finished molds: adding one, counting what it casts, looking it over, and how much of its life is left."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.db.models import Max, Q, QuerySet

from jobs.errors import MoldRefused
from jobs.models import Job, Mold
from jobs.planning.results import MoldPlan
from jobs.planning.run.life import castings_expected
from materials.inputs import specs
from materials.models import Material
from materials.science.life import RUN_SHARE
from studio.figures import Figure, Given, Source, SourceKind

MOST_CASTINGS = 100_000
_NOTED = Source(kind=SourceKind.OWN, text="castings noted on this mold")


@dataclass(frozen=True, slots=True, kw_only=True)
class MoldLine:
    """A mold with the castings that are expected of it; `left` is None where nothing is known of its rubber and resin."""

    mold: Mold
    expected: Given | None
    left: Figure | None

    @property
    def at_end(self) -> bool:
        """Whether it has given what is expected of one mold."""
        return self.left is not None and self.left.value <= 0

    @property
    def state(self) -> tuple[str, str]:
        """What is to be said of its life, with its tone."""
        if self.mold.ended_on:
            return "ended", "quiet"
        if self.at_end:
            return "at its end", "stop"
        if self.expected is not None and self.mold.castings_done >= RUN_SHARE * self.expected.value:
            return "look it over at every casting", "look"
        return "in use", "done"


def molds_for_pages() -> QuerySet[Mold]:
    """Return molds with all that their pages read."""
    return Mold.objects.select_related("job__piece", "job__client", "job__plan", "rubber")


def kept_molds() -> QuerySet[Mold]:
    """Return molds that are not ended."""
    return molds_for_pages().filter(ended_on=None)


def molds_matching(
    molds: QuerySet[Mold], *, place: str = "", not_seen_since: datetime.date | None = None, words: str = ""
) -> QuerySet[Mold]:
    """Return those that lie in a place, were not looked at since a day, and in whose job every word occurs."""
    if place:
        molds = molds.filter(place__icontains=place)
    if not_seen_since:
        molds = molds.filter(Q(looked_at_on=None) | Q(looked_at_on__lt=not_seen_since))
    for word in words.split()[:8]:
        condition = Q(job__title__icontains=word) | Q(job__piece__name__icontains=word) | Q(job__client__name__icontains=word)
        condition |= Q(note__icontains=word) | Q(rubber__name__icontains=word)
        if word.isascii() and word.isdigit() and len(word) < 9:
            condition |= Q(job__number=int(word))
        molds = molds.filter(condition)
    return molds


def mold_lines(molds: Iterable[Mold]) -> list[MoldLine]:
    """Return molds with their lives, in as many queries as for one."""
    found = list(molds)
    resins = {mold.pk: getattr(getattr(mold.job, "plan", None), "resin_id", None) for mold in found}
    known = specs(pk for mold in found for pk in (mold.rubber_id, resins[mold.pk]) if pk is not None)
    lines = []
    for mold in found:
        rubber, resin = known.get(mold.rubber_id or 0), known.get(resins[mold.pk] or 0)
        expected = castings_expected(rubber, resin) if rubber and resin else None
        lines.append(MoldLine(mold=mold, expected=expected, left=None if expected is None else _left(mold, expected)))
    return lines


def _left(mold: Mold, expected: Given) -> Figure:
    done = Given(label="Castings done", value=float(mold.castings_done), unit="1", source=_NOTED)
    return Figure(
        key=f"mold_{mold.pk}_left", label="Castings still expected of it", value=max(expected.value - done.value, 0.0), unit="1",
        formula="castings expected of a mold − castings done, never below nought", given=(expected, done),
        low=None if expected.low is None else max(expected.low - done.value, 0.0),
        high=None if expected.high is None else max(expected.high - done.value, 0.0),
        note="A planning value: the mold itself tells sooner. Look at undercuts, thin places and the parting line.",
    )  # fmt: skip


def rubber_in_plan(made: MoldPlan | None) -> Decimal | None:
    """Return the rubber that a planned mold weighs, scrap in its fill included, in whole grams; None without a plan."""
    return None if made is None or made.blanket_mass.value < 1 else Decimal(round(made.blanket_mass.value))


@transaction.atomic
def add_mold(
    *,
    job: Job,
    rubber: Material | None,
    mass_g: Decimal | None,
    made_on: datetime.date,
    place: str = "",
    castings_done: int = 0,
    note: str = "",
) -> Mold:
    """Add a job's next mold; the job's row is locked, so that two hands never give the same number."""
    Job.objects.select_for_update().get(pk=job.pk)
    number = (Mold.objects.filter(job=job).aggregate(last=Max("number"))["last"] or 0) + 1
    return Mold.objects.create(
        job=job, number=number, rubber=rubber, mass_g=mass_g, made_on=made_on, place=place, castings_done=castings_done, note=note
    )


@transaction.atomic
def change_mold(
    *,
    mold_id: int,
    rubber: Material | None,
    mass_g: Decimal | None,
    made_on: datetime.date,
    place: str,
    castings_done: int,
    note: str,
) -> Mold:
    """Correct what is written down of a mold."""
    mold = locked_mold(mold_id)
    mold.rubber, mold.mass_g, mold.made_on = rubber, mass_g, made_on
    mold.place, mold.castings_done, mold.note = place, castings_done, note
    mold.save(update_fields=["rubber", "mass_g", "made_on", "place", "castings_done", "note"])
    return mold


@transaction.atomic
def count_casting(*, mold_id: int, stood_at: int, change: int = 1) -> Mold:
    """Count one casting more (or less); `stood_at` is what the page showed, so that sending it twice counts once."""
    mold = locked_mold(mold_id)
    still_kept(mold)
    wanted = stood_at + (1 if change > 0 else -1)
    if mold.castings_done == wanted:
        return mold
    if mold.castings_done != stood_at:
        raise MoldRefused(
            f"Somebody counted meanwhile: {mold.castings_done} castings stand here now. Look whether yours is among them."
        )
    if not 0 <= wanted <= MOST_CASTINGS:
        raise MoldRefused("A mold has cast nothing less than nought. Correct its castings under “Change what is written”.")
    mold.castings_done = wanted
    mold.save(update_fields=["castings_done"])
    return mold


@transaction.atomic
def look_over(*, mold_id: int, looked_at_on: datetime.date, note: str) -> Mold:
    """Note that a mold was looked over, with what was seen."""
    mold = locked_mold(mold_id)
    still_kept(mold)
    made_by(mold, looked_at_on)
    mold.looked_at_on, mold.note = looked_at_on, note
    mold.save(update_fields=["looked_at_on", "note"])
    return mold


def locked_mold(mold_id: int) -> Mold:
    """Lock a mold."""
    mold = Mold.objects.select_for_update(of=("self",)).select_related("job", "rubber").filter(pk=mold_id).first()
    if mold is None:
        raise MoldRefused("There is no such mold. Load the list again.")
    return mold


def still_kept(mold: Mold) -> None:
    """Refuse what only a mold that is kept allows."""
    if mold.ended_on is not None:
        raise MoldRefused(f"This mold has ended: {mold.ended_why or 'it is not kept any more'}. Bring it back first.")


def made_by(mold: Mold, day: datetime.date) -> None:
    """Refuse a day before the mold was made."""
    if day < mold.made_on:
        raise MoldRefused("It was not made yet on that day. Check the day, or the day on which it was made.")
