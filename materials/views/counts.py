"""Stocktakes: the list, starting one, how far it is, posting, dropping, and their ways back."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from materials.counting import posting
from materials.counting.lines import places, progress
from materials.counting.weighing import start_stocktake
from materials.documents import RESULT_KIND, SHEET_KIND
from materials.errors import MaterialsError
from materials.forms.counts import StartForm
from materials.models import Stocktake
from materials.views.count_weighing import remember_counting
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.documents.outbox import request_document
from studio.models import Document
from studio.web.htmx import render_page

SHOWN = 40


@require_safe
@needs(Right.SEE_STOCK)
def counts_list(request: HttpRequest) -> HttpResponse:
    """List the stocktakes, the newest first."""
    found = Stocktake.objects.annotate(
        all_lines=Count("lines"), weighed=Count("lines", filter=Q(lines__counted_g__isnull=False))
    ).select_related("started_by")[:SHOWN]
    context = {"counts": found, "may_stock": account_of(request).may(Right.CHANGE_STOCK)}
    return render_page(request, "materials/counts.html", context)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def counts_start(request: HttpRequest) -> HttpResponse:
    """Start a stocktake of a place or of everything."""
    initial = {"name": f"Count of {timezone.localdate():%d %b %Y}", "blind": True}
    form = StartForm(request.POST or None, initial=initial, places=places())
    if request.method == "POST" and form.is_valid():
        stocktake = start_stocktake(by=account_of(request), **form.cleaned_data)
        remember_counting(request, stocktake)
        return redirect("materials:count_show", pk=stocktake.pk)
    status = 422 if request.method == "POST" else 200
    return render_page(request, "materials/count_start.html", {"form": form}, status=status)


@require_safe
@needs(Right.SEE_STOCK)
def count_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how far a stocktake is, place by place."""
    return count_page(request, stocktake_or_404(pk))


def count_page(request: HttpRequest, stocktake: Stocktake, *, problem: str = "") -> HttpResponse:
    """Render a stocktake's page, with what was refused."""
    found = progress(stocktake)
    weighed, lines = sum(one.weighed for one in found), sum(one.lines for one in found)
    prints = Document.objects.filter(kind__in=[SHEET_KIND, RESULT_KIND], subject_id=stocktake.pk)[:3]
    context = {
        "count": stocktake,
        "places": found,
        "weighed": weighed,
        "lines": lines,
        "open": stocktake.open,
        "documents": prints,
        "problem": problem,
        "may_stock": account_of(request).may(Right.CHANGE_STOCK),
    }
    return render_page(request, "materials/count.html", context, status=422 if problem else 200)


@require_POST
@needs(Right.CHANGE_STOCK)
def count_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a stocktake unposted."""
    return _step(request, pk, lambda one: posting.drop(stocktake=one), "It is dropped; the book stays as it is.")


@require_POST
@needs(Right.CHANGE_STOCK)
def count_bring_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a dropped stocktake go on."""
    return _step(request, pk, lambda one: posting.bring_back(stocktake=one), "It goes on, with all its weights.")


@require_POST
@needs(Right.CHANGE_STOCK)
def count_unpost(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a posting."""
    by = account_of(request)
    return _step(
        request, pk, lambda one: posting.unpost(stocktake=one, by=by), "The posting is undone; its weights are here still."
    )


@require_POST
@needs(Right.SEE_STOCK)
def count_sheet_print(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for the sheet that is filled in by hand."""
    return _print(request, pk, SHEET_KIND, "Counting sheet")


@require_POST
@needs(Right.SEE_STOCK)
def count_result_print(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for the result on paper."""
    return _print(request, pk, RESULT_KIND, "Result of the count")


def stocktake_or_404(pk: int) -> Stocktake:
    """Return a stocktake with who started and posted it."""
    found: Stocktake = get_object_or_404(Stocktake.objects.select_related("started_by", "posted_by"), pk=pk)
    return found


def _print(request: HttpRequest, pk: int, kind: str, name: str) -> HttpResponse:
    stocktake = stocktake_or_404(pk)
    request_document(kind=kind, subject_id=pk, title=f"{name}: {stocktake.name}", by=account_of(request))
    return redirect("materials:count_show", pk=pk)


def _step(request: HttpRequest, pk: int, act: Callable[[Stocktake], Any], words: str) -> HttpResponse:
    stocktake = stocktake_or_404(pk)
    try:
        act(stocktake)
    except MaterialsError as refused:
        return count_page(request, stocktake_or_404(pk), problem=said(refused))
    messages.success(request, words)
    return redirect("materials:count_show", pk=pk)
