"""What a lot said before its last test cup, kept in the session of whoever wrote it down until something else is."""

import datetime

from django.http import HttpRequest

from materials.models import Lot
from materials.services.gel_tests import BeforeTest

KEPT = "before_gel_test"


def remember(request: HttpRequest, lot: Lot, before: BeforeTest) -> None:
    """Keep what a lot said."""
    tested = before.tested_on.isoformat() if before.tested_on else ""
    request.session[KEPT] = {"lot": lot.pk, "tested_on": tested, "quarantined": before.quarantined, "note": before.note}


def is_remembered(request: HttpRequest, lot: Lot) -> bool:
    """Say whether the last test cup that was written down here was of this lot."""
    kept = request.session.get(KEPT)
    return isinstance(kept, dict) and kept.get("lot") == lot.pk


def recall(request: HttpRequest, lot: Lot) -> BeforeTest | None:
    """Return what the lot said, once."""
    if not is_remembered(request, lot):
        return None
    kept = request.session.pop(KEPT)
    tested = datetime.date.fromisoformat(kept["tested_on"]) if kept["tested_on"] else None
    return BeforeTest(tested_on=tested, quarantined=kept["quarantined"], note=kept["note"])
