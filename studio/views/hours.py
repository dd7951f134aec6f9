"""A person's working hours: a week as a ruled table."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from studio.access import Right, account_of, needs
from studio.forms.people import HoursForm
from studio.models import Person, WorkingHours
from studio.services import people
from studio.services.errors import PeopleError
from studio.services.hours import week_hours_by_person, week_of
from studio.views.absences import away_of
from studio.web.htmx import render_page

REMOVED = "removed_hours"


@require_safe
@needs(Right.SEE_STUDIO)
def hours_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a person's week, with what may be done to it."""
    return _page(request, get_object_or_404(Person, pk=pk), HoursForm())


@require_POST
@needs(Right.CHANGE_STUDIO)
def hours_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a stretch of hours to one or several days."""
    person = get_object_or_404(Person, pk=pk)
    form = HoursForm(request.POST)
    if form.is_valid():
        try:
            added = people.add_hours(person=person, **form.cleaned_data)
        except PeopleError as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"Added: {', '.join(str(stretch) for stretch in added)}.")
            return redirect("studio:hours_edit", pk=person.pk)
    return _page(request, person, form, status=422)


@require_POST
@needs(Right.CHANGE_STUDIO)
def hours_remove(request: HttpRequest, pk: int, hours_pk: int) -> HttpResponse:
    """Remove one stretch of hours; the next page offers to put it back."""
    person = get_object_or_404(Person, pk=pk)
    try:
        removed = people.remove_hours(person=person, hours_id=hours_pk)
    except PeopleError as refused:
        form = HoursForm()
        return _page(request, person, form, problem=str(refused), status=422)
    request.session[REMOVED] = {
        "person": person.pk,
        "words": f"{removed}, {removed.get_where_display()}",
        "weekdays": removed.weekday,
        "starts_at": f"{removed.starts_at:%H:%M}",
        "ends_at": f"{removed.ends_at:%H:%M}",
        "where": removed.where,
    }
    return redirect("studio:hours_edit", pk=person.pk)


def _page(request: HttpRequest, person: Person, form: HoursForm, *, problem: str = "", status: int = 200) -> HttpResponse:
    removed = request.session.pop(REMOVED, None)
    context = {
        "person": person,
        "week": week_of(person),
        "hours": week_hours_by_person().get(person.pk),
        "form": form,
        "problem": problem,
        "removed": removed if removed and removed["person"] == person.pk else None,
        "may_change": account_of(request).may(Right.CHANGE_STUDIO),
        "away": away_of(person),
        "places": WorkingHours.Where.choices,
    }
    return render_page(request, "studio/hours.html", context, status=status)
