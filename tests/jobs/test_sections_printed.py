"""Two sections to scale on the cure schedule."""

import datetime
import io

import pytest
from pypdf import PdfReader

from jobs.documents import HANDOUT_KIND, render_handout
from jobs.models import Job, Plan
from jobs.sections import studied as studied_sections
from jobs.sections.printed import PrintedSections, printed_sections
from jobs.services.plans import compute_so_far, plan_of
from studio.models import Document
from tests.factories import planned_job
from tests.jobs.studied import drum_workspace, study_of

pytestmark = pytest.mark.django_db
TUESDAY = datetime.datetime(2027, 3, 2, 9, 0, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def _own_folder(settings: object, tmp_path: object) -> None:
    settings.MEDIA_ROOT = tmp_path
    studied_sections._open.clear()


def printed(job: Job) -> PrintedSections | None:
    plan = plan_of(job)
    return printed_sections(plan, compute_so_far(plan))


def handout_text(job: Job) -> str:
    rendered = render_handout(Document(kind=HANDOUT_KIND, subject_id=job.pk, title="Cure schedule"))
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(rendered.content)).pages)


def test_the_cure_schedule_shows_both_sections_to_scale() -> None:
    job = planned_job(starts_at=TUESDAY)
    Plan.objects.filter(job=job).update(positions=1)
    assert "Sections of the mold" not in handout_text(job)
    study_of(job)
    text = handout_text(job)
    # The drum with its fill and shell is 290 mm wide and 350 high: 1:5 is the largest scale in use that fits a half sheet.
    assert "Sections of the mold, scale 1:5" in text
    for words in ("facing the front", "facing the right", "scrap in the fill", "300", "check the bar"):
        assert words in text

    # Without fill to speak of, none is drawn.
    study_of(job, drum_workspace(outside=drum_workspace().distance))
    assert "scrap in the fill" not in handout_text(job)


def test_an_earlier_study_is_told() -> None:
    job = planned_job()
    study_of(job)
    found = printed(job)
    assert found is not None
    assert found.fits
    Plan.objects.filter(job=job).update(wall_mm=plan_of(job).wall_mm + 1)
    found = printed(job)
    assert found is not None
    assert not found.fits


def test_nothing_is_printed_without_a_study() -> None:
    assert printed(planned_job()) is None
