"""Taking a mix off the shelf at the bench: what of which lot and why, one press, and undoing it as one."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.forms.boundfield import BoundField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from materials.errors import MaterialsError
from materials.forms.mixes import MixForm, Pairs, UndoMixForm, WeighedForm, pairs_in, pairs_text
from materials.models import Lot, Material, Movement
from materials.services.gel_tests import GelTestWanted, gel_test_wanted
from materials.services.mix_entries import Offered, Wanted, lines_of_mix, offer_mix, take_mix, undo_mix
from materials.views.daybook import may_undo
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page
from studio.web.quantities import own_number

MOST_MATERIALS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A lot on the page: how much of it, why it, whether a test cup is wanted, and the field for its real weight."""

    lot: Lot
    mass_g: Decimal
    why: str
    gel_test: GelTestWanted | None
    field: BoundField


@dataclass(frozen=True, slots=True, kw_only=True)
class Short:
    """What the shelf does not give, in words, and where to mix what it does give."""

    material: Material
    words: str
    most_g: Decimal | None
    address: str


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Right.CHANGE_STOCK)
def material_mix(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer the lots for a mix of a material, and take them."""
    material: Material = get_object_or_404(Material.objects.weighed(), pk=pk)
    data = request.POST if request.method == "POST" else request.GET
    asked = MixForm(data if request.method == "POST" or "mass_g" in data else None)
    wanted = _wanted(material, asked, data.get("with", ""))
    job_number = asked.cleaned_data.get("job_number") if wanted else None
    offers = offer_mix(wanted=wanted, today=timezone.localdate(), job_number=job_number)
    if request.method != "POST":
        lots = [take.lot for offer in offers for take in offer.takes]
        return _page(request, material, asked, offers, WeighedForm(lots=lots), _seen(offers))
    seen = pairs_in(data.get("seen", ""))
    materials = [one.material for one in wanted]
    form = WeighedForm(data, lots=list(Lot.objects.filter(pk__in=[lot for lot, _ in seen], material__in=materials)))
    if wanted and form.is_valid():
        try:
            lines = take_mix(
                takes=form.weighed(seen),
                materials=materials,
                key=form.cleaned_data["key"],
                by=account_of(request),
                job_number=job_number,
                why=asked.cleaned_data["why"],
            )
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, "The mix is off the shelf.")
            return redirect("materials:line_mix", pk=lines[0].pk)
    return _page(request, material, asked, offers, form, seen, status=422)


def _wanted(material: Material, asked: MixForm, also: str) -> list[Wanted]:
    """Return what goes into the mix: the material, and with it what a plan adds to the same cup."""
    if not asked.is_bound or not asked.is_valid():
        return []
    added = [(pk, mass) for pk, mass in pairs_in(also)[:MOST_MATERIALS] if pk != material.pk]
    rows = Material.objects.weighed().in_bulk([pk for pk, _ in added]) if added else {}
    return [
        Wanted(material=material, mass_g=asked.cleaned_data["mass_g"]),
        *(Wanted(material=rows[pk], mass_g=mass) for pk, mass in added if pk in rows),
    ]


def _seen(offers: Sequence[Offered]) -> Pairs:
    return [(take.lot.pk, take.mass_g) for offer in offers for take in offer.takes]


def _page(
    request: HttpRequest,
    material: Material,
    asked: MixForm,
    offers: Sequence[Offered],
    form: WeighedForm,
    seen: Pairs,
    *,
    status: int = 200,
) -> HttpResponse:
    """Show the mix; after a refusal the lots that were seen stay, with what was typed."""
    given = {key: value for key, value in asked.data.items() if key in {"mass_g", "job_number", "why", "with"} and value}
    context = {
        "material": material,
        "asked": asked,
        "also": given.get("with", ""),
        "form": form,
        "rows": _rows(offers, form, seen),
        "seen": pairs_text(seen),
        "short": [_short(offer, material, given) for offer in offers if offer.refused is not None],
        "anew": f"?{urlencode(given)}" if status != 200 else "",
    }
    return render_page(request, "materials/mix.html", context, status=status)


def _rows(offers: Sequence[Offered], form: WeighedForm, seen: Pairs) -> list[Row]:
    takes = {take.lot.pk: take for offer in offers for take in offer.takes}
    missing = [pk for pk, _ in seen if pk not in takes]
    lots = {lot.pk: lot for lot in Lot.objects.filter(pk__in=missing).select_related("material")} if missing else {}
    today, rows = timezone.localdate(), []
    for pk, mass in seen:
        name, take = f"lot_{pk}", takes.get(pk)
        lot = take.lot if take else lots.get(pk)
        if lot is None or name not in form.fields:
            continue
        why = take.why if take else "not offered any more"
        rows.append(Row(lot=lot, mass_g=mass, why=why, gel_test=gel_test_wanted(lot, today), field=form[name]))
    return rows


def _short(offer: Offered, material: Material, given: dict[str, Any]) -> Short:
    assert offer.refused is not None
    most = offer.most_g if offer.wanted.material == material else None
    address = f"?{urlencode(given | {'mass_g': own_number(most, 'g')})}" if most else ""
    return Short(material=offer.wanted.material, words=said(offer.refused), most_g=most, address=address)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Right.CHANGE_STOCK)
def line_mix(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what was taken together with a line of the day book; undo all of it."""
    line: Movement = get_object_or_404(Movement.objects.select_related("lot__material", "scrap_bin", "by", "reversed_by"), pk=pk)
    lines = lines_of_mix(line)
    form = UndoMixForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            undo_mix(line=line, by=account_of(request), why=form.cleaned_data["why"])
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, "The mix is undone; all of it is back on the shelf, and the lines stay in the day book.")
            return redirect("materials:line_mix", pk=pk)
    context = {
        "form": form,
        "line": line,
        "lines": lines,
        "is_use": line.kind == Movement.Kind.ISSUE,
        "may_undo": line.kind == Movement.Kind.ISSUE and any(may_undo(one) for one in lines),
        "whole_g": -sum((one.mass_g for one in lines), Decimal(0)),
        "material": line.lot.material if line.lot else None,
    }
    return render_page(request, "materials/mix_taken.html", context, status=422 if request.method == "POST" else 200)
