"""The demo's three whole jobs compute, every number of theirs opens, and their prints are made."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

import pytest
from django.forms.models import model_to_dict
from django.template import Context

from jobs.calendar import calendar_of, studio_hours
from jobs.documents import PRINTS
from jobs.errors import JobNotReady
from jobs.models import Job, Plan
from jobs.planning.brief import Making
from jobs.services.plans import mold_plan, plan_of
from studio.access import Right
from studio.documents import registry
from studio.documents.press import PressJob
from studio.figures import COMPUTED, Figure
from studio.models import Document
from studio.web.templatetags.paper import quantity

pytestmark = pytest.mark.django_db
# Title, how the rubber is laid, and the decisions that do not belong to such a job.
WITHOUT_SHELL = {
    "shell_matrix", "shell_reinforcement", "shell_flange_percent", "bolt_spacing_mm", "fill_volume_l", "scrap_bin",
    "strip_width_mm", "strip_height_mm", "key_spacing_mm", "build_coats", "cup_loss_percent", "thickener",
    "sealer",
}  # fmt: skip
JOBS = {
    "Hedgehog": (Making.BLOCK, WITHOUT_SHELL),
    "Bust": (Making.BRUSHED, {"box_margin_mm"}),
    "Leaf capital": (Making.BRUSHED, {"box_margin_mm", "scrap_bin", "build_coats", "cup_loss_percent"}),
}
# Formulas that leave nothing to ask.
SAYS_ALL = {"as decided", "no scrap is used", "length round the base", "height of the piece", "not known yet; type it"}
NOT_DECIDED = {"id", "parting", "previous", "changed_by"}


def job_of(title: str) -> Job:
    job: Job = Job.objects.select_related("piece", "client").get(title__startswith=title)
    return job


def figures_in(value: Any, seen: set[int] | None = None) -> Iterator[Figure]:
    """Go through every figure of a result and of each figure's own working, each of them once."""
    seen = set() if seen is None else seen
    if id(value) in seen:
        return
    seen.add(id(value))
    if isinstance(value, Figure):
        yield value
    if is_dataclass(value):
        parts: Any = [getattr(value, field.name) for field in fields(value)]
    elif isinstance(value, dict):
        parts = value.values()
    else:
        parts = value if isinstance(value, list | tuple | set | frozenset) else ()
    for part in parts:
        yield from figures_in(part, seen)


@pytest.mark.parametrize("title", JOBS)
class TestWholeJobs:
    def test_are_decided_to_the_last_field(self, demo: Any, title: str) -> None:
        making, left_open = JOBS[title]
        plan = Plan.objects.get(job=job_of(title))
        decided = model_to_dict(plan)
        assert plan.making == making
        assert {name for name, value in decided.items() if value in (None, "")} - NOT_DECIDED == left_open

    def test_compute_and_every_figure_opens(self, demo: Any, title: str) -> None:
        found = list(figures_in(mold_plan(job_of(title))))
        assert len(found) > 100
        assert {figure.key for figure in found if not figure.formula.strip()} == set()
        # A count says in its formula what was counted; every other number opens to what went in, or to a named source.
        bare = {
            (figure.key, figure.formula)
            for figure in found
            if not figure.given and figure.unit != "1" and figure.source == COMPUTED and figure.formula not in SAYS_ALL
        }
        assert bare == set()

    def test_have_nothing_that_can_spoil_the_mold(self, demo: Any, title: str) -> None:
        assert [note.text for note in mold_plan(job_of(title)).remarks if note.tone == "stop"] == []

    def test_every_trouble_has_a_number_of_the_plan(self, demo: Any, title: str) -> None:
        made = mold_plan(job_of(title))
        assert len(made.troubles) == 19
        assert [trouble.key for trouble in made.troubles if not trouble.figures] == []

    def test_are_laid_within_their_windows_and_hours(self, demo: Any, title: str) -> None:
        job = job_of(title)
        calendar = calendar_of(job, mold_plan(job), studio_hours())
        assert job.starts_at is not None
        assert [(coat.position, coat.coat_number, coat.flags) for coat in calendar.coats if coat.flags] == []

    def test_print(self, demo: Any, title: str, monkeypatch: pytest.MonkeyPatch) -> None:
        # The sheets as they go to the press; the press has tests of its own.
        sheets: list[str] = []

        def keep(press_job: PressJob) -> bytes:
            sheets.append(press_job.html)
            return b"%PDF-"

        monkeypatch.setattr("studio.documents.pdf._run", keep)
        job = job_of(title)
        # Prints about jobs; others, as a day sheet, are about people.
        kinds = [kind for kind in registry._kinds.values() if kind.right is Right.SEE_JOBS and kind.name in PRINTS]
        refused = []
        for kind in kinds:
            try:
                kind.renderer(Document(kind=kind.name, subject_id=job.pk, title=kind.name))
            except JobNotReady as no_shell:
                refused.append(str(no_shell))
        assert len(refused) == (1 if JOBS[title][0] is Making.BLOCK else 0)
        assert all("no shell" in sentence for sentence in refused)
        assert len(sheets) == len(kinds) - len(refused) >= 1
        assert all(job.piece.name in sheet for sheet in sheets)
        # Every cup of rubber is on the sheet that hangs by the scale: coats, fill, strip, its glue, keys.
        made, words = mold_plan(job), next(sheet for sheet in sheets if "<h1>Cure schedule" in sheet)
        cups = [mix.mass for coat in made.coats for mix in coat.mixes]
        cups += [mix.mass for beside in (made.fill, made.strip) if beside is not None for mix in beside.mixes]
        cups += [mix.mass for mix in made.strip.glue_mixes] if made.strip else []
        cups += [mix.mass for mix in made.stand.key_mixes] if made.stand else []
        assert [cup.label for cup in cups if str(quantity(Context(), cup.value, "g")) not in words] == []


class TestTheThree:
    def test_are_of_different_kinds(self, demo: Any) -> None:
        plans = {title: plan_of(job_of(title)) for title in JOBS}
        made = {title: mold_plan(job_of(title)) for title in JOBS}
        assert made["Hedgehog"].rubber_net.value < made["Bust"].rubber_net.value < made["Leaf capital"].rubber_net.value
        assert plans["Bust"].scrap_share_percent > 0
        assert (plans["Leaf capital"].positions, plans["Leaf capital"].molds) == (4, 2)
