"""Packs and prices of a material."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from materials.errors import MaterialsError
from materials.forms.packs import PackForm
from materials.models import Material, Pack
from materials.services import packs
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page

FIELDS = ("label", "mass_g", "pieces", "price", "supplier", "priced_on", "usual")


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_MATERIALS)
def pack_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a pack of a material."""
    material = get_object_or_404(Material, pk=pk)
    first = not material.packs.exists()
    return _edit(request, material, None, {"priced_on": timezone.localdate(), "usual": first})


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_MATERIALS)
def pack_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a pack or its price."""
    pack = get_object_or_404(Pack.objects.select_related("material"), pk=pk)
    return _edit(request, pack.material, pack, {name: getattr(pack, name) for name in FIELDS})


@require_POST
@needs(Right.CHANGE_MATERIALS)
def pack_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a pack off the list."""
    pack = get_object_or_404(Pack.objects.select_related("material"), pk=pk)
    packs.remove_pack(pack=pack)
    messages.success(request, f"The pack “{pack.label}” is taken off. Lots that came in it keep their cost.")
    return redirect("materials:material_show", pk=pack.material_id)


def _edit(request: HttpRequest, material: Material, pack: Pack | None, initial: dict[str, Any]) -> HttpResponse:
    form = PackForm(request.POST or None, material=material, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            saved = packs.save_pack(material=material, pack=pack, by=account_of(request), **form.cleaned_data)
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, f"The pack “{saved.label}” is saved.")
            return redirect("materials:material_show", pk=material.pk)
    context = {"form": form, "material": material, "pack": pack}
    return render_page(request, "materials/pack.html", context, status=422 if request.method == "POST" else 200)
