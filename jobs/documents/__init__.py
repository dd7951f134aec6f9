"""The prints of a job: what each is called, who lays it out, and the page it is asked for on."""

from dataclasses import dataclass

from jobs.documents.casting_card import render_casting_card
from jobs.documents.handout import HandoutLine, handout_lines, render_handout
from jobs.documents.plan_sheet import render_plan_sheet
from jobs.documents.shell_card import render_shell_card
from studio.documents.registry import Renderer

__all__ = ["HANDOUT_KIND", "PRINTS", "HandoutLine", "Print", "handout_lines", "render_handout"]
HANDOUT_KIND = "cure-handout"


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """A kind of print; `name` stands before the number of its job, `page` is where it is asked for."""

    kind: str
    name: str
    render: Renderer
    page: str


PRINTS: dict[str, Print] = {
    one.kind: one
    for one in (
        Print(kind="plan-sheet", name="Plan sheet", render=render_plan_sheet, page="jobs:mold_show"),
        Print(kind=HANDOUT_KIND, name="Cure schedule", render=render_handout, page="jobs:job_days_show"),
        Print(kind="shell-card", name="Shell card", render=render_shell_card, page="jobs:shell_show"),
        Print(kind="casting-card", name="Casting card", render=render_casting_card, page="jobs:castings_show"),
    )
}
