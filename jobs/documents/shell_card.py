"""The shell card: pieces, what is weighed for each, layers, bolts, lifts, and the order in which they come off."""

from jobs.documents.sheet import PrintedJob, laid_out, minded, printed_job
from jobs.errors import JobNotReady
from jobs.mixing_table import heading_of
from jobs.models import Plan
from jobs.parts.run import shell_parts
from jobs.print_stills import shell_stills
from jobs.weighed_out import piece_cards
from studio.documents.registry import RenderedFile
from studio.models import Document

NO_SHELL = "This plan has no shell to print a card of. Choose its kind and its material on the Shell page."
LAYERED = {Plan.ShellKind.LAMINATE, Plan.ShellKind.PLASTER, Plan.ShellKind.BRUSHED}
MOST_LAYERS = 12
# How the keys of remarks begin that are about the shell.
BEGINNINGS = ("shell", "lift", "wet", "study")


def render_shell_card(document: Document) -> RenderedFile:
    """Lay out the shell card of a job."""
    with printed_job(document) as one:
        shell = one.plan.shell
        if shell is None:
            raise JobNotReady(NO_SHELL, page="jobs:shell_show")
        stills, images = shell_stills(one.kept)
        context = {
            **stills,
            "shell": shell,
            "pieces": piece_cards(shell),
            "headings": [heading_of(part) for part in shell.parts],
            "materials": [(heading_of(part), part.label) for part in shell.parts],
            "layers": _layers(one),
            "parts": shell_parts(one.plan),
            "minded": minded(one.plan, BEGINNINGS),
            "cautions": one.plan.cautions.shell,
            "figures": [shell.mass, shell.area],
        }
        return laid_out(one, "print/shell_card.html", context, name="shell-card", images=images)


def _layers(one: PrintedJob) -> range:
    """Number the layers that are ticked off one by one."""
    if one.kept.shell_kind not in LAYERED:
        return range(0)
    return range(1, min(one.kept.shell_layers, MOST_LAYERS) + 1)
