"""One job at a glance: what is done, what is next, documents and notes."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from jobs.days import reading
from jobs.documents import PRINTS
from jobs.job_days.news import of_one_job
from jobs.models import Plan
from jobs.moves import moves_from
from jobs.services.molds import mold_lines, molds_for_pages
from jobs.views.loading import JobPage, context_of, load
from jobs.views.reserving import reserved_shown
from studio.access import Right, account_of, needs
from studio.models import Document
from studio.web.htmx import render_page

DOCUMENTS_SHOWN = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the work: done or not, and where it is done."""

    label: str
    done: bool
    url_name: str
    todo: str


@needs(Right.SEE_JOBS)
@require_safe
def job_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show one job."""
    page = load(number)
    timetable = reading.current()
    laid_out = timetable is not None and timetable.entries.filter(job=page.job).exists()
    steps = steps_of(page, laid_out=laid_out)
    context = {
        **context_of(request, page, here=""),
        "steps": steps,
        "next_step": next((step for step in steps if not step.done), None),
        "newer": of_one_job(page.job, timetable) if timetable is not None and laid_out else [],
        "moves": moves_from(page.job.state),
        **reserved_shown(page, account_of(request)),
        "may_see_stock": account_of(request).may(Right.SEE_STOCK),
        "may_stock": account_of(request).may(Right.CHANGE_STOCK),
        "molds": mold_lines(molds_for_pages().filter(job=page.job).order_by("number")),
        "documents": Document.objects.filter(kind__in=PRINTS, subject_id=page.job.pk)[:DOCUMENTS_SHOWN],
    }
    return render_page(request, "jobs/job.html", context)


def steps_of(page: JobPage, *, laid_out: bool) -> list[Step]:
    """Return the steps of a job in their order; `laid_out` says whether it is in the timetable in use."""
    plan, job = page.plan, page.job
    # A block has its box in place of a shell.
    shell_wanted = plan.shell_kind != Plan.ShellKind.NONE and plan.making != Plan.Making.BLOCK
    return [
        Step(label="The piece is measured", done=job.piece.measured_by != "none", url_name="jobs:piece_show",
             todo="Measure the piece"),
        Step(label="The rubber is chosen", done=plan.rubber_id is not None, url_name="jobs:mold_show",
             todo="Choose the rubber"),
        Step(label="The shell is planned" if shell_wanted else "No shell is wanted",
             done=not shell_wanted or plan.shell_matrix_id is not None, url_name="jobs:shell_show", todo="Plan the shell"),
        Step(label="The castings are planned", done=plan.resin_id is not None, url_name="jobs:castings_show",
             todo="Choose the resin, or leave the run out"),
        Step(label="The plan can be computed", done=page.made is not None, url_name=_where(page),
             todo="Look at what is missing"),
        Step(label="Its days are laid out", done=job.starts_at is not None or laid_out, url_name="jobs:job_days_show",
             todo="Lay its days out"),
    ]  # fmt: skip


def _where(page: JobPage) -> str:
    return page.problem.page if page.problem else "jobs:mold_show"
