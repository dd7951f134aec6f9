"""A test cup of a lot: that it was made, and what came of it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from materials.forms.lots import GelTestForm
from materials.services.gel_tests import forget_gel_test, note_gel_test
from materials.views.cup_memory import recall, remember
from materials.views.lots import lot_or_404, lot_page
from studio.access import Right, needs


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_gel_test(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down a test cup."""
    lot, form = lot_or_404(pk), GelTestForm(request.POST, prefix="cup")
    if not form.is_valid():
        return lot_page(request, lot, refused={"cup": form})
    remember(request, lot, note_gel_test(lot=lot, **form.cleaned_data))
    told = "The test cup is written down." if form.cleaned_data["cured"] else "It did not cure as it should, so it is set aside."
    messages.success(request, told)
    return redirect("materials:lot_show", pk=pk)


@require_POST
@needs(Right.CHANGE_STOCK)
def lot_gel_test_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a test cup that was written down by mistake."""
    lot = lot_or_404(pk)
    before = recall(request, lot)
    if before is None:
        messages.warning(request, "There is no test cup of this lot to take back.")
    else:
        forget_gel_test(lot=lot, before=before)
        messages.success(request, "The test cup is taken back.")
    return redirect("materials:lot_show", pk=pk)
