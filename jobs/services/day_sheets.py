"""Asking for the print of a person's day."""

import datetime

from django.db import transaction

from jobs.models import DaySheet
from studio.documents.outbox import request_document
from studio.models import Account, Document, Person

DAY_SHEET_KIND = "day-sheet"


@transaction.atomic
def ask_day_sheet(*, person: Person, on: datetime.date, by: Account | None) -> Document:
    """Ask for the print of a day; its row is made when the first one is asked for."""
    sheet, _ = DaySheet.objects.get_or_create(person=person, on=on)
    return request_document(kind=DAY_SHEET_KIND, subject_id=sheet.pk, title=f"Day sheet of {person.name}, {on:%d %b %Y}", by=by)
