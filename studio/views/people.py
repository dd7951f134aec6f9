"""People who work in the studio."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from studio.access import Right, Role, account_of, needs, rights_table
from studio.forms.people import PersonForm, typed_from
from studio.models import Person
from studio.services import people
from studio.services.hours import week_hours_by_person
from studio.views.absences import away_of
from studio.web.context import current_profile
from studio.web.htmx import render_page


@require_safe
@needs(Right.SEE_STUDIO)
def people_list(request: HttpRequest) -> HttpResponse:
    """List who works here, and what each role may see and do."""
    account = account_of(request)
    profile = current_profile()
    persons = list(Person.objects.select_related("account").prefetch_related("skills"))
    hours = week_hours_by_person()
    context = {
        "people": [(person, hours.get(person.pk)) for person in persons if person.active],
        "retired": [person for person in persons if not person.active],
        "today": timezone.localdate(),
        "may_change": account.may(Right.CHANGE_STUDIO),
        "may_manage": account.may(Right.MANAGE_ACCOUNTS),
        "sees_money": account.may(Right.SEE_MONEY),
        "roles": list(Role),
        "rights": rights_table(money_hidden_from_makers=profile.money_hidden_from_makers),
    }
    return render_page(request, "studio/people.html", context)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STUDIO)
def people_add(request: HttpRequest) -> HttpResponse:
    """Add a person."""
    form = PersonForm(request.POST or None, initial={"rate_per_h": current_profile().labour_rate_per_h})
    if request.method == "POST" and form.is_valid():
        person = people.save_person(person=None, **form.cleaned_data)
        messages.success(request, f"{person.name} is added. Now say when {person.name} works.")
        return redirect("studio:hours_edit", pk=person.pk)
    context = {"form": form, "person": None}
    return render_page(request, "studio/person.html", context, status=422 if request.method == "POST" else 200)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STUDIO)
def people_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person."""
    person = get_object_or_404(Person, pk=pk)
    form = PersonForm(request.POST or None, person=person, initial=typed_from(person))
    if request.method == "POST" and form.is_valid():
        people.save_person(person=person, **form.cleaned_data)
        messages.success(request, f"{person.name} is saved.")
        return redirect("studio:people_list")
    context = {"form": form, "person": get_object_or_404(Person, pk=pk), "away": away_of(person), "may_change": True}
    return render_page(request, "studio/person.html", context, status=422 if request.method == "POST" else 200)


@require_POST
@needs(Right.CHANGE_STUDIO)
def people_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a person out of new plans."""
    person = get_object_or_404(Person, pk=pk)
    people.retire_person(person=person)
    messages.success(request, f"{person.name} is left out of new plans. Bring them back at the end of this page.")
    return redirect("studio:people_list")


@require_POST
@needs(Right.CHANGE_STUDIO)
def people_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a retired person be planned again."""
    person = get_object_or_404(Person, pk=pk)
    people.bring_person_back(person=person)
    messages.success(request, f"{person.name} works here again, with the hours as they were.")
    return redirect("studio:people_list")
