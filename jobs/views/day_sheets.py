"""One person's day: as a page, and as a print."""

import datetime

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from jobs.day_sheet import day_of
from jobs.services.day_sheets import DAY_SHEET_KIND, ask_day_sheet
from studio.access import Right, account_of, needs
from studio.models import Document, Person
from studio.web.htmx import render_page

YEARS = range(2000, 2200)
NO_DAY = "A day is written in the address as 2027-03-01."
SHOWN = 3
ONE_DAY = datetime.timedelta(days=1)


@require_safe
@needs(Right.SEE_JOBS)
def day_sheet_show(request: HttpRequest, pk: int, on: str) -> HttpResponse:
    """Show what a person does on a day."""
    person, day = get_object_or_404(Person, pk=pk), _day(on)
    others = Person.objects.filter(active=True)
    context = {
        "day": day_of(person, day),
        "yesterday": (day - ONE_DAY).isoformat(),
        "tomorrow": (day + ONE_DAY).isoformat(),
        "today": timezone.localdate(),
        "people": others,
        "documents": Document.objects.filter(kind=DAY_SHEET_KIND, subject_id__in=person.day_sheets.filter(on=day).values("pk"))[
            :SHOWN
        ],
    }
    return render_page(request, "jobs/day_sheet.html", context)


@require_POST
@needs(Right.SEE_JOBS)
def day_sheet_print(request: HttpRequest, pk: int, on: str) -> HttpResponse:
    """Ask for the print of a day."""
    person, day = get_object_or_404(Person, pk=pk), _day(on)
    ask_day_sheet(person=person, on=day, by=account_of(request))
    return redirect("jobs:day_sheet_show", pk=pk, on=day.isoformat())


def _day(typed: str) -> datetime.date:
    try:
        day = datetime.date.fromisoformat(typed)
    except ValueError:
        raise Http404(NO_DAY) from None
    if day.isoformat() != typed or day.year not in YEARS:
        raise Http404(NO_DAY)
    return day
