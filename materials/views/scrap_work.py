"""Sessions of cutting and seating scrap, and planning with the studio's own minutes."""

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from materials.errors import MaterialsError
from materials.forms.scrap_work import WorkedForm
from materials.models import ScrapBin, ScrapCut
from materials.services import scrap_work as services
from materials.views.said import said
from materials.views.scrap import AGAIN, BEFORE, bin_page, list_page
from studio.access import Right, account_of, needs
from studio.web.quantities import show


@require_POST
@needs(Right.CHANGE_STOCK)
def scrap_worked(request: HttpRequest, pk: int) -> HttpResponse:
    """Note a session on a bin."""
    scrap_bin: ScrapBin = get_object_or_404(ScrapBin, pk=pk)
    form = WorkedForm(request.POST, prefix="worked")
    if form.is_valid():
        try:
            services.note_session(scrap_bin=scrap_bin, by=account_of(request), **form.cleaned_data)
        except MaterialsError as refused:
            form.add_error(None, said(refused))
    if form.errors:
        return bin_page(request, scrap_bin, refused={"worked": form})
    request.session.pop(AGAIN, None)
    messages.success(request, "The session is noted; it counts among the studio's own minutes.")
    return redirect(reverse("materials:scrap_show", args=[pk]) + "#sessions")


@require_POST
@needs(Right.CHANGE_STOCK)
def session_forget(request: HttpRequest, pk: int) -> HttpResponse:
    """Take out a session that was noted by mistake; what it said stands in the form again."""
    session = get_object_or_404(ScrapCut.objects.select_related("scrap_bin"), pk=pk)
    try:
        told = services.forget_session(session_id=pk)
    except MaterialsError as refused:
        messages.error(request, said(refused))
    else:
        request.session[AGAIN] = {"bin": session.scrap_bin_id, **{name: str(value) for name, value in told.items()}}
        messages.success(request, "The session is taken out. What it said stands in the form, if it is to be noted again.")
    return redirect("materials:scrap_show", pk=session.scrap_bin_id)


@require_POST
@needs(Right.CHANGE_STUDIO)
def minutes_take(request: HttpRequest) -> HttpResponse:
    """Plan with the studio's own minutes."""
    work = request.POST.get("work", "")
    try:
        value, before = services.plan_with_own(work=work, by=account_of(request))
    except MaterialsError as refused:
        return list_page(request, problem=said(refused), status=422)
    kept: dict[str, Any] = request.session.get(BEFORE, {})
    request.session[BEFORE] = {**kept, work: {"taken": str(value), "before": before}}
    messages.success(request, f"Plans now count {show(float(value), 'min/kg', keep=True)}.")
    return redirect(reverse("materials:scrap_list") + "#minutes")


@require_POST
@needs(Right.CHANGE_STUDIO)
def minutes_back(request: HttpRequest) -> HttpResponse:
    """Plan with what was there before the own minutes were taken over."""
    work = request.POST.get("work", "")
    kept: dict[str, Any] = request.session.get(BEFORE, {})
    one = kept.get(work)
    if one is None:
        problem = "You took nothing over here since you signed in. Change the rate under Rates of work."
        return list_page(request, problem=problem, status=422)
    try:
        services.plan_as_before(work=work, taken=Decimal(one["taken"]), before=one["before"], by=account_of(request))
    except MaterialsError as refused:
        return list_page(request, problem=said(refused), status=422)
    request.session[BEFORE] = {name: value for name, value in kept.items() if name != work}
    messages.success(request, "Plans count as before.")
    return redirect(reverse("materials:scrap_list") + "#minutes")
