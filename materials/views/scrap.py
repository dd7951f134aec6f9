"""Scrap bins: the list, one bin, adding and changing it."""

import datetime
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from materials import ledger
from materials.errors import MaterialsError
from materials.forms.entries import CountForm, DiscardForm, FillForm, ReleaseForm, UseForm
from materials.forms.scrap import NewBinForm, ScrapBinForm
from materials.forms.scrap_work import WorkedForm
from materials.models import Material, Movement, ScrapBin
from materials.models.scrap import USUAL_DENSITY_KG_M3
from materials.services.scrap import save_bin, verdict_on
from materials.services.scrap_work import own_minutes, sessions_that_count
from materials.services.scrap_worth import bin_worth, bin_worths, terms_now, total_worth
from materials.views.daybook import balanced_lines, book_page
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.context import current_profile
from studio.web.forms import PaperForm
from studio.web.htmx import render_page

MOST_SESSIONS = 20
# Kept with whoever is signed in: what a session said that was taken out, and what plans used before own minutes.
AGAIN, BEFORE = "scrap_session_again", "scrap_minutes_before"
FACTS = (
    "label", "chemistry", "family", "chunk_edge_mm", "hardness_shore_a", "density_kg_m3", "colour", "washed", "origin",
    "kept_since_on", "place",
)  # fmt: skip


@require_safe
@needs(Right.SEE_STOCK)
def scrap_list(request: HttpRequest) -> HttpResponse:
    """List the bins."""
    return list_page(request)


def list_page(request: HttpRequest, *, problem: str = "", status: int = 200) -> HttpResponse:
    """Render the bins with what they are worth, and the studio's own minutes."""
    rights = account_of(request).rights()
    worths = bin_worths(ScrapBin.objects.all(), terms_now(current_profile()))
    context = {
        "worths": worths,
        "total": total_worth(worths),
        "minutes": own_minutes(),
        "taken": taken_by_me(request),
        "problem": problem,
        "may_stock": Right.CHANGE_STOCK in rights,
        "may_studio": Right.CHANGE_STUDIO in rights,
        "sees_money": Right.SEE_MONEY in rights,
    }
    return render_page(request, "materials/scrap.html", context, status=status)


def taken_by_me(request: HttpRequest) -> set[str]:
    """Return the kinds of work whose own minutes whoever asks took over and can put back."""
    return set(request.session.get(BEFORE, {}))


@require_safe
@needs(Right.SEE_STOCK)
def scrap_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a bin, which rubbers it goes with, and its day book."""
    return bin_page(request, get_object_or_404(ScrapBin, pk=pk))


def bin_page(request: HttpRequest, scrap_bin: ScrapBin, *, refused: dict[str, PaperForm] | None = None) -> HttpResponse:
    """Render the bin's page; a refused form stays open with what was typed."""
    account = account_of(request)
    may_stock = account.may(Right.CHANGE_STOCK)
    page = book_page(Movement.objects.filter(scrap_bin=scrap_bin).for_day_book(), request.GET)
    forms: dict[str, PaperForm] = {
        "use": UseForm(prefix="use"),
        "fill": FillForm(prefix="fill"),
        "count": CountForm(prefix="count"),
        "discard": DiscardForm(prefix="discard"),
        "release": ReleaseForm(prefix="release"),
        "worked": WorkedForm(prefix="worked", initial=_worked_initial(request, scrap_bin)),
    }
    context = {
        "bin": scrap_bin,
        "worth": bin_worth(scrap_bin, terms_now(current_profile())),
        "sessions": sessions_that_count().filter(scrap_bin=scrap_bin).select_related("person", "movement")[:MOST_SESSIONS],
        "sees_money": account.may(Right.SEE_MONEY),
        "verdicts": _verdicts(scrap_bin),
        "promises": Movement.objects.filter(scrap_bin=scrap_bin).promises() if scrap_bin.reserved_g else (),
        "page": page,
        "lines": balanced_lines(page, may_stock=may_stock),
        "forms": forms | (refused or {}) if may_stock else {},
        "open": next(iter(refused or {}), "worked" if _again(request, scrap_bin) else ""),
        "may_stock": may_stock,
    }
    return render_page(request, "materials/scrap_bin.html", context, status=422 if refused else 200)


def _again(request: HttpRequest, scrap_bin: ScrapBin) -> dict[str, str]:
    """Return what a session said that was just taken out of this bin."""
    kept: dict[str, Any] = request.session.get(AGAIN, {})
    return {name: value for name, value in kept.items() if name != "bin"} if kept.get("bin") == scrap_bin.pk else {}


def _worked_initial(request: HttpRequest, scrap_bin: ScrapBin) -> dict[str, Any]:
    again = _again(request, scrap_bin)
    if again:
        numbers = {name: Decimal(again[name]) for name in ("mass_g", "minutes")}
        return {**again, **numbers, "on": datetime.date.fromisoformat(again["on"])}
    return {"on": timezone.localdate(), "person": getattr(account_of(request), "person", None)}


def _verdicts(scrap_bin: ScrapBin) -> list[tuple[Material, Any]]:
    """Judge the bin against every rubber in use."""
    return [(rubber, verdict_on(scrap_bin, rubber)) for rubber in Material.objects.rubbers()]


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def scrap_add(request: HttpRequest) -> HttpResponse:
    """Add a bin with what is in it."""
    initial = {"kept_since_on": timezone.localdate(), "density_kg_m3": USUAL_DENSITY_KG_M3}
    form = NewBinForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        facts = {name: form.cleaned_data[name] for name in FACTS}
        try:
            with transaction.atomic():
                saved = save_bin(scrap_bin=None, **facts)
                if form.cleaned_data["mass_g"]:
                    why = saved.origin or "first weighing"
                    ledger.receive(
                        of=saved,
                        mass_g=form.cleaned_data["mass_g"],
                        key=form.cleaned_data["key"],
                        by=account_of(request),
                        why=why,
                    )
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, f"The bin “{saved.label}” is added.")
            return redirect("materials:scrap_show", pk=saved.pk)
    context = {"form": form, "bin": None}
    return render_page(request, "materials/scrap_form.html", context, status=422 if request.method == "POST" else 200)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def scrap_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is written on a bin."""
    scrap_bin: ScrapBin = get_object_or_404(ScrapBin, pk=pk)
    form = ScrapBinForm(request.POST or None, initial={name: getattr(scrap_bin, name) for name in FACTS})
    if request.method == "POST" and form.is_valid():
        try:
            save_bin(scrap_bin=scrap_bin, **form.cleaned_data)
        except MaterialsError as refused:
            form.add_error("label", said(refused))
        else:
            messages.success(request, "It is saved.")
            return redirect("materials:scrap_show", pk=pk)
    context = {"form": form, "bin": scrap_bin}
    return render_page(request, "materials/scrap_form.html", context, status=422 if request.method == "POST" else 200)
