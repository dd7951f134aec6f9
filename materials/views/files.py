"""Tables in and out: the page that offers both, and what is taken out."""

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from materials.documents import BOOK_KIND, BOOK_WITH_MONEY_KIND
from materials.models import ImportRun
from materials.tables.csv_files import csv_headers, csv_pieces
from materials.tables.leaving import tables
from materials.tables.templates import template_csv
from studio.access import Right, account_of, needs
from studio.documents.outbox import request_document
from studio.models import Document
from studio.web.htmx import render_page

SHOWN = 12


@require_safe
@needs(Right.SEE_STOCK)
def files_show(request: HttpRequest) -> HttpResponse:
    """Offer the tables that can be taken out, and show those that were read in."""
    account = account_of(request)
    kinds = [BOOK_KIND, BOOK_WITH_MONEY_KIND] if account.may(Right.SEE_MONEY) else [BOOK_KIND]
    context = {
        "tables": tables().values(),
        "runs": ImportRun.objects.defer("rows", "problems").select_related("read_by")[:SHOWN],
        "kinds": ImportRun.Kind.choices,
        "documents": Document.objects.filter(kind__in=kinds)[:3],
        "may_stock": account.may(Right.CHANGE_STOCK),
        "sees_money": account.may(Right.SEE_MONEY),
    }
    return render_page(request, "materials/files.html", context)


@require_safe
@needs(Right.SEE_STOCK)
def files_csv(request: HttpRequest, table: str) -> HttpResponseBase:
    """Send one table as CSV while it is read."""
    wanted = tables().get(table)
    if wanted is None:
        raise Http404("There is no such table.")
    pieces = csv_pieces(wanted, sees_money=account_of(request).may(Right.SEE_MONEY))
    return StreamingHttpResponse(pieces, headers=csv_headers(f"{table}-{timezone.localdate().isoformat()}"))


@require_POST
@needs(Right.SEE_STOCK)
def files_book(request: HttpRequest) -> HttpResponse:
    """Ask for everything as one XLSX file."""
    account = account_of(request)
    kind = BOOK_WITH_MONEY_KIND if account.may(Right.SEE_MONEY) else BOOK_KIND
    request_document(kind=kind, subject_id=0, title="All tables of the stock", by=account)
    return redirect("materials:files_show")


@require_safe
@needs(Right.SEE_STOCK)
def files_template(request: HttpRequest, kind: str) -> HttpResponse:
    """Send a file to fill in."""
    if kind not in ImportRun.Kind.values:
        raise Http404("There is no such table.")
    content = template_csv(kind, sees_money=account_of(request).may(Right.SEE_MONEY))
    return HttpResponse(content, headers=csv_headers(f"{kind}-to-fill-in"))
