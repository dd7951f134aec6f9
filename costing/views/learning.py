"""What the log teaches of the studio's own rates: seen, taken over, put back."""

from decimal import Decimal, InvalidOperation

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from costing.engine.learning.prior import SAID
from costing.errors import AdoptionRefused
from costing.services import learning as services
from studio.access import Right, account_of, needs
from studio.web.htmx import render_page
from studio.web.quantities import show
from studio.workrates import WORK_RATES

PAGE = "costing:learning_show"
LARGEST = 2_000_000_000


@require_safe
@needs(Right.SEE_STUDIO)
def learning_show(request: HttpRequest) -> HttpResponse:
    """Show every rate that something is noted of."""
    account = account_of(request)
    context = {
        "found": services.learning(), "method": services.METHOD, "table_said": SAID,
        "may_adopt": account.may(Right.CHANGE_STUDIO), "may_see_money": account.may(Right.SEE_MONEY),
    }  # fmt: skip
    return render_page(request, "costing/learning.html", context)


@require_POST
@needs(Right.CHANGE_STUDIO)
def learning_adopt(request: HttpRequest) -> HttpResponse:
    """Take a learnt rate over."""
    try:
        seen = Decimal(request.POST.get("seen", "")[:20])
    except InvalidOperation:
        seen = Decimal(-1)
    try:
        row = services.adopt(key=request.POST.get("key", ""), seen=seen, by=account_of(request))
    except AdoptionRefused as refused:
        messages.error(request, str(refused))
    else:
        kind = WORK_RATES[row.key]
        messages.success(
            request, f"{kind.label}: plans now use {show(row.after, kind.unit, keep=True)}. It can be put back below."
        )
    return redirect(PAGE)


@require_POST
@needs(Right.CHANGE_STUDIO)
def learning_undo(request: HttpRequest) -> HttpResponse:
    """Put the value back that was in force before."""
    raw = request.POST.get("adoption", "")
    pk = int(raw) if raw.isascii() and raw.isdecimal() and len(raw) < 11 and int(raw) < LARGEST else 0
    try:
        row = services.undo(pk=pk, by=account_of(request))
    except AdoptionRefused as refused:
        messages.error(request, str(refused))
    else:
        kind = WORK_RATES[row.key]
        before = "the table's value" if row.before is None else str(show(row.before, kind.unit, keep=True))
        messages.success(request, f"{kind.label}: {before} is in force again.")
    return redirect(PAGE)
