"""Putting scrap of one bin into another."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods

from materials.errors import MaterialsError
from materials.forms.scrap_moves import PutTogetherForm
from materials.models import ScrapBin
from materials.services.scrap_moves import bins_for, put_together
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Right.CHANGE_STOCK)
def scrap_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Put some or all of a bin into another one of the same rubber."""
    scrap_bin: ScrapBin = get_object_or_404(ScrapBin, pk=pk)
    bins = bins_for(scrap_bin)
    form = PutTogetherForm(request.POST if request.method == "POST" else None, bins=bins)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        target = next(other for other, _ in bins if other.pk == typed["target"])
        try:
            put_together(source=scrap_bin, target=target, mass_g=typed["mass_g"], by=account_of(request), **form.entry())
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            messages.success(request, f"It is in “{target.label}” now. Undo it in the day book below if that was wrong.")
            return redirect("materials:scrap_show", pk=pk)
    context = {"bin": scrap_bin, "bins": bins, "form": form}
    return render_page(request, "materials/scrap_move.html", context, status=422 if request.method == "POST" else 200)
