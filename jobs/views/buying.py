"""The buying list: as a page, a file and a print, and written down as ordered."""

import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from jobs.documents.buying_list import BUYING_KIND, BUYING_WITH_MONEY_KIND, list_context
from jobs.errors import JobsError
from jobs.services.buying import BuyLine, Chosen, buying_list, last_written, take_back, write_down
from materials import ledger
from materials.errors import MaterialsError
from materials.tables.csv_files import csv_file, csv_headers
from studio.access import Right, account_of, needs
from studio.documents.outbox import request_document
from studio.models import Document
from studio.web.htmx import render_page

SHOWN = 3


@require_safe
@needs(Right.SEE_STOCK)
def buying_show(request: HttpRequest) -> HttpResponse:
    """Show what to buy, from whom, by when."""
    return _shown(request)


@require_POST
@needs(Right.CHANGE_STOCK)
def buying_ordered(request: HttpRequest) -> HttpResponse:
    """Write the ticked lines down as ordered."""
    chosen, problem = _chosen(request)
    if not problem:
        try:
            ordered = ledger.patiently(lambda: write_down(chosen=chosen, by=account_of(request)))
        except (JobsError, MaterialsError) as refused:
            problem = str(refused)
        else:
            count = len(ordered)
            messages.success(
                request,
                f"{count} {'delivery is' if count == 1 else 'deliveries are'} expected. "
                "The days take it up when they are planned anew.",
            )
            return redirect("jobs:buying_show")
    return _shown(request, problem=problem, status=422)


@require_POST
@needs(Right.CHANGE_STOCK)
def buying_back(request: HttpRequest) -> HttpResponse:
    """Cancel what was last written down together."""
    pks = [int(pk) for pk in request.POST.getlist("delivery") if pk.isdecimal() and len(pk) < 16]
    try:
        cancelled = take_back(pks=pks)
    except (JobsError, MaterialsError) as refused:
        return _shown(request, problem=str(refused), status=422)
    messages.success(request, f"Cancelled: {cancelled}. The list shows again what is lacking.")
    return redirect("jobs:buying_show")


@require_safe
@needs(Right.SEE_STOCK)
def buying_csv(request: HttpRequest) -> HttpResponse:
    """Send the list as CSV, with prices to those who see money."""
    sees_money = account_of(request).may(Right.SEE_MONEY)
    headings = ["Supplier", "Material", "Pack", "Packs", "Mass, g", "Wanted in all, g", "Left over, g", "Order by"]
    rows = [
        [supplier, line.material.name, *row, *([price] if sees_money else [])]
        for supplier, lines in buying_list()
        for line in lines
        for *row, price in _rows(line)
    ]
    content = csv_file([*headings, *(["Price before tax"] if sees_money else [])], rows)
    return HttpResponse(content, headers=csv_headers(f"buying-{timezone.localdate().isoformat()}"))


@require_POST
@needs(Right.SEE_STOCK)
def buying_print(request: HttpRequest) -> HttpResponse:
    """Ask for the list on paper."""
    account = account_of(request)
    kind = BUYING_WITH_MONEY_KIND if account.may(Right.SEE_MONEY) else BUYING_KIND
    request_document(kind=kind, subject_id=0, title="Buying list", by=account)
    return redirect("jobs:buying_show")


def _rows(line: BuyLine) -> list[list[Any]]:
    wanted = round(line.wanted_g)
    if not line.packs:
        return [["", None, wanted, wanted, None, line.order_by, None]]
    return [
        [one.pack.label, one.count, one.mass_g.normalize(), wanted, round(line.left_g), line.order_by, one.price]
        for one in line.packs
    ]


def _chosen(request: HttpRequest) -> tuple[list[Chosen], str]:
    """Read the ticked lines and the days that were typed for them."""
    chosen = []
    for typed in dict.fromkeys(request.POST.getlist("take")):
        if not (typed.isdecimal() and len(typed) < 16):
            continue
        try:
            due_on = datetime.date.fromisoformat(request.POST.get(f"due-{typed}", ""))
        except ValueError:
            return [], "Choose for each ticked line the day on which it is to arrive. Nothing was written down."
        if not timezone.localdate() <= due_on <= timezone.localdate() + datetime.timedelta(days=730):
            return [], "A delivery arrives today or later, within two years; correct the day. Nothing was written down."
        chosen.append(Chosen(material=int(typed), seen=request.POST.get(f"seen-{typed}", "")[:400], due_on=due_on))
    return chosen, ""


def _shown(request: HttpRequest, *, problem: str = "", status: int = 200) -> HttpResponse:
    account = account_of(request)
    sees_money = account.may(Right.SEE_MONEY)
    kinds = [BUYING_KIND, BUYING_WITH_MONEY_KIND] if sees_money else [BUYING_KIND]
    posted = request.method == "POST"
    groups = buying_list()
    typed = {
        line.material.pk: request.POST.get(f"due-{line.material.pk}", line.due_on.isoformat())
        for _, lines in groups
        for line in lines
    }
    context = {
        **list_context(groups, sees_money=sees_money),
        "typed": typed,
        "ticked": set(request.POST.getlist("take")) if posted else None,
        "problem": problem,
        "written": last_written(),
        "documents": Document.objects.filter(kind__in=kinds)[:SHOWN],
        "may_stock": account.may(Right.CHANGE_STOCK),
        "today": timezone.localdate(),
    }
    return render_page(request, "jobs/buying.html", context, status=status)
