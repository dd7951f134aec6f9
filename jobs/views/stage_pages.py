"""What sets the four pages of a plan apart; everything else they share."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from operator import attrgetter

from jobs.forms.stages import CastingsForm, CoatsForm, MoldForm, ShellForm, StageForm
from jobs.parts.mold import mold_parts
from jobs.parts.part import PlanPart
from jobs.parts.run import castings_parts, shell_parts
from jobs.parts.troubles import TroubleLine, worst_of
from jobs.planning.results import Cautions, MoldPlan
from jobs.tones import cure_said
from jobs.views.stage_figures import (
    castings_details,
    castings_summary,
    coats_details,
    coats_summary,
    mold_summary,
    nothing_more,
    shell_details,
    shell_summary,
)
from studio.figures import Caution, Figure, Remark
from studio.workrates import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePage:
    """One page of a plan: its form, the figures it shows, the work it lists, and what is said there.

    `summary` are the figures that stand beside the form; `parts` are printed one after another below it; `details` are the
    figures of the page's own tables. `remarks` are the beginnings of the keys of what belongs here; `cautions` picks those of
    this page's work; `prints` is the kind of print that is asked for here.
    """

    key: str
    template: str
    url_name: str
    form: type[StageForm]
    summary: Callable[[MoldPlan], Iterator[Figure]]
    details: Callable[[MoldPlan], Iterator[Figure]]
    parts: Callable[[MoldPlan], tuple[PlanPart, ...]]
    stages: tuple[Stage, ...]
    remarks: tuple[str, ...]
    cautions: Callable[[Cautions], tuple[Caution, ...]]
    prints: str = ""

    def figures(self, made: MoldPlan) -> Iterator[Figure]:
        """Return every figure that the page pairs with what it was."""
        yield from self.summary(made)
        yield from self.details(made)
        for part in self.parts(made):
            yield from part.every_figure()
        for line in self.troubles_of(made):
            yield from line.trouble.figures
        yield from (task.minutes for task in made.tasks if task.stage in self.stages)

    def remarks_of(self, made: MoldPlan) -> list[Remark]:
        """Return the remarks that belong on this page, but for what it says of the cure anyhow."""
        cure = cure_said(made.verdict)
        return [remark for remark in made.remarks if remark.key.startswith(self.remarks) and remark.text != cure]

    def troubles_of(self, made: MoldPlan) -> tuple[TroubleLine, ...]:
        """Return what can go wrong by what is decided on this page."""
        return worst_of(made, self.key, self.remarks_of(made))


def _no_parts(_made: MoldPlan) -> tuple[PlanPart, ...]:
    return ()


STAGE_PAGES: dict[str, StagePage] = {
    page.key: page
    for page in (
        StagePage(
            key="mold", template="jobs/mold.html", url_name="jobs:mold_show", form=MoldForm,
            summary=mold_summary, details=nothing_more, parts=mold_parts, stages=(Stage.CLIENT, Stage.PREPARE, Stage.FILL),
            remarks=("shell_open", "shell_order", "study", "verdict", "floppy", "freestanding", "scrap", "face", "chunk",
                     "packing", "overrides", "stretch", "wall", "stand", "key", "rib", "gap", "gauge"),
            cautions=attrgetter("blanket"), prints="plan-sheet",
        ),
        StagePage(
            key="coats", template="jobs/coats.html", url_name="jobs:coats_show", form=CoatsForm,
            summary=coats_summary, details=coats_details, parts=_no_parts, stages=(Stage.COATS,),
            remarks=("shell_open", "front", "print", "dose", "hard", "sag", "air_none", "air_damp", "air_dry", "vacuum", "gauge",
                     "night", "window", "positions", "tint"),
            cautions=attrgetter("blanket"),
        ),
        StagePage(
            key="shell", template="jobs/shell.html", url_name="jobs:shell_show", form=ShellForm,
            summary=shell_summary, details=shell_details, parts=shell_parts, stages=(Stage.SHELL, Stage.OPEN),
            remarks=("shell", "study", "lift", "wet"),
            cautions=attrgetter("shell"), prints="shell-card",
        ),
        StagePage(
            key="castings", template="jobs/castings.html", url_name="jobs:castings_show", form=CastingsForm,
            summary=castings_summary, details=castings_details, parts=castings_parts, stages=(Stage.CAST, Stage.FINISH),
            remarks=("shell_open", "film", "few", "slow", "life", "frame", "heat", "warm", "air_foams"),
            cautions=attrgetter("castings"), prints="casting-card",
        ),
    )
}  # fmt: skip
