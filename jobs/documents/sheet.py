"""What every print of a job begins with and ends as: the job and its plan in the studio's own units, laid out on its paper."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from jobs.errors import JobsError
from jobs.models import Job, Plan
from jobs.planning.results import MoldPlan
from jobs.services.plans import compute_so_far, plan_of
from studio.documents.pdf import render_pdf
from studio.documents.registry import RenderedFile
from studio.figures import Remark
from studio.models import Document, StudioProfile
from studio.web.context import using_profile
from studio.web.middleware import zone_of


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedJob:
    """A job with its kept plan, as rows and computed, and the studio whose units and paper count."""

    job: Job
    kept: Plan
    plan: MoldPlan
    profile: StudioProfile


def minded(plan: MoldPlan, beginnings: tuple[str, ...] = ("",)) -> list[Remark]:
    """Return what a plan wants looked at, by how the keys begin; the verdict stands elsewhere on a sheet."""
    return [note for note in plan.remarks if note.key.startswith(beginnings) and not note.key.startswith("verdict_")]


@contextmanager
def printed_job(document: Document) -> Iterator[PrintedJob]:
    """Load what a print is about, and use the studio's units, locale and hours while it is made."""
    job = Job.objects.select_related("client", "piece").filter(pk=document.subject_id).first()
    if job is None:
        raise JobsError("The job of this print is gone; ask for the print of a job that is there.")
    profile = StudioProfile.objects.current()
    with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
        kept = plan_of(job)
        yield PrintedJob(job=job, kept=kept, plan=compute_so_far(kept), profile=profile)


def laid_out(
    one: PrintedJob, template: str, context: Mapping[str, Any], *, name: str, images: Mapping[str, bytes] | None = None
) -> RenderedFile:
    """Lay a print out with what all of them show; its file is named after the job."""
    facts = [("Piece", one.job.piece.name), ("Client", one.job.client.name), ("Printed", timezone.localdate())]
    shared = {"profile": one.profile, "job": one.job, "plan": one.plan, "kept": one.kept, "facts": facts}
    content = render_pdf(template, {**shared, **context}, paper=one.profile.paper, images=images)
    return RenderedFile(content=content, content_type="application/pdf", filename=f"{name}-{one.job.number}.pdf")
