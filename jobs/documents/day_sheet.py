"""The day sheet: one person's work in order, what is weighed, what waits after it, with room to note what really was."""

from django.utils import timezone

from jobs.day_sheet import day_of
from jobs.errors import JobsError
from jobs.models import DaySheet
from studio.documents.pdf import render_pdf
from studio.documents.registry import RenderedFile
from studio.models import Document, StudioProfile
from studio.web.context import using_profile
from studio.web.middleware import zone_of

LONGEST_DAY = 120


def render_day_sheet(document: Document) -> RenderedFile:
    """Lay out the day sheet of a person and a day."""
    sheet = DaySheet.objects.select_related("person").filter(pk=document.subject_id).first()
    if sheet is None:
        raise JobsError("The person of this print is gone; ask for the print of a day that is there.")
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        day = day_of(sheet.person, sheet.on)
        if len(day.tasks) > LONGEST_DAY:
            raise JobsError("This day has too many tasks to print; plan the days anew.")
        facts = [
            ("Day", sheet.on),
            *([("By the days used", day.timetable.used_at)] if day.timetable else []),
            ("Printed", timezone.now()),
        ]
        context = {"profile": profile, "day": day, "facts": facts, "cautions": day.cautions}
        content = render_pdf("print/day_sheet.html", context, paper=profile.paper)
    name = f"day-sheet-{sheet.person_id}-{sheet.on.isoformat()}.pdf"
    return RenderedFile(content=content, content_type="application/pdf", filename=name)
