"""The cure-schedule handout: what hangs on the wall while the coats are laid."""

from dataclasses import dataclass

from django.utils import timezone

from jobs.calendar import calendar_of, studio_hours
from jobs.errors import JobsError
from jobs.models import Job
from jobs.planning.handout_times import CoatTime, CureCalendar
from jobs.planning.results import Coat, MoldPlan
from jobs.services.plans import mold_plan
from studio.documents.pdf import render_pdf
from studio.documents.registry import RenderedFile
from studio.figures import WorkingError
from studio.models import Document, StudioProfile
from studio.web.context import using_profile
from studio.web.middleware import zone_of

HANDOUT_KIND = "cure-handout"
LONG_COATS = 400
TINTS = ("tinted", "plain")


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoutLine:
    """One coat at one position, with what is weighed for it there."""

    coat: Coat
    time: CoatTime
    mixes: tuple[tuple[int, object], ...]


def render_handout(document: Document) -> RenderedFile:
    """Lay out the cure-schedule handout of a job."""
    job = Job.objects.select_related("client", "piece").filter(pk=document.subject_id).first()
    if job is None:
        raise JobsError("The job of this handout is gone; ask for the handout of a job that is there.")
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        plan = mold_plan(job)
        try:
            calendar = calendar_of(job, plan, studio_hours())
        except WorkingError as error:
            raise JobsError(str(error)) from error
        if len(calendar.coats) > LONG_COATS:
            raise JobsError("This plan has too many coats to print; check the wall, the coats and the positions.")
        content = render_pdf(
            "print/handout.html",
            {
                "profile": profile,
                "job": job,
                "plan": plan,
                "calendar": calendar,
                "lines": handout_lines(plan, calendar),
                "printed_at": timezone.now(),
            },
            paper=profile.paper,
        )
    return RenderedFile(content=content, content_type="application/pdf", filename=f"cure-schedule-{job.number}.pdf")


def handout_lines(plan: MoldPlan, calendar: CureCalendar) -> list[HandoutLine]:
    """Pair each coat on the clock with its share of the mixes: they are weighed position by position."""
    coats = {coat.number: coat for coat in plan.coats}
    lines = []
    for time in calendar.coats:
        coat = coats[time.coat_number]
        each = len(coat.mixes) // plan.positions
        first = each * (time.position - 1)
        mixes = coat.mixes[first : first + each] if each * plan.positions == len(coat.mixes) else coat.mixes
        lines.append(HandoutLine(coat=coat, time=time, mixes=tuple(enumerate(mixes, start=1))))
    return lines
