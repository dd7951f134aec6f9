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
