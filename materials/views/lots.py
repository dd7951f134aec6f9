"""One lot: what is left of it, what happened to it, and what may be done with it."""

from typing import Any

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from materials.forms.entries import CountForm, DiscardForm, ReleaseForm, ReturnForm, UseForm
from materials.forms.lots import GelTestForm, LotForm, MoveForm, OpenForm, SetAsideForm
from materials.models import Lot, Movement
from materials.services import lots as services
from materials.services.gel_tests import gel_test_wanted
from materials.views.cup_memory import is_remembered
from materials.views.daybook import balanced_lines, book_page
from studio.access import Right, account_of, needs
from studio.web.forms import PaperForm
from studio.web.htmx import render_page

FACTS = ("supplier", "supplier_lot", "kit_code", "received_on", "expires_on", "unit_cost_per_kg", "note")

COST_SAID = {
    services.CostCorrected.NOT_WANTED: "It is saved.",
    services.CostCorrected.IN_THE_BOOKS: "It is saved, and the books follow: the delivery is undone and "
    "written anew at this cost.{}",
    services.CostCorrected.LATER_ONLY: "It is saved. Some of it had moved at the old cost, so the worth in the books stays "
    "as it was; if the books are to follow, undo those lines in the day book and correct the cost again.{}",
}


@require_safe
@needs(Right.SEE_STOCK)
def lot_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a lot with its day book and everything that may be done with it."""
    return lot_page(request, lot_or_404(pk))


def lot_or_404(pk: int) -> Lot:
    """Return a lot with its material."""
    lot: Lot = get_object_or_404(Lot.objects.select_related("material"), pk=pk)
    return lot


def lot_page(request: HttpRequest, lot: Lot, *, refused: dict[str, PaperForm] | None = None) -> HttpResponse:
    """Render the lot's page; a refused form stays open with what was typed."""
    rights, today = account_of(request).rights(), timezone.localdate()
    may_stock = Right.CHANGE_STOCK in rights
    page = book_page(Movement.objects.filter(lot=lot).for_day_book(), request.GET)
    pairs = Q(material=lot.material_id, kit_code=lot.kit_code) & ~Q(pk=lot.pk)
    context = {
        "lot": lot,
        "expired": lot.expired_by(today),
        "partners": Lot.objects.filter(pairs).on_shelf() if lot.kit_code else (),
        "promises": Movement.objects.filter(lot=lot).promises() if lot.reserved_g else (),
        "page": page,
        "lines": balanced_lines(page, may_stock=may_stock),
        "forms": _forms(lot, refused or {}) if may_stock else {},
        "open": next(iter(refused or {}), request.GET.get("do", "")),
        "gel_test": gel_test_wanted(lot, today),
        "cup_noted": may_stock and is_remembered(request, lot),
        "sees_money": Right.SEE_MONEY in rights,
        "may_stock": may_stock,
    }
    return render_page(request, "materials/lot.html", context, status=422 if refused else 200)


def _forms(lot: Lot, refused: dict[str, PaperForm]) -> dict[str, PaperForm]:
    forms: dict[str, PaperForm] = {
        "use": UseForm(prefix="use"),
        "return": ReturnForm(prefix="return"),
        "count": CountForm(prefix="count"),
        "discard": DiscardForm(prefix="discard"),
        "release": ReleaseForm(prefix="release"),
        "open": OpenForm(prefix="open", initial={"opened_on": timezone.localdate(), "expires_on": lot.expires_on}),
        "move": MoveForm(prefix="move", initial={"place": lot.place}),
        "aside": SetAsideForm(prefix="aside"),
        "cup": GelTestForm(prefix="cup", initial={"tested_on": timezone.localdate()}),
    }
    return forms | refused


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_open(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that a container was opened."""
    lot, form = lot_or_404(pk), OpenForm(request.POST, prefix="open")
    if not form.is_valid():
        return lot_page(request, lot, refused={"open": form})
    services.open_lot(lot=lot, **form.cleaned_data)
    return _done(request, lot, "It is written down as opened.")


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Note where a lot stands now."""
    lot, form = lot_or_404(pk), MoveForm(request.POST, prefix="move")
    if not form.is_valid():
        return lot_page(request, lot, refused={"move": form})
    services.move_lot(lot=lot, **form.cleaned_data)
    return _done(request, lot, "Its place is written down.")


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_set_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a doubtful lot out of new work."""
    lot, form = lot_or_404(pk), SetAsideForm(request.POST, prefix="aside")
    if not form.is_valid():
        return lot_page(request, lot, refused={"aside": form})
    services.set_lot_aside(lot=lot, **form.cleaned_data)
    return _done(request, lot, "It is set aside and counts no more for new work.")


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a lot that was set aside be used again."""
    lot = lot_or_404(pk)
    services.take_lot_back(lot=lot)
    return _done(request, lot, "It counts for new work again.")


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def lot_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what was written down of a lot."""
    lot = lot_or_404(pk)
    initial: dict[str, Any] = {name: getattr(lot, name) for name in FACTS}
    form = LotForm(request.POST or None, initial=initial, sees_money=account_of(request).may(Right.SEE_MONEY))
    if request.method == "POST" and form.is_valid():
        became = services.change_lot(lot=lot, by=account_of(request), **form.cleaned_data)
        return _done(request, lot, COST_SAID[became].format(_other_parts(lot)))
    context = {"form": form, "lot": lot}
    return render_page(request, "materials/lot_form.html", context, status=422 if request.method == "POST" else 200)


def _other_parts(lot: Lot) -> str:
    """Remind of the other part of a kit, which has a cost of its own."""
    others = Lot.objects.filter(material=lot.material_id, kit_code=lot.kit_code).exclude(pk=lot.pk) if lot.kit_code else None
    return " Its other part keeps the cost that it has; correct that one, too." if others is not None and others.exists() else ""


def _done(request: HttpRequest, lot: Lot, words: str) -> HttpResponse:
    messages.success(request, words)
    return redirect("materials:lot_show", pk=lot.pk)
