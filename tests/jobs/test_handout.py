import datetime
import io

import pytest
from pypdf import PdfReader

from jobs.documents import HANDOUT_KIND, render_handout
from jobs.errors import JobNotReady, JobsError
from jobs.models import Plan
from jobs.services.plans import mold_plan
from studio.models import Document, StudioProfile
from tests.factories import JobFactory, planned_job
from tests.jobs.shown_drum import studied

pytestmark = pytest.mark.django_db
TUESDAY = datetime.datetime(2027, 3, 2, 9, 0, tzinfo=datetime.UTC)


def handout(subject_id: int) -> PdfReader:
    rendered = render_handout(Document(kind=HANDOUT_KIND, subject_id=subject_id, title="Cure schedule"))
    assert rendered.content_type == "application/pdf"
    return PdfReader(io.BytesIO(rendered.content))


class TestHandout:
    def test_names_every_coat_with_its_times_and_weights(self) -> None:
        job = planned_job(starts_at=TUESDAY)
        Plan.objects.filter(job=job).update(positions=1)
        text = " ".join(page.extract_text() for page in handout(job.pk).pages)
        made = mold_plan(job)
        for coat in made.coats:
            assert f"{coat.number}. {coat.role.label}" in text
        assert "09:00" in text
        assert "earliest" in text
        assert "safety data sheets" in text
        assert "Caution" in text
        whole = made.coats[1].mixes[0].mass.value
        assert f"{whole:.3g}" in text

    def test_shows_shell_pieces_with_their_pulls_once_the_shape_is_studied(self) -> None:
        job = planned_job(starts_at=TUESDAY)
        Plan.objects.filter(job=job).update(positions=1)
        assert not any(page.images for page in handout(job.pk).pages)
        studied(job)
        printed = handout(job.pk)
        text = " ".join(page.extract_text() for page in printed.pages)
        assert "Shell pieces and where they are pulled" in text
        assert "to the left" in text
        assert "They come off in this order: 1, then 2" in text
        assert len({image.data for page in printed.pages for image in page.images if image.image.mode != "L"}) == 2
        # A changed plan may pull otherwise: then nothing is shown rather than the pulls of another plan.
        Plan.objects.filter(job=job).update(wall_mm=13)
        assert not any(page.images for page in handout(job.pk).pages)

    @pytest.mark.parametrize(("paper", "width_pt"), [("A4", 595), ("Letter", 612)])
    def test_fits_the_studio_s_paper(self, paper: str, width_pt: int) -> None:
        job = planned_job(starts_at=TUESDAY)
        StudioProfile.objects.current()
        StudioProfile.objects.update(paper=paper)
        assert round(float(handout(job.pk).pages[0].mediabox.width)) == width_pt

    def test_says_what_is_missing(self) -> None:
        with pytest.raises(JobNotReady, match="not measured"):
            handout(JobFactory().pk)

    def test_says_that_the_job_is_gone(self) -> None:
        with pytest.raises(JobsError, match="gone"):
            handout(987654)
