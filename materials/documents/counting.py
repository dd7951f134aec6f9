"""A stocktake on paper: the blank sheet for the hand, and its result."""

from decimal import Decimal
from typing import Any

from django.utils import timezone

from materials.counting.lines import code_of, difference, in_order, kept_of, progress
from materials.errors import ThingGone
from materials.models import Stocktake
from studio.documents.pdf import render_pdf
from studio.documents.registry import RenderedFile
from studio.models import Document, StudioProfile
from studio.web.context import using_profile
from studio.web.middleware import zone_of


def render_sheet(document: Document) -> RenderedFile:
    """Lay out the sheet that is filled in by hand."""
    return _rendered(document, "print/count_sheet.html", "counting-sheet")


def render_result(document: Document) -> RenderedFile:
    """Lay out what was weighed and what differed."""
    return _rendered(document, "print/count_result.html", "count")


def _rendered(document: Document, template: str, name: str) -> RenderedFile:
    stocktake = Stocktake.objects.select_related("started_by", "posted_by").filter(pk=document.subject_id).first()
    if stocktake is None:
        raise ThingGone("The stocktake of this print is gone; ask for the print of one that is there.")
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        content = render_pdf(template, _context(stocktake, profile), paper=profile.paper)
    return RenderedFile(content=content, content_type="application/pdf", filename=f"{name}-{stocktake.pk}.pdf")


def _context(stocktake: Stocktake, profile: StudioProfile) -> dict[str, Any]:
    rows = [(line, kept_of(line), code_of(kept_of(line)), difference(line)) for line in in_order(stocktake)]
    places = progress(stocktake)
    found = [row[3] for row in rows if row[3] is not None]
    return {
        "profile": profile,
        "count": stocktake,
        "places": [(place.place, [row for row in rows if row[1].place == place.place]) for place in places],
        "weighed": len(found),
        "lines": len(rows),
        "less_g": sum((-one for one in found if one < 0), Decimal(0)),
        "more_g": sum((one for one in found if one > 0), Decimal(0)),
        "facts": [
            ("Counted", stocktake.place or "everything"),
            ("Begun", stocktake.started_at),
            ("Posted", stocktake.posted_at or "not yet"),
            ("Printed", timezone.localdate()),
        ],
    }
