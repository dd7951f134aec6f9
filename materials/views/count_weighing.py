"""Weighing at the shelf: one thing at a time, the next one by the order of places or by its label."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from materials.codes import read_code
from materials.counting.lines import code_of, kept_of, line_of, next_line, thing_of, with_things
from materials.counting.weighing import add_found, forget_weight, weigh
from materials.errors import MaterialsError
from materials.forms.counts import CodeForm, WeightForm
from materials.models import Stocktake, StocktakeLine
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page

IN_SESSION = "counting"


def remember_counting(request: HttpRequest, stocktake: Stocktake) -> None:
    """Let codes that this person scans open the line of the stocktake at hand."""
    request.session[IN_SESSION] = stocktake.pk


@require_safe
@needs(Right.CHANGE_STOCK)
def count_weigh(request: HttpRequest, pk: int) -> HttpResponse:
    """Go to the next thing to weigh: of a place, behind another, or the one whose label was scanned."""
    stocktake = get_object_or_404(Stocktake, pk=pk)
    if "code" in request.GET:
        return _scanned(request, stocktake, request.GET["code"])
    place = request.GET.get("place")
    after = request.GET.get("after", "")
    found = next_line(stocktake, place=place, after=int(after) if after.isdecimal() and len(after) < 16 else None)
    if found is None and place is not None:
        messages.success(request, f"All of {place or 'what stands nowhere'} is weighed.")
    if found is None:
        return redirect("materials:count_show", pk=pk)
    return redirect(_line_address(pk, found, place))


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def count_line(request: HttpRequest, pk: int, line_pk: int) -> HttpResponse:
    """Show one thing and take what the scale says of it."""
    lines = with_things(StocktakeLine.objects.filter(stocktake_id=pk)).select_related("stocktake")
    line: StocktakeLine = get_object_or_404(lines, pk=line_pk)
    seen = line.counted_at.isoformat() if line.counted_at else ""
    place = request.GET.get("place")
    form = WeightForm(request.POST or None, initial={"scale_g": line.counted_g, "why": line.why, "seen": seen})
    if request.method == "POST" and form.is_valid():
        try:
            weigh(
                line=line,
                counted_g=form.counted_g(),
                why=form.cleaned_data["why"],
                by=account_of(request),
                seen_at=form.cleaned_data["seen"],
            )
        except MaterialsError as refused:
            form.add_error(None, said(refused))
            # Keeping it after having read what the other wrote is a decision: the next sending goes through.
            fresh = lines.get(pk=line_pk)
            data = request.POST.copy()
            data["seen"] = fresh.counted_at.isoformat() if fresh.counted_at else ""
            form.data = data
        else:
            remember_counting(request, line.stocktake)
            return redirect(_next_address(line, place))
    return _line_page(request, line, form, place)


def _line_page(request: HttpRequest, line: StocktakeLine, form: WeightForm, place: str | None) -> HttpResponse:
    stocktake, kept = line.stocktake, kept_of(line)
    tally = stocktake.lines.all()
    context = {
        "count": stocktake,
        "line": line,
        "kept": kept,
        "code": code_of(kept),
        "form": form,
        "weighed": tally.filter(counted_g__isnull=False).count(),
        "lines": tally.count(),
        "open": stocktake.open,
        "skip": _next_address(line, place),
    }
    return render_page(request, "materials/count_line.html", context, status=422 if request.method == "POST" else 200)


@require_POST
@needs(Right.CHANGE_STOCK)
def count_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add something that stands here and was not on the list."""
    stocktake = get_object_or_404(Stocktake, pk=pk)
    code = read_code(request.POST.get("code", ""))
    kept = thing_of(code) if code else None
    if code is None or kept is None:
        return _scanned(request, stocktake, request.POST.get("code", ""))
    try:
        line = add_found(stocktake=stocktake, kept=kept)
    except MaterialsError as refused:
        return _code_page(request, stocktake, request.POST["code"], said(refused))
    return redirect(_line_address(pk, line.pk, None))


@require_POST
@needs(Right.CHANGE_STOCK)
def count_forget(request: HttpRequest, pk: int, line_pk: int) -> HttpResponse:
    """Take a weight back."""
    line: StocktakeLine = get_object_or_404(StocktakeLine.objects.select_related("stocktake"), stocktake_id=pk, pk=line_pk)
    try:
        forget_weight(line=line)
    except MaterialsError as refused:
        messages.error(request, said(refused))
    else:
        messages.success(request, "The weight is taken back; it is to be weighed again.")
    return redirect(_line_address(pk, line_pk, None))


def _scanned(request: HttpRequest, stocktake: Stocktake, text: str) -> HttpResponse:
    """Go to what a label names, offer to add it where it is not on the list, or say that the code is not one."""
    code = read_code(text)
    if code is None:
        sentence = "This is not a code of this studio. A code is a letter and a number, say L12, or the address on the label."
        return _code_page(request, stocktake, text, sentence)
    line = line_of(stocktake, code)
    if line is not None:
        return redirect(_line_address(stocktake.pk, line.pk, None))
    kept = thing_of(code)
    if kept is None:
        return _code_page(
            request, stocktake, text, f"Nothing that is weighed bears the code {code.said}. Look at the label again."
        )
    where = f" by the book it stands at {kept.place}" if kept.place else " by the book it stands nowhere"
    sentence = f"{kept} is not on this list:{where}, with nothing else known of it here. If it stands before you, add it."
    return _code_page(request, stocktake, text, sentence, may_add=True)


def _code_page(request: HttpRequest, stocktake: Stocktake, text: str, problem: str, *, may_add: bool = False) -> HttpResponse:
    form = CodeForm({"code": text[:400]})
    context = {"count": stocktake, "form": form, "problem": problem, "may_add": may_add, "code": text[:400]}
    return render_page(request, "materials/count_code.html", context, status=422)


def _line_address(pk: int, line_pk: int, place: str | None) -> str:
    address = reverse("materials:count_line", args=[pk, line_pk])
    return address if place is None else f"{address}?{urlencode({'place': place})}"


def _next_address(line: StocktakeLine, place: str | None) -> str:
    query = {"after": line.pk} | ({"place": place} if place is not None else {})
    return f"{reverse('materials:count_weigh', args=[line.stocktake_id])}?{urlencode(query)}"
