import io
from dataclasses import replace

import pytest
from django.test import Client as Browser
from pypdf import PdfReader

from jobs.documents import PRINTS, sheet
from jobs.documents.casting_card import MOST_BOXES, life_boxes, skin_cards
from jobs.documents.shell_card import piece_cards
from jobs.errors import JobNotReady, JobsError
from jobs.models import Job, Plan
from jobs.planning.results import MoldPlan
from jobs.services.plans import mold_plan
from studio.models import Document, StudioProfile
from tests.factories import planned_job
from tests.jobs.views.made_plans import fig, full_plan

pytestmark = pytest.mark.django_db
ADDRESS = {
    "plan-sheet": "mold/plan-sheet", "cure-handout": "days/handout", "shell-card": "shell/card", "casting-card": "castings/card",
}  # fmt: skip


@pytest.fixture
def job(monkeypatch: pytest.MonkeyPatch) -> Job:
    """Return a job whose prints show a plan with everything in it."""
    compute = sheet.compute_so_far

    def full(plan: Plan) -> MoldPlan:
        return full_plan(compute(plan))

    job = planned_job()
    Plan.objects.filter(job=job).update(positions=2, build_coats=1)
    monkeypatch.setattr(sheet, "compute_so_far", full)
    return job


def printed(kind: str, job_id: int) -> PdfReader:
    rendered = PRINTS[kind].render(Document(kind=kind, subject_id=job_id, title="Print"))
    assert rendered.content_type == "application/pdf"
    return PdfReader(io.BytesIO(rendered.content))


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


class TestPrints:
    @pytest.mark.parametrize(
        ("kind", "words"),
        [
            ("plan-sheet", (
                "Plan sheet", "Takeoff", "Does it cure?", "Good: The size asks for it.",
                "Thin spots", "Lay twice.", "Mixes", "Strip width 12", "Stretch 40 %",
                "Imbalance", "Molds wanted 2", "Agreed", "Work Task Where", "Open the mold", "To have at hand",
                "Lifts", "To bear in mind",
            )),
            ("cure-handout", (
                "First of all: the parting strip", "Gauge blocks", "4 on crowns", "Position 2", "24, about", "ribs: 4",
                "The blanket rests", "Before the first coat", "Clean and mend the piece", "then wait 30 min", "0.8 mm thick over",
                "on the piece;",
            )),
            ("shell-card", (
                "Shell card", "Shell piece 2", "Peroxide", "Bolts 9", "Closed mold", "Layers, ticked", "Order in which",
                "To bear in mind", "Release the flange",
            )),
            ("casting-card", (
                "Casting card", "Clock of this casting", "not before 25 min", "Film at gel 2", "Pulls", "45", "The run",
                "The mold is busy", "On the rotating frame",
            )),
        ],
    )  # fmt: skip
    def test_say_all_that_is_known(self, job: Job, kind: str, words: tuple[str, ...]) -> None:
        reader = printed(kind, job.pk)
        text = text_of(reader)
        assert [word for word in words if word not in text] == []
        assert f"page {len(reader.pages)} of {len(reader.pages)}" in text
        assert "safety data sheets" in text
        assert "Caution" in text

    @pytest.mark.parametrize("kind", PRINTS)
    def test_say_that_the_job_is_gone(self, kind: str) -> None:
        with pytest.raises(JobsError, match="gone"):
            printed(kind, 987654)

    def test_fit_letter_paper(self, job: Job) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(paper="Letter")
        assert round(float(printed("casting-card", job.pk).pages[0].mediabox.width)) == 612

    def test_say_what_to_choose_first(self) -> None:
        job = planned_job(resin=False)
        Plan.objects.filter(job=job).update(shell_kind=Plan.ShellKind.NONE)
        with pytest.raises(JobNotReady, match="Choose a resin"):
            printed("casting-card", job.pk)
        with pytest.raises(JobNotReady, match="Shell page"):
            printed("shell-card", job.pk)

    @pytest.mark.parametrize("kind", PRINTS)
    def test_are_asked_for_on_their_page(self, owner_client: Browser, kind: str) -> None:
        job = planned_job()
        answer = owner_client.post(f"/jobs/{job.number}/{ADDRESS[kind]}/")
        asked = Document.objects.get()
        assert (asked.kind, asked.subject_id) == (kind, job.pk)
        page = owner_client.get(answer["Location"]).content.decode()
        assert f"{PRINTS[kind].name} of job {job.number}" in page
        assert f"/jobs/{job.number}/{ADDRESS[kind]}/" in page


class TestCards:
    def test_divide_what_is_weighed_among_the_pieces(self) -> None:
        made = mold_plan(planned_job())
        assert made.shell is not None
        uneven = replace(made.shell, piece_masses=(fig("piece_1", 3000, "g"), fig("piece_2", 1000, "g")))
        first, second = piece_cards(uneven)
        assert first.parts_g == pytest.approx([3 * mass for mass in second.parts_g])
        for cards in (piece_cards(uneven), piece_cards(replace(made.shell, piece_masses=()))):
            for column, part in enumerate(made.shell.parts):
                assert sum(card.parts_g[column] for card in cards) == pytest.approx(part.mass.value)

    def test_weigh_every_skin(self) -> None:
        run = mold_plan(planned_job()).casting
        assert run is not None
        for known in (run, replace(run, steps=())):
            cards = skin_cards(known)
            assert len(cards) == run.skins
            assert sum(sum(card.parts_g) for card in cards) == pytest.approx(run.mixed_mass.value)

    def test_number_the_castings_that_a_mold_is_expected_to_make(self, job: Job) -> None:
        life = full_plan(mold_plan(job)).life
        assert life is not None
        assert [(mold, len(numbers)) for mold, numbers in life_boxes(life, 2)] == [(1, 45), (2, 45)]
        assert len(life_boxes(replace(life, expected=fig("expected", 1e6, "1")), 1)[0][1]) == MOST_BOXES
        assert life_boxes(None, 1) == []


class TestLatestPrints:
    def test_stand_on_the_page_and_older_ones_do_not(self, owner_client: Browser) -> None:
        job = planned_job()
        for _ in range(8):
            Document.objects.create(kind="plan-sheet", subject_id=job.pk, title="Plan sheet")
        page = owner_client.get(f"/jobs/{job.number}/mold/").content.decode()
        assert page.count('class="document"') == 3


class TestMakings:
    @pytest.mark.parametrize("making", [Plan.Making.POURED, Plan.Making.BLOCK])
    def test_say_that_it_is_poured(self, making: Plan.Making) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(making=making, positions=1)
        assert "one pour" in text_of(printed("cure-handout", job.pk))
        assert making.label.capitalize() in text_of(printed("plan-sheet", job.pk))
