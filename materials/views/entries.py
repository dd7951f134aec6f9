"""Entries in the ledger from a lot's or a bin's page: use, put back, count, throw away, fill, undo."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST

from materials import ledger
from materials.errors import MaterialsError
from materials.forms.entries import CountForm, DiscardForm, EntryForm, FillForm, ReleaseForm, ReturnForm, UndoForm, UseForm
from materials.models import Lot, Movement, ScrapBin
from materials.templatetags.stock import exact_mass
from materials.views.daybook import may_undo
from materials.views.lots import lot_or_404, lot_page
from materials.views.said import said
from materials.views.scrap import bin_page
from studio.access import Right, account_of, needs
from studio.web.context import current_profile
from studio.web.htmx import render_page

Kept = Lot | ScrapBin
Act = Callable[..., Movement | None]


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Use some of a lot."""
    return _enter(request, lot_or_404(pk), "use", UseForm, ledger.issue, "{} is used.")


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Put back what was not used."""
    return _enter(request, lot_or_404(pk), "return", ReturnForm, ledger.return_, "{} is back on the shelf.")


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_count(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a lot's balance by what the scale says."""
    return _enter(request, lot_or_404(pk), "count", CountForm, ledger.adjust_by_count, "The balance is corrected by {}.")


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw some of a lot away."""
    return _enter(request, lot_or_404(pk), "discard", DiscardForm, ledger.discard, "{} is written off.")


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_release(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a promise of a lot to a job."""
    return _enter(request, lot_or_404(pk), "release", ReleaseForm, ledger.release, "The promise is taken back.")


@require_POST
@needs(Right.CHANGE_STOCK)
def scrap_release(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a promise of a bin to a job."""
    return _enter(request, _bin(pk), "release", ReleaseForm, ledger.release, "The promise is taken back.")


@require_POST
@needs(Right.CHANGE_STOCK)
def scrap_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Use some of a bin."""
    return _enter(request, _bin(pk), "use", UseForm, ledger.issue, "{} is used.")


@require_POST
@needs(Right.CHANGE_STOCK)
def scrap_fill(request: HttpRequest, pk: int) -> HttpResponse:
    """Put more scrap into a bin."""
    return _enter(request, _bin(pk), "fill", FillForm, ledger.receive, "{} is put in.")


@require_POST
@needs(Right.CHANGE_STOCK)
def scrap_count(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a bin's balance by what the scale says."""
    return _enter(request, _bin(pk), "count", CountForm, ledger.adjust_by_count, "The balance is corrected by {}.")


@require_POST
@needs(Right.CHANGE_STOCK)
def scrap_discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw some of a bin away."""
    return _enter(request, _bin(pk), "discard", DiscardForm, ledger.discard, "{} is written off.")


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def line_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a line of the day book by its opposite."""
    lines = Movement.objects.select_related("lot__material", "scrap_bin", "by", "reversed_by")
    movement: Movement = get_object_or_404(lines, pk=pk)
    # One line is undone once, so its key is its own.
    form = UndoForm(request.POST or None, initial={"key": f"undo-line-{movement.pk}"})
    if request.method == "POST" and form.is_valid():
        try:
            ledger.reverse(movement=movement, by=account_of(request), **form.entry())
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, "The line is undone; both lines stay in the day book.")
            return _back_to(movement.lot or movement.scrap_bin)
    context = {"form": form, "movement": movement, "kept": movement.lot or movement.scrap_bin, "may_undo": may_undo(movement)}
    return render_page(request, "materials/undo.html", context, status=422 if request.method == "POST" else 200)


def _enter(request: HttpRequest, kept: Kept, name: str, form_class: type[EntryForm], act: Act, words: str) -> HttpResponse:
    """Read the form, write the line, and go back to the page; a refusal keeps what was typed."""
    form = form_class(request.POST, prefix=name)
    line: Movement | None = None
    if form.is_valid():
        masses: dict[str, Any] = {key: value for key, value in form.cleaned_data.items() if key not in {"key", "why"}}
        try:
            line = act(of=kept, by=account_of(request), **masses, **form.entry())
        except MaterialsError as refused:
            form.add_error(None, said(refused))
    if form.errors:
        kept.refresh_from_db()
        return (
            lot_page(request, kept, refused={name: form})
            if isinstance(kept, Lot)
            else bin_page(request, kept, refused={name: form})
        )
    moved = exact_mass(abs(line.mass_g) if line and name != "count" else line.mass_g if line else Decimal(0), current_profile())
    messages.success(request, words.format(moved) if line else "The count agrees with the book; nothing was written.")
    return _back_to(kept)


def _back_to(kept: Kept | None) -> HttpResponse:
    if isinstance(kept, ScrapBin):
        return redirect("materials:scrap_show", pk=kept.pk)
    return redirect("materials:lot_show", pk=kept.pk) if kept else redirect("materials:stock_show")


def _bin(pk: int) -> ScrapBin:
    scrap_bin: ScrapBin = get_object_or_404(ScrapBin, pk=pk)
    return scrap_bin
