"""Reading a table in: sending it, looking at what was understood, keeping it, and the way back."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from materials.errors import MaterialsError
from materials.models import ImportRun
from materials.tables import coming
from materials.tables.asking import KeepForm, UploadForm
from materials.tables.fields import InColumn, columns_in
from materials.tables.limits import MOST_COLUMNS, MOST_FILE_BYTES, MOST_ROWS
from materials.tables.reading import TOO_LARGE
from materials.tables.understanding import Row, total_g, understand
from materials.templatetags.stock import exact_mass
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.context import current_profile
from studio.web.fields import TypedField
from studio.web.htmx import render_page
from studio.web.uploading import BoundedUploadHandler

FORM_BYTES = 100_000
ROWS_A_PAGE = 50
SHOWN_PROBLEMS = 200


@csrf_exempt
@needs(Right.CHANGE_STOCK)
@require_http_methods(["GET", "HEAD", "POST"])
def import_add(request: HttpRequest) -> HttpResponse:
    """Take in a file; the token against forged requests is checked after the size limit stands."""
    if request.method == "POST":
        announced = request.META.get("CONTENT_LENGTH", "0")
        if announced.isdecimal() and int(announced) > MOST_FILE_BYTES + FORM_BYTES:
            return _upload_page(request, UploadForm(), too_large=True)
        # Handlers must be set before anything reads the request's body, which checking the token does.
        request.upload_handlers = [BoundedUploadHandler(request, most_bytes=MOST_FILE_BYTES)]
    return _import_add(request)


@csrf_protect
def _import_add(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        kind = request.GET.get("kind", "")
        return _upload_page(request, UploadForm(initial={"kind": kind if kind in ImportRun.Kind.values else "lots"}))
    form = UploadForm(request.POST, request.FILES)
    if any(getattr(handler, "too_large", False) for handler in request.upload_handlers):
        return _upload_page(request, form, too_large=True)
    account = account_of(request)
    if form.is_valid():
        kind = form.cleaned_data["kind"]
        if kind == ImportRun.Kind.MATERIALS and not account.may(Right.CHANGE_MATERIALS):
            form.add_error("kind", f"Your role in this studio does not let you {Right.CHANGE_MATERIALS.value}.")
    if form.is_valid():
        file = form.cleaned_data["file"]
        try:
            run = coming.read_in(
                kind=kind, file_name=file.name, content=file.read(), by=account, sees_money=account.may(Right.SEE_MONEY)
            )
        except MaterialsError as refused:
            form.add_error("file", said(refused))
        else:
            return redirect("materials:import_show", pk=run.pk)
    return _upload_page(request, form, status=422)


def _upload_page(request: HttpRequest, form: UploadForm, *, too_large: bool = False, status: int = 200) -> HttpResponse:
    sees_money = account_of(request).may(Right.SEE_MONEY)
    context = {
        "form": form,
        "too_large": TOO_LARGE if too_large else "",
        "kinds": [
            (label, [column for column in columns_in(kind) if sees_money or not column.money], kind)
            for kind, label in ImportRun.Kind.choices
        ],
        "most_mb": MOST_FILE_BYTES // 1_000_000,
        "most_rows": MOST_ROWS,
        "most_columns": MOST_COLUMNS,
    }
    return render_page(request, "materials/import_add.html", context, status=413 if too_large else status)


@require_safe
@needs(Right.CHANGE_STOCK)
def import_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show every row as it was understood, and what is wrong."""
    run = _run(request, pk)
    return _page(request, run, KeepForm(kept_before=coming.kept_before(run) is not None))


@require_POST
@needs(Right.CHANGE_STOCK)
def import_keep(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep all rows that are not left out, or none."""
    run, account = _run(request, pk), account_of(request)
    form = KeepForm(request.POST, kept_before=coming.kept_before(run) is not None)
    if form.is_valid():
        leave = form.cleaned_data["leave"]
        if "without_wrong" in request.POST:
            leave |= {problem["row"] for problem in run.problems}
        try:
            rows = coming.keep(run=run, leave=leave, by=account, sees_money=account.may(Right.SEE_MONEY))
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, f"{rows} row{'' if rows == 1 else 's'} kept.")
            return redirect("materials:import_show", pk=pk)
    return _page(request, run, form, status=422)


@require_POST
@needs(Right.CHANGE_STOCK)
def import_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep nothing of a table."""
    return _step(request, pk, lambda run: coming.drop(run=run), "Nothing of it is kept.")


@require_POST
@needs(Right.CHANGE_STOCK)
def import_take_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Look at a dropped table again."""
    return _step(request, pk, lambda run: coming.take_up(run=run), "Here it is again, with all its rows.")


@require_POST
@needs(Right.CHANGE_STOCK)
def import_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back all that came of a table."""
    by = account_of(request)
    return _step(
        request, pk, lambda run: coming.undo(run=run, by=by), "It is undone: nothing of this table is left on the shelf."
    )


def _step(request: HttpRequest, pk: int, act: Callable[[ImportRun], Any], words: str) -> HttpResponse:
    run = _run(request, pk)
    try:
        act(run)
    except MaterialsError as refused:
        form = KeepForm({}, kept_before=False)
        form.add_error(None, said(refused))
        return _page(request, _run(request, pk), form, status=422)
    messages.success(request, words)
    return redirect("materials:import_show", pk=pk)


def _run(request: HttpRequest, pk: int) -> ImportRun:
    """Return a run that this person may look at: prices and costs of a table are for those who see money."""
    runs = ImportRun.objects.select_related("read_by")
    account = account_of(request)
    if not account.may(Right.SEE_MONEY):
        runs = runs.filter(read_by=account)
    if not account.may(Right.CHANGE_MATERIALS):
        runs = runs.exclude(kind=ImportRun.Kind.MATERIALS)
    found: ImportRun = get_object_or_404(runs, pk=pk)
    return found


def _page(request: HttpRequest, run: ImportRun, form: KeepForm, *, status: int = 200) -> HttpResponse:
    understood = understand(run.kind, coming.table_of(run), sees_money=account_of(request).may(Right.SEE_MONEY))
    page = Paginator(understood.rows, ROWS_A_PAGE).get_page(request.GET.get("page", "1"))
    problems = coming.problems_of(understood) if run.kept_at is None else []
    context = {
        "run": run,
        "form": form,
        "columns": understood.columns,
        "page": page,
        "rows": [(row, [_shown(row, column) for column in understood.columns]) for row in page],
        "problems": problems[:SHOWN_PROBLEMS],
        "more_problems": max(0, len(problems) - SHOWN_PROBLEMS),
        "headings_wrong": bool(understood.problems),
        "wrong": len(understood.wrong),
        "right": len(understood.rows) - len(understood.wrong),
        "total_g": total_g([row for row in understood.rows if not row.problems]),
        "before": coming.kept_before(run) if run.kept_at is None else None,
        "open": run.open,
        "undone": run.dropped_at is not None and "made" in run.rows,
    }
    return render_page(request, "materials/import.html", context, status=status)


def _shown(row: Row, column: InColumn) -> tuple[str, str, bool]:
    """Write the heading of a cell, what it was understood as, and whether it is wrong."""
    wrong = any(heading == column.heading for heading, _says in row.problems)
    return column.heading, _words(row.values.get(column.key), column), wrong


def _words(value: Any, column: InColumn) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if column.key in {"mass_g", "mass_b_g"}:
        return str(exact_mass(value, current_profile()))
    if isinstance(column.field, TypedField):
        return column.field.spoken(value)
    words: dict[Any, str] = getattr(column.field, "words", {})
    return words.get(value, str(value))
