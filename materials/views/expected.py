"""Deliveries that are ordered: the list, one added, changed, cancelled and expected again."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from materials.errors import MaterialsError
from materials.forms.expected import ChangeExpectedForm, ExpectForm
from materials.models import ExpectedDelivery
from materials.services import expected as services
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page

MOST_CLOSED = 50
MOST_ON_THE_SHELF_PAGE = 6
CHANGED = ("due_on", "mass_g", "supplier", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedLine:
    """One delivery as a page shows it."""

    expected: ExpectedDelivery
    packs: int | None
    days_late: int


@require_safe
@needs(Right.SEE_STOCK)
def expected_list(request: HttpRequest) -> HttpResponse:
    """List what is ordered, the overdue first, and what came or was cancelled."""
    return _list(request)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def expected_add(request: HttpRequest) -> HttpResponse:
    """Write down that something is ordered."""
    form = ExpectForm(request.POST or None, initial=_asked(request))
    if request.method == "POST" and form.is_valid():
        try:
            added = services.expect(**form.expected(), by=account_of(request))
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, f"{added.material.name} is expected. The days take it up when they are planned anew.")
            return redirect("materials:expected_list")
    context = {"form": form, "any_materials": bool(form.materials)}
    return render_page(request, "materials/expected_form.html", context, status=422 if request.method == "POST" else 200)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def expected_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a delivery another day, or correct it."""
    expected = get_object_or_404(ExpectedDelivery.objects.select_related("material", "pack"), pk=pk)
    form = ChangeExpectedForm(request.POST or None, initial={name: getattr(expected, name) for name in CHANGED})
    if request.method == "POST" and form.is_valid():
        try:
            services.change_expected(expected_id=pk, **form.cleaned_data)
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, f"{expected.material.name}: kept. The days take it up when they are planned anew.")
            return redirect("materials:expected_list")
    context = {"form": form, "line": expected_lines([expected], timezone.localdate())[0]}
    return render_page(request, "materials/expected_change.html", context, status=422 if request.method == "POST" else 200)


@require_POST
@needs(Right.CHANGE_STOCK)
def expected_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Expect a delivery no longer; the list offers to expect it again."""
    get_object_or_404(ExpectedDelivery, pk=pk)
    try:
        services.cancel(expected_id=pk)
    except MaterialsError as refused:
        return _list(request, problem=said(refused), status=422)
    return redirect("materials:expected_list")


@require_POST
@needs(Right.CHANGE_STOCK)
def expected_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Expect a cancelled delivery again."""
    get_object_or_404(ExpectedDelivery, pk=pk)
    try:
        services.expect_again(expected_id=pk)
    except MaterialsError as refused:
        return _list(request, problem=said(refused), status=422)
    messages.success(request, "It is expected again, on the day it had.")
    return redirect("materials:expected_list")


def expected_lines(found: Iterable[ExpectedDelivery], today: datetime.date) -> list[ExpectedLine]:
    """Return deliveries as a page shows them, in packs where they are whole packs."""
    return [ExpectedLine(expected=one, packs=packs_in(one), days_late=max((today - one.due_on).days, 0)) for one in found]


def packs_in(expected: ExpectedDelivery) -> int | None:
    """Return how many packs a delivery is, where it is whole packs."""
    pack = expected.pack
    if pack is None or not pack.mass_g or expected.mass_g % pack.mass_g:
        return None
    return int(expected.mass_g // pack.mass_g)


def _asked(request: HttpRequest) -> dict[str, Any]:
    """Return what the address asks to be chosen beforehand: a material, by its usual pack where there is one."""
    material = request.GET.get("material", "")
    if not (material.isdecimal() and len(material) < 16):
        return {}
    found = ExpectForm()
    pack = next((pack for pack in found.packs_by_pk.values() if pack.material_id == int(material)), None)
    return {"what": f"pack-{pack.pk}", "packs": 1} if pack else {"what": f"mass-{int(material)}"}


def _list(request: HttpRequest, *, problem: str = "", status: int = 200) -> HttpResponse:
    today = timezone.localdate()
    closed = services.no_longer_expected(MOST_CLOSED)
    context = {
        "lines": expected_lines(services.still_expected(), today),
        "cancelled": expected_lines([one for one in closed if one.cancelled_at], today),
        "came": expected_lines([one for one in closed if one.arrived_at], today),
        "problem": problem,
        "may_stock": account_of(request).may(Right.CHANGE_STOCK),
    }
    return render_page(request, "materials/expected.html", context, status=status)
