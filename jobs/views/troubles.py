"""What goes wrong in the trade, and what this plan says of it."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from jobs.parts.troubles import trouble_lines
from jobs.views.loading import context_of, load
from studio.access import Right, needs
from studio.web.htmx import render_page


@needs(Right.SEE_JOBS)
@require_safe
def troubles_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show every trouble of the trade with this plan's number beside it, the worst first."""
    page = load(number)
    troubles = trouble_lines(page.made.troubles) if page.made else ()
    return render_page(request, "jobs/troubles.html", {**context_of(request, page, here="troubles"), "troubles": troubles})
