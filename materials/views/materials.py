"""Materials: the list, one material, adding and changing it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from materials.errors import MaterialsError
from materials.forms.material import MaterialForm
from materials.forms.values import ValueForms
from materials.models import Material
from materials.properties import MaterialKind
from materials.services import materials as services
from materials.services.catalogue import load_starter_catalogue
from materials.views.material_page import material_context, ratios_contradict
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.context import current_profile
from studio.web.htmx import render_page

BASICS = (
    "name", "chemistry", "mix_basis", "family", "sheet_revised_on", "low_below_g", "lead_days", "lead_spread_days", "note",
)  # fmt: skip


@require_safe
@needs(Right.SEE_STOCK)
def materials_list(request: HttpRequest) -> HttpResponse:
    """List the materials, in use or retired, of one kind or of all."""
    rights = account_of(request).rights()
    kind = request.GET.get("kind", "")
    kind = kind if kind in set(MaterialKind) else ""
    retired = request.GET.get("use") == "retired"
    found = Material.objects.filter(active=not retired).in_bench_order().with_balances(timezone.localdate())
    if kind:
        found = found.of_kind(MaterialKind(kind))
    context = {
        "materials": found,
        "kinds": [(item.value, item.label) for item in MaterialKind],
        "kind": kind,
        "retired": retired,
        "sees_money": Right.SEE_MONEY in rights,
        "any_materials": bool(kind or retired) and Material.objects.exists(),
        "may_materials": Right.CHANGE_MATERIALS in rights,
    }
    return render_page(request, "materials/materials.html", context, partial="materials-found")


@require_safe
@needs(Right.SEE_STOCK)
def material_show(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what is known of a material, what is on the shelf of it, and its day book."""
    material = get_object_or_404(Material.objects.with_balances(timezone.localdate()), pk=pk)
    context = material_context(material, rights=account_of(request).rights(), asked=request.GET)
    return render_page(request, "materials/material.html", context)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_MATERIALS)
def material_add(request: HttpRequest) -> HttpResponse:
    """Add a material; its values come on the next page."""
    form = MaterialForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            material = services.save_material(material=None, **form.cleaned_data)
        except MaterialsError as refused:
            form.add_error("name", said(refused))
        else:
            messages.success(request, f"{material.name} is added. Put in the values that you know; each opens when you press it.")
            return redirect("materials:material_change", pk=material.pk)
    status = 422 if request.method == "POST" else 200
    return render_page(request, "materials/material_form.html", {"form": form, "material": None}, status=status)


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_MATERIALS)
def material_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a material and its values in one form."""
    material = get_object_or_404(Material.objects.prefetch_related("properties"), pk=pk)
    data = request.POST if request.method == "POST" else None
    form = MaterialForm(data, material=material, initial={name: getattr(material, name) for name in BASICS})
    values = ValueForms(material=material, profile=current_profile(), data=data)
    if data is not None and form.is_valid() & values.is_valid():
        contradiction = ratios_contradict(material, form.cleaned_data.get("mix_basis"), values)
        if contradiction and not data.get("ratios_checked"):
            context = {"form": form, "material": material, "values": values, "contradiction": contradiction}
            return render_page(request, "materials/material_form.html", context, status=422)
        try:
            services.save_material(material=material, values=values.typed(), **form.cleaned_data)
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, f"{material.name} is saved.")
            return redirect("materials:material_show", pk=pk)
    context = {"form": form, "material": material, "values": values}
    return render_page(request, "materials/material_form.html", context, status=422 if data is not None else 200)


@require_POST
@needs(Right.CHANGE_MATERIALS)
def material_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a material out of new plans."""
    material = get_object_or_404(Material, pk=pk)
    services.retire_material(material=material)
    messages.success(request, f"{material.name} is retired: new plans no longer offer it. Its lots and lines stay.")
    return redirect("materials:material_show", pk=pk)


@require_POST
@needs(Right.CHANGE_MATERIALS)
def material_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a retired material be chosen again."""
    material = get_object_or_404(Material, pk=pk)
    services.bring_material_back(material=material)
    messages.success(request, f"{material.name} is in use again.")
    return redirect("materials:material_show", pk=pk)


@require_POST
@needs(Right.CHANGE_MATERIALS)
def catalogue_load(request: HttpRequest) -> HttpResponse:
    """Add the generic materials that the studio does not have."""
    loaded = load_starter_catalogue(by=account_of(request))
    kept = f" {len(loaded.left_alone)} that you had already were left as they are." if loaded.left_alone else ""
    messages.success(
        request,
        f"{len(loaded.added)} generic materials are added.{kept} Their values are usual ones, each with its source: "
        "put in those of the sheets that came with what you buy, and the prices you pay.",
    )
    return redirect("materials:materials_list")
