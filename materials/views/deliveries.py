"""Receiving a delivery: first which material, then what came of it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from materials.errors import MaterialsError
from materials.forms.deliveries import DeliveryForm
from materials.models import ExpectedDelivery, Lot, Material, MaterialProperty, Pack
from materials.services.deliveries import receive_delivery
from materials.services.expected import receive_expected
from materials.views.expected import packs_in
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page


@require_safe
@needs(Right.CHANGE_STOCK)
def delivery_choose(request: HttpRequest) -> HttpResponse:
    """Ask of which material something came."""
    material = request.GET.get("material", "")
    if material.isdecimal() and len(material) < 16:
        return redirect("materials:delivery_receive", pk=int(material))
    found = Material.objects.in_use().weighed().in_bench_order()
    may_add = account_of(request).may(Right.CHANGE_MATERIALS)
    return render_page(request, "materials/delivery_choose.html", {"materials": found, "may_add": may_add})


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def delivery_receive(request: HttpRequest, pk: int) -> HttpResponse:
    """Put what came of one material on the shelf."""
    account = account_of(request)
    material = get_object_or_404(Material.objects.weighed(), pk=pk)
    shelf_life = MaterialProperty.objects.filter(material=material, key="shelf_life_months").first()
    awaited = _awaited(request, material)
    form = DeliveryForm(
        request.POST or None,
        material=material,
        shelf_life_months=shelf_life.value if shelf_life else None,
        sees_money=account.may(Right.SEE_MONEY),
        awaited=awaited is not None,
        initial={**_usual(material), **(_as_expected(awaited) if awaited else {})},
    )
    if request.method == "POST" and form.is_valid():
        try:
            if awaited is None:
                lots = receive_delivery(delivery=form.delivery(), key=form.cleaned_data["key"], by=account)
            else:
                lots = receive_expected(
                    expected_id=awaited.pk, delivery=form.delivery(), key=form.cleaned_data["key"],
                    rest_comes=form.cleaned_data["rest_comes"], by=account,
                )  # fmt: skip
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            _tell(request, lots)
            return redirect("materials:lot_show", pk=lots[0].pk)
    context = {"form": form, "material": material, "awaited": awaited}
    return render_page(request, "materials/delivery.html", context, status=422 if request.method == "POST" else 200)


def _awaited(request: HttpRequest, material: Material) -> ExpectedDelivery | None:
    """Return the expected delivery that this one is, as the address or the form names it."""
    named = str(request.POST.get("expected", "") or request.GET.get("expected", ""))
    if not (named.isascii() and named.isdecimal() and len(named) < 16):
        return None
    return ExpectedDelivery.objects.select_related("pack").filter(pk=int(named), material=material).first()


def _as_expected(awaited: ExpectedDelivery) -> dict[str, Any]:
    """Return what was expected, as the form shows it."""
    packs = packs_in(awaited)
    return {
        "expected": awaited.pk,
        "pack": awaited.pack_id if packs else None,
        "packs": packs,
        "mass_g": None if packs else awaited.mass_g,
        "supplier": awaited.supplier,
        "note": awaited.note,
    }


def _usual(material: Material) -> dict[str, Any]:
    """Return what came last time, as far as it comes again."""
    pack = Pack.objects.filter(material=material, mass_g__isnull=False).first()
    last = Lot.objects.filter(material=material).order_by("-pk").first()
    supplier = (pack.supplier if pack else "") or (last.supplier if last else "")
    return {
        "received_on": timezone.localdate(),
        "pack": pack.pk if pack else None,
        "packs": 1 if pack else None,
        "supplier": supplier,
        "place": last.place if last else "",
    }


def _tell(request: HttpRequest, lots: list[Lot]) -> None:
    lot = lots[0]
    lot.refresh_from_db()
    until = f" Good until {lot.expires_on:%d %b %Y}." if lot.expires_on else ""
    pair = f" A and B are kept as two lots that belong together, code {lot.kit_code}." if len(lots) == 2 else ""
    messages.success(request, f"{lot.material.name} is on the shelf.{pair}{until}")
