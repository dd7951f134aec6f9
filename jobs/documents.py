"""The cure-schedule handout: what hangs on the wall while the coats are laid."""

from dataclasses import dataclass

from django.utils import timezone

from jobs.calendar import calendar_of, studio_hours
from jobs.errors import JobsError
from jobs.mixing_table import heading_of, ingredients
from jobs.models import Job
from jobs.planning.handout_times import CoatTime, CureCalendar
from jobs.planning.results import Coat, Mix, MoldPlan
from jobs.print_stills import shell_stills
from jobs.sections.printed import printed_sections
from jobs.services.plans import compute_so_far, plan_of
from studio.documents.pdf import render_pdf
from studio.documents.registry import RenderedFile
from studio.figures import WorkingError
from studio.models import Document, StudioProfile
from studio.web.context import current_profile, using_profile
from studio.web.formats import clock_text, locale_code
from studio.web.middleware import zone_of

HANDOUT_KIND = "cure-handout"
LONG_COATS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoutLine:
    """One coat at one position, with what is weighed for it there."""

    coat: Coat
    time: CoatTime
    mixes: tuple[tuple[int, Mix], ...]
    until: str

    @property
    def parts(self) -> list[str]:
        """The headings of what is weighed."""
        return [heading_of(part) for part in self.mixes[0][1].parts] if self.mixes else []


def render_handout(document: Document) -> RenderedFile:
    """Lay out the cure-schedule handout of a job."""
    job = Job.objects.select_related("client", "piece").filter(pk=document.subject_id).first()
    if job is None:
        raise JobsError("The job of this handout is gone; ask for the handout of a job that is there.")
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        kept = plan_of(job)
        plan = compute_so_far(kept)
        try:
            calendar = calendar_of(job, plan, studio_hours())
        except WorkingError as error:
            raise JobsError(str(error)) from error
        if len(calendar.coats) > LONG_COATS:
            raise JobsError("This plan has too many coats to print; check the wall, the coats and the positions.")
        stills, images = shell_stills(kept)
        content = render_pdf(
            "print/handout.html",
            {
                **stills,
                "profile": profile,
                "job": job,
                "plan": plan,
                "calendar": calendar,
                "lines": handout_lines(plan, calendar),
                "ingredients": ingredients(plan),
                "facts": [("Piece", job.piece.name), ("Client", job.client.name), ("Printed", timezone.localdate())],
                "sections": printed_sections(kept, plan),
                "figures": [plan.rubber_fresh, plan.coats_count, plan.mixes_count],
            },
            paper=profile.paper,
            images=images,
        )
    return RenderedFile(content=content, content_type="application/pdf", filename=f"cure-schedule-{job.number}.pdf")


def handout_lines(plan: MoldPlan, calendar: CureCalendar) -> list[HandoutLine]:
    """Pair each coat on the clock with the mixes that are weighed for it at its position."""
    coats = {coat.number: coat for coat in plan.coats}
    locale = locale_code(current_profile())
    lines = []
    for time in calendar.coats:
        coat = coats[time.coat_number]
        mixes = [mix for mix in coat.mixes if mix.position == time.position]
        until = clock_text(timezone.localtime(time.ends_at).time(), locale)
        lines.append(HandoutLine(coat=coat, time=time, mixes=tuple(enumerate(mixes, start=1)), until=until))
    return lines
