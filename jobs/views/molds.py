"""Finished molds: the list, one with its passport, adding one from its job, counting castings, looking it over."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.errors import MoldRefused
from jobs.forms.molds import LookOverForm, MoldRowForm, MoldsFilterForm
from jobs.models import Mold
from jobs.services import molds as services
from jobs.services.mold_ends import cutting_of
from jobs.views.loading import load
from materials.codes import Code
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page

LINES = 50
ROW = ("rubber", "mass_g", "made_on", "place", "castings_done", "note")


@require_safe
@needs(Right.SEE_STOCK)
def molds_list(request: HttpRequest) -> HttpResponse:
    """List molds, the newest first."""
    form = MoldsFilterForm(request.GET or None, initial={"which": "kept"})
    values = form.cleaned_data if form.is_bound and form.is_valid() else {}
    which = values.get("which") or "kept"
    found = services.molds_for_pages() if which == "all" else services.kept_molds()
    if which == "ended":
        found = services.molds_for_pages().exclude(ended_on=None)
    found = services.molds_matching(
        found, place=values.get("place", ""), not_seen_since=values.get("since"), words=values.get("words", "")
    )
    # How much of its life a mold has given is not a column: those are picked out one by one.
    rows: Any = [line.mold for line in services.mold_lines(found) if line.at_end] if which == "end" else found
    page = Paginator(rows, LINES).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "lines": services.mold_lines(page),
        "any_molds": page.paginator.count > 0 or Mold.objects.exists(),
    }
    status = 200 if form.is_valid() or not form.is_bound else 422
    return render_page(request, "jobs/molds.html", context, partial="molds-table", status=status)


@require_safe
@needs(Right.SEE_STOCK)
def kept_mold_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a mold's passport."""
    return passport(request, mold_or_404(pk))


def passport(
    request: HttpRequest, mold: Mold, *, look: LookOverForm | None = None, problem: str = "", status: int = 200
) -> HttpResponse:
    """Render a mold's page; a refused form stays open with what was typed."""
    may_stock = account_of(request).may(Right.CHANGE_STOCK)
    cutting = cutting_of(mold)
    context = {
        "mold": mold,
        "job": mold.job,
        "line": services.mold_lines([mold])[0],
        "code": Code("m", mold.pk),
        "look": look or LookOverForm(initial={"looked_at_on": timezone.localdate(), "note": mold.note}),
        "cutting": cutting,
        "problem": problem,
        "may_stock": may_stock,
    }
    return render_page(request, "jobs/kept_mold.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Right.CHANGE_STOCK)
def mold_add(request: HttpRequest, number: int) -> HttpResponse:
    """Add a finished mold of a job; what the plan knows is filled in."""
    page = load(number)
    initial = {
        "rubber": page.plan.rubber_id, "mass_g": services.rubber_in_plan(page.made), "made_on": timezone.localdate(),
        "castings_done": 0,
    }  # fmt: skip
    form = MoldRowForm(request.POST if request.method == "POST" else None, initial=initial)
    if form.is_bound and form.is_valid():
        mold = services.add_mold(job=page.job, **form.cleaned_data)
        messages.success(request, f"Mold {mold.number} of job {number} is added. Print its label so that it is found again.")
        return redirect("jobs:kept_mold_show", pk=mold.pk)
    context = {"form": form, "job": page.job, "mold": None, "from_plan": initial["mass_g"] is not None}
    return render_page(request, "jobs/mold_form.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Right.CHANGE_STOCK)
def kept_mold_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what is written on a mold."""
    mold = mold_or_404(pk)
    initial = {name: getattr(mold, name) for name in ROW}
    form = MoldRowForm(request.POST if request.method == "POST" else None, initial=initial, mold=mold)
    if form.is_bound and form.is_valid():
        try:
            services.change_mold(mold_id=pk, **form.cleaned_data)
        except MoldRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "It is saved.")
            return redirect("jobs:kept_mold_show", pk=pk)
    context = {"form": form, "job": mold.job, "mold": mold}
    return render_page(request, "jobs/mold_form.html", context, status=422 if form.is_bound else 200)


@require_POST
@needs(Right.CHANGE_STOCK)
def kept_mold_casting(request: HttpRequest, pk: int) -> HttpResponse:
    """Count one casting more, or take one back."""
    mold = mold_or_404(pk)
    stood_at = request.POST.get("stood_at", "")
    if not (stood_at.isascii() and stood_at.isdecimal() and len(stood_at) < 8):
        return passport(request, mold, problem="The page did not say where the count stood. Count it once more.", status=422)
    change = -1 if request.POST.get("change") == "less" else 1
    try:
        mold = services.count_casting(mold_id=pk, stood_at=int(stood_at), change=change)
    except MoldRefused as refused:
        return passport(request, mold_or_404(pk), problem=str(refused), status=409)
    messages.success(request, f"{mold.castings_done} casting{'' if mold.castings_done == 1 else 's'} now.")
    return redirect("jobs:kept_mold_show", pk=pk)


@require_POST
@needs(Right.CHANGE_STOCK)
def kept_mold_look(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that a mold was looked over."""
    mold = mold_or_404(pk)
    form = LookOverForm(request.POST)
    if form.is_valid():
        try:
            services.look_over(mold_id=pk, **form.cleaned_data)
        except MoldRefused as refused:
            form.add_error(None, str(refused))
    if form.errors:
        return passport(request, mold, look=form, status=422)
    messages.success(request, "The look at it is noted.")
    return redirect("jobs:kept_mold_show", pk=pk)


def mold_or_404(pk: int) -> Mold:
    """Find a mold with all that its pages read."""
    mold: Mold = get_object_or_404(services.molds_for_pages(), pk=pk)
    return mold
