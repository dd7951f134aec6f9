"""The mixes of a job's plan, each a step away from being taken off the shelf."""

from collections import Counter

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from jobs.cups import cups_of
from jobs.views.loading import context_of, load
from materials.services.mix_entries import mixes_taken
from studio.access import Right, needs
from studio.web.htmx import render_page


@require_safe
@needs(Right.SEE_JOBS)
def cups_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show every mix of the plan, and which of them were taken."""
    page = load(number)
    may_stock = bool(request.user.may(Right.CHANGE_STOCK))  # type: ignore[union-attr]
    taken = mixes_taken(job_number=number) if page.made is not None else Counter[str]()
    groups = [
        (heading, [(cup, cup.address(number) if may_stock else "", taken[cup.name]) for cup in cups])
        for heading, cups in (cups_of(page.made) if page.made is not None else [])
    ]
    context = {**context_of(request, page, here="coats"), "groups": groups, "may_stock": may_stock}
    return render_page(request, "jobs/cups.html", context)
