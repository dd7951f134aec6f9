"""Alternatives of a job: every way of doing it beside the plan in use, one taken up, copies kept, removed and brought back."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from costing.alternatives_drawing import ways_drawing
from costing.forms.copies import CopyForm
from costing.services.alternatives import ways_table
from jobs.errors import CopyRefused, JobNotReady, PlanChangedMeanwhile, WayGone
from jobs.services.alternatives import take_copy, take_way, ways_of
from jobs.services.copies import bring_back_copy, keep_copy, remove_copy
from jobs.views.loading import JobPage, context_of, load
from jobs.views.stages import undo_and_say
from studio.access import Right, needs
from studio.figures import WorkingError
from studio.web.htmx import render_page

TEMPLATE = "costing/alternatives.html"
PAGE = "costing:alternatives_show"
# The copy removed last, in the session of whoever removed it.
REMOVED = "removed_copy"
LARGEST = 2_000_000_000


@needs(Right.SEE_JOBS)
@require_safe
def alternatives_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show every way of doing a job: hours, rubber, and what it costs where money may be seen."""
    return _page(request, load(number))


@needs(Right.CHANGE_JOBS)
@require_POST
def alternative_take(request: HttpRequest, number: int) -> HttpResponse:
    """Take an alternative or a kept copy up in place of the plan in use."""
    page, revision = load(number), _whole(request, "revision")
    try:
        if "copy" in request.POST:
            label = take_copy(plan=page.plan, pk=_whole(request, "copy"), revision=revision, by=request.user).name  # type: ignore[arg-type]
        else:
            key = request.POST.get("way", "")
            label = take_way(plan=page.plan, key=key, revision=revision, by=request.user).label  # type: ignore[arg-type]
    except JobNotReady:
        return redirect(PAGE, number=number)
    except (PlanChangedMeanwhile, WayGone, CopyRefused) as conflict:
        return _page(request, load(number), conflict=str(conflict), status=409)
    messages.success(request, f"“{label}” is the plan in use now. Undo the last change to go back.")
    return redirect(PAGE, number=number)


@needs(Right.CHANGE_JOBS)
@require_POST
def alternatives_back(request: HttpRequest, number: int) -> HttpResponse:
    """Go back one change of the plan, and stay here."""
    undo_and_say(request, load(number).plan)
    return redirect(PAGE, number=number)


@needs(Right.CHANGE_JOBS)
@require_POST
def copy_keep(request: HttpRequest, number: int) -> HttpResponse:
    """Keep a copy of the plan in use under a name."""
    page, form = load(number), CopyForm(request.POST)
    if form.is_valid():
        try:
            row = keep_copy(plan=page.plan, name=form.cleaned_data["name"], by=request.user)  # type: ignore[arg-type]
        except CopyRefused as refused:
            form.add_error("name", str(refused))
        else:
            messages.success(request, f"A copy of the plan in use is kept as “{row.name}”.")
            return redirect(PAGE, number=number)
    return _page(request, page, form=form, status=422)


@needs(Right.CHANGE_JOBS)
@require_POST
def copy_remove(request: HttpRequest, number: int) -> HttpResponse:
    """Remove a copy; until another is removed it can be brought back."""
    page = load(number)
    try:
        request.session[REMOVED] = remove_copy(job=page.job, pk=_whole(request, "copy"))
    except CopyRefused as refused:
        messages.error(request, str(refused))
    return redirect(PAGE, number=number)


@needs(Right.CHANGE_JOBS)
@require_POST
def copy_back(request: HttpRequest, number: int) -> HttpResponse:
    """Bring the copy back that was removed last."""
    page, told = load(number), request.session.get(REMOVED) or {}
    try:
        row = bring_back_copy(job=page.job, told=told, by=request.user)  # type: ignore[arg-type]
    except CopyRefused as refused:
        messages.error(request, str(refused))
    else:
        del request.session[REMOVED]
        messages.success(request, f"“{row.name}” is back.")
    return redirect(PAGE, number=number)


def _page(
    request: HttpRequest, page: JobPage, *, form: CopyForm | None = None, conflict: str = "", status: int = 200
) -> HttpResponse:
    told = request.session.get(REMOVED) or {}
    context: dict[str, Any] = {
        **context_of(request, page, here="alternatives"),
        "form": form or CopyForm(),
        "conflict": conflict,
        "removed": told.get("name", "") if told.get("job") == page.job.pk else "",
    }
    profile = request.profile  # type: ignore[attr-defined]
    try:
        table = ways_table(page.plan, ways_of(page.plan), profile, money=context["may_see_money"])
        context |= {"table": table, "drawing": ways_drawing(table, profile)}
    except JobNotReady as problem:
        context["problem"] = problem
    except WorkingError as error:
        context["refusal"] = error
    return render_page(request, TEMPLATE, context, status=status)


def _whole(request: HttpRequest, name: str) -> int:
    """Read a whole number that the page wrote; what it did not write fits nothing."""
    text = request.POST.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and int(text[:12]) < LARGEST and len(text) < 12 else -1
