"""Old stock is tried in a small cup before it goes on a piece: which lots, why, and what came of it.

Published, a composites trade article of 2006: the gel time of polyester drifts with the months in store, so a test gel comes
before the use of old stock. The shares and days below are common practice, no source; suppliers' sheets say that moisture
spoils opened polyurethane within weeks to months.
"""

import datetime
from dataclasses import dataclass

from django.db import transaction

from materials.models import Lot
from materials.properties import Chemistry, MaterialKind
from studio.figures import Source, SourceKind

OLD_SHARE = 2 / 3
OPEN_DAYS = 180
OPEN_DAYS_OF = {Chemistry.POLYURETHANE: 60, Chemistry.POLYESTER: 90}
# A test speaks for this long.
GOOD_DAYS = 30
AGED = Source(
    kind=SourceKind.PUBLISHED, text="composites trade article, 2006: gel times drift in store; the share is common practice"
)
OPENED = Source(kind=SourceKind.COMMON_PRACTICE, text="days that an opened container is trusted, no source")
CURING = {MaterialKind.RUBBER, MaterialKind.RESIN, MaterialKind.SHELL}


@dataclass(frozen=True, slots=True, kw_only=True)
class GelTestWanted:
    """Why a test cup is wanted, in words, and where the rule comes from."""

    why: str
    source: Source


def gel_test_wanted(lot: Lot, today: datetime.date) -> GelTestWanted | None:
    """Say whether a test cup is wanted before a lot is used; its material must be loaded."""
    if MaterialKind(lot.material.kind) not in CURING or lot.material.chemistry == Chemistry.GYPSUM:
        return None
    if lot.gel_tested_on is not None and (today - lot.gel_tested_on).days <= GOOD_DAYS:
        return None
    trusted = OPEN_DAYS_OF.get(Chemistry(lot.material.chemistry), OPEN_DAYS)
    if lot.opened_on is not None and (open_days := (today - lot.opened_on).days) > trusted:
        return GelTestWanted(why=f"opened {open_days} days ago, trusted for {trusted}", source=OPENED)
    if lot.expires_on is None or lot.expires_on <= lot.received_on:
        return None
    life, age = (lot.expires_on - lot.received_on).days, (today - lot.received_on).days
    if age > life * OLD_SHARE:
        return GelTestWanted(why=f"{age} of its {life} days are over, more than two thirds", source=AGED)
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeTest:
    """What a lot said before a test cup was written down, so that it can say so again."""

    tested_on: datetime.date | None
    quarantined: bool
    note: str


@transaction.atomic
def note_gel_test(*, lot: Lot, tested_on: datetime.date, cured: bool) -> BeforeTest:
    """Write down what came of a test cup; a lot that did not cure as it should is set aside. Return what it said before."""
    row = Lot.objects.select_for_update().get(pk=lot.pk)
    before = BeforeTest(tested_on=row.gel_tested_on, quarantined=row.quarantined, note=row.note)
    changes: dict[str, object] = {"gel_tested_on": tested_on}
    if not cured:
        changes |= {"quarantined": True, "note": f"did not cure as it should in the test cup of {tested_on:%d %b %Y}"}
    Lot.objects.filter(pk=lot.pk).update(**changes)
    return before


@transaction.atomic
def forget_gel_test(*, lot: Lot, before: BeforeTest) -> None:
    """Take a test cup back that was written down by mistake: the lot says again what it said before."""
    Lot.objects.filter(pk=lot.pk).update(gel_tested_on=before.tested_on, quarantined=before.quarantined, note=before.note)
