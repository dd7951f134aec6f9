"""Opening what a label's code names."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from materials.codes import page_of, read_code
from materials.counting.lines import line_of
from materials.models import Stocktake
from materials.views.count_weighing import IN_SESSION
from studio.access import Right, account_of, needs


@require_safe
@needs(Right.SEE_STOCK)
def code_open(request: HttpRequest, code: str) -> HttpResponse:
    """Open the thing; for somebody in the middle of a stocktake, its line there while it waits to be weighed."""
    read = read_code(code)
    address = page_of(read) if read else None
    if read is None or address is None:
        raise Http404(f"Nothing here bears the code {code[:20]}. The label may be of another studio; look at it again.")
    counting = request.session.get(IN_SESSION)
    if counting and account_of(request).may(Right.CHANGE_STOCK):
        stocktake = Stocktake.objects.filter(pk=counting, posted_at=None, dropped_at=None).first()
        line = line_of(stocktake, read) if stocktake else None
        if line is not None and line.counted_g is None:
            return redirect(reverse("materials:count_line", args=[line.stocktake_id, line.pk]))
    return redirect(address)
