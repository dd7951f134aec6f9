"""What all open jobs need of each material by when."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from jobs.services.needs_ahead import NeedLine, needs_ahead
from studio.access import Right, account_of, needs
from studio.web.context import current_profile
from studio.web.drawing.stock_line import stock_line
from studio.web.htmx import render_page

# More drawings than these are no page any more; the table has all.
MOST_DRAWN = 40


@require_safe
@needs(Right.SEE_STOCK)
def needs_show(request: HttpRequest) -> HttpResponse:
    """Show each material's free stock on the days ahead, what is taken of it by whom, and the first day it runs short."""
    found, profile = needs_ahead(), current_profile()

    def drawn(line: NeedLine) -> str:
        return stock_line(
            [(step.on, step.stock_g) for step in line.ahead.steps],
            low_at_g=line.low_at_g,
            short_on=line.short_on,
            title=f"{line.material.name}, free on the days ahead",
            profile=profile,
        )

    wanted = [line for line in found.lines if line.demands or line.low]
    context = {
        "lines": [(line, drawn(line) if place < MOST_DRAWN else "") for place, line in enumerate(wanted)],
        "others": [line for line in found.lines if not (line.demands or line.low)],
        "short": found.short,
        "left_out": found.left_out,
        "may_stock": account_of(request).may(Right.CHANGE_STOCK),
        "may_materials": account_of(request).may(Right.CHANGE_MATERIALS),
    }
    return render_page(request, "jobs/needs.html", context)
