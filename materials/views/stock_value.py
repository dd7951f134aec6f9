"""What the stock is worth: on a chosen day, and how a material's use is costed."""

import datetime

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from materials import ledger
from materials.forms.entries import check_past, day_field
from materials.models import Material
from materials.services.stock_value import first_day, stock_value
from studio.access import Right, account_of, needs
from studio.web.forms import PaperForm
from studio.web.htmx import render_page


class DayForm(PaperForm):
    """The day whose evening is asked about."""

    on = day_field(label="At the end of")

    def clean_on(self) -> datetime.date:
        """Refuse a day that has not come."""
        day: datetime.date = check_past(self.cleaned_data["on"])
        return day


class MethodForm(forms.Form):
    """One of the two ways of costing."""

    method = forms.ChoiceField(choices=Material.CostMethod.choices)


@require_safe
@needs(Right.SEE_MONEY)
def stock_value_show(request: HttpRequest) -> HttpResponse:
    """Show what the stock was worth at the end of a day, scrap apart."""
    today = timezone.localdate()
    form = DayForm(request.GET if "on" in request.GET else None, initial={"on": today})
    sound = not form.is_bound or form.is_valid()
    day = form.cleaned_data["on"] if form.is_bound and sound else today
    context = {"form": form, "value": stock_value(day) if sound else None, "today": today, "first_on": first_day()}
    return render_page(request, "materials/stock_value.html", context, partial="worth-on-day", status=200 if sound else 422)


@require_POST
@needs(Right.CHANGE_MATERIALS)
def cost_method_choose(request: HttpRequest, pk: int) -> HttpResponse:
    """Cost a material's use another way from now on."""
    material = get_object_or_404(Material, pk=pk)
    form = MethodForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose one of the two ways of costing; nothing was changed.")
    elif ledger.choose_cost_method(material=material, method=form.cleaned_data["method"], by=account_of(request)):
        messages.success(
            request, f"{material.name} is costed by {material.get_cost_method_display()} from now on. Lines written before stay."
        )
    else:
        messages.info(request, f"{material.name} is costed so already; nothing was changed.")
    return redirect(f"{reverse('materials:material_show', args=[pk])}#costing")
