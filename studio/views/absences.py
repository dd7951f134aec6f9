"""Who is away when: the list, one stretch added, closed days pasted, one removed and put back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from studio.access import Right, account_of, needs
from studio.forms.absences import AbsenceForm, ClosedDaysForm
from studio.local_time import whole_days
from studio.models import Absence, Person
from studio.services import absences
from studio.services.errors import AbsenceError
from studio.web.htmx import render_page

REMOVED = "removed_absence"
OFFERED_FOR = timedelta(hours=1)
MOST_PAST = 100
MOST_ON_A_PERSONS_PAGE = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class AwayLine:
    """One stretch as a page shows it: its days where it is whole days, and whether it is going on."""

    absence: Absence
    days: tuple[date, date] | None
    now: bool


@require_safe
@needs(Right.SEE_STUDIO)
def away_list(request: HttpRequest) -> HttpResponse:
    """Show who is away from now on, and what is over."""
    asked = request.GET.get("person", "")
    initial = {"who": asked} if asked.isdecimal() and len(asked) < 16 else {}
    return _page(request, AbsenceForm(initial=initial), ClosedDaysForm())


@require_POST
@needs(Right.CHANGE_STUDIO)
def away_add(request: HttpRequest) -> HttpResponse:
    """Write one stretch down."""
    form = AbsenceForm(request.POST)
    if form.is_valid():
        typed = form.cleaned_data
        person = form.person()
        try:
            added = absences.add_absence(
                person=person, starts_at=typed["starts_at"], ends_at=typed["ends_at"], why=typed["why"], by=account_of(request)
            )
        except AbsenceError as refused:
            form.add_error(None, str(refused))
        else:
            who = f"{person.name} is away" if person else "The studio is closed"
            messages.success(request, " ".join([f"{who}: {absences.words(added)}.", *form.notes]))
            return redirect("studio:away_list")
    return _page(request, form, ClosedDaysForm(), status=422)


@require_POST
@needs(Right.CHANGE_STUDIO)
def away_close(request: HttpRequest) -> HttpResponse:
    """Close the studio on a list of days."""
    form = ClosedDaysForm(request.POST)
    if form.is_valid():
        try:
            closed = absences.add_closed_days(days=form.cleaned_data["days"], by=account_of(request))
        except AbsenceError as refused:
            form.add_error("days", str(refused))
        else:
            messages.success(request, _closed_words(closed))
            return redirect("studio:away_list")
    return _page(request, AbsenceForm(), form, status=422)


@require_POST
@needs(Right.CHANGE_STUDIO)
def away_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one stretch off the list; the page offers to put it back."""
    try:
        removed = absences.remove_absence(absence_id=pk)
    except AbsenceError as refused:
        return _page(request, AbsenceForm(), ClosedDaysForm(), problem=str(refused), status=422)
    request.session[REMOVED] = {
        "words": f"{removed.person.name if removed.person else 'everybody'}, {absences.words(removed)}",
        "person_id": removed.person_id,
        "starts_at": removed.starts_at.isoformat(),
        "ends_at": removed.ends_at.isoformat(),
        "why": removed.why,
        "at": timezone.now().isoformat(),
    }
    return redirect("studio:away_list")


@require_POST
@needs(Right.CHANGE_STUDIO)
def away_return(request: HttpRequest) -> HttpResponse:
    """Put back what was removed last."""
    removed = request.session.pop(REMOVED, None)
    if removed is None:
        problem = "There is nothing to put back: it was put back already, or too long ago."
        return _page(request, AbsenceForm(), ClosedDaysForm(), problem=problem, status=422)
    try:
        absences.bring_absence_back(
            person_id=removed["person_id"],
            starts_at=datetime.fromisoformat(removed["starts_at"]),
            ends_at=datetime.fromisoformat(removed["ends_at"]),
            why=removed["why"],
            by=account_of(request),
        )
    except AbsenceError as refused:
        return _page(request, AbsenceForm(), ClosedDaysForm(), problem=str(refused), status=422)
    messages.success(request, f"Back on the list: {removed['words']}.")
    return redirect("studio:away_list")


def away_lines(found: Iterable[Absence], now: datetime) -> list[AwayLine]:
    """Return stretches as a page shows them."""
    zone = timezone.get_current_timezone()
    return [
        AwayLine(
            absence=absence,
            days=whole_days(absence.starts_at, absence.ends_at, zone),
            now=absence.starts_at <= now < absence.ends_at,
        )
        for absence in found
    ]


def away_of(person: Person) -> list[AwayLine]:
    """Return the next stretches that keep a person away, for the person's own pages."""
    now = timezone.now()
    return away_lines(absences.absences_of(person, now)[:MOST_ON_A_PERSONS_PAGE], now)


def _closed_words(closed: absences.Closed) -> str:
    many = len(closed.added)
    added = f"{many} stretch{'es' if many > 1 else ''} of closed days added." if many else "Nothing new in this list."
    known = len(closed.known)
    return f"{added} {known} {'were' if known > 1 else 'was'} closed already." if known else added


def _page(
    request: HttpRequest, form: AbsenceForm, closed_form: ClosedDaysForm, *, problem: str = "", status: int = 200
) -> HttpResponse:
    now = timezone.now()
    removed: dict[str, Any] | None = request.session.get(REMOVED)
    if removed and now - datetime.fromisoformat(removed["at"]) > OFFERED_FOR:
        removed = None
    past = list(absences.absences_before(now)[: MOST_PAST + 1])
    context = {
        "lines": away_lines(absences.absences_from(now), now),
        "past": away_lines(past[:MOST_PAST], now),
        "more_past": len(past) > MOST_PAST,
        "form": form,
        "closed_form": closed_form,
        "problem": problem,
        "removed": removed,
        "may_change": account_of(request).may(Right.CHANGE_STUDIO),
    }
    return render_page(request, "studio/away.html", context, status=status)
