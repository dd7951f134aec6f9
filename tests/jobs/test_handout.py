import datetime
import io

import pytest
import time_machine
from pypdf import PdfReader

from jobs.calendar import calendar_of, studio_hours
from jobs.days.reading import entries
from jobs.documents import HANDOUT_KIND, render_handout
from jobs.errors import JobNotReady, JobsError
from jobs.models import Plan, TimetableEntry
from jobs.services.plans import mold_plan
from jobs.timetable_calendar import NOT_IN_USE, OTHER_PLAN, laid_tasks, work_times
from studio.models import Document, StudioProfile
from tests.factories import JobFactory, PersonFactory, planned_job
from tests.jobs.feeds.laid import MONDAY, entry, timetable_in_use
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


class TestHandoutByTheTimetable:
    def test_has_the_entries_clock_times_with_who_and_says_from_which_days(self) -> None:
        job = planned_job(starts_at=TUESDAY)
        Plan.objects.filter(job=job).update(positions=1)
        StudioProfile.objects.current()
        StudioProfile.objects.update(time_zone="UTC")
        made, hour = mold_plan(job), datetime.timedelta(hours=1)
        ann, bo = PersonFactory(name="Ann"), PersonFactory(name="Bo")
        table, at = timetable_in_use(MONDAY), MONDAY + 7 * 24 * hour
        for number, task in enumerate(made.tasks):
            begin = at + number * 5 * hour
            last = begin + hour
            entry(table, job, task.key, begin, ann, label=task.label, waits_until_at=last + hour, latest_next_at=last + 2 * hour)
        TimetableEntry.objects.filter(task_key="castings").update(label="Cast the run (1 of 2)", task_key="castings#1")
        entry(table, job, "castings#2", at + 500 * hour, bo, label="Cast the run (2 of 2)", visit=True)
        late = TimetableEntry.objects.filter(task_key="coat_2")
        late.update(late_min=95, remedy="Abrade it.")
        with time_machine.travel(MONDAY, tick=False):
            text = " ".join(" ".join(page.extract_text() for page in handout(job.pk).pages).split())
        assert "Clock times are those of the days used since Mon 1 Mar" in text
        for coat in made.coats:
            found = TimetableEntry.objects.get(task_key=f"coat_{coat.number}")
            begin, end, after, closes = found.starts_at, found.ends_at, found.waits_until_at, found.latest_next_at
            assert after is not None
            assert closes is not None
            assert f"{begin:%a} {begin.day} {begin:%b %H:%M} to {end:%H:%M}" in text
            if coat is not made.coats[-1]:
                assert f"{after:%a} {after.day} {after:%b %H:%M}" in text
                assert f"{closes:%a} {closes.day} {closes:%b %H:%M}" in text
        assert text.count("Ann") >= len(made.tasks) - 1
        assert "It begins 1 h 35 min after its window closed. Abrade it." in text
        shell = TimetableEntry.objects.filter(task_key__startswith="shell_")[0]
        for words in (shell.label, "Cast the run (1 of 2)", "Cast the run (2 of 2)", "Bo, outside of hours", "Open the mold"):
            assert words in text, words
        assert f"{shell.starts_at:%a} {shell.starts_at.day} {shell.starts_at:%b %H:%M} to {shell.ends_at:%H:%M}" in text

    def test_takes_no_times_from_days_laid_out_for_another_plan(self) -> None:
        job = planned_job(starts_at=TUESDAY)
        Plan.objects.filter(job=job).update(positions=1)
        made = mold_plan(job)
        times = work_times(job, made)
        assert (times.timetable, times.words) == (None, NOT_IN_USE)
        assert times.calendar == calendar_of(job, made, studio_hours())
        table, bo = timetable_in_use(MONDAY), PersonFactory()
        entry(table, job, "coat_1", MONDAY, bo)
        times = work_times(job, made)
        assert (times.timetable, times.tasks, times.words) == (None, {}, OTHER_PLAN)
        for coat in made.coats[1:]:
            entry(table, job, f"coat_{coat.number}", MONDAY + datetime.timedelta(hours=coat.number), bo)
        times = work_times(job, made)
        assert times.timetable == table
        assert times.calendar.coats[0].starts_at == MONDAY

    def test_takes_the_parts_of_a_task_together_and_the_waits_of_what_was_done_from_the_plan(self) -> None:
        job = planned_job(starts_at=TUESDAY)
        Plan.objects.filter(job=job).update(positions=1)
        made, table, hour = mold_plan(job), timetable_in_use(MONDAY), datetime.timedelta(hours=1)
        ann, bo = PersonFactory(name="Ann"), PersonFactory(name="Bo")
        for number, who in ((1, bo), (2, ann)):
            entry(
                table, job, f"coat_1#{number}", MONDAY + number * hour, who, label=f"Print coat ({number} of 2)", minutes=60,
                done=True,
            )  # fmt: skip
        (task,) = laid_tasks(entries(table), made).values()
        planned = next(one for one in made.tasks if one.key == "coat_1")
        assert planned.latest_next_min is not None
        assert (task.label, task.people, task.done) == ("Print coat", ("Ann", "Bo"), True)
        assert (task.starts_at, task.ends_at) == (MONDAY + hour, MONDAY + 3 * hour)
        wait = datetime.timedelta(minutes=round(planned.wait_after_min))
        assert task.earliest_next_at == MONDAY + 3 * hour + wait
        assert task.latest_next_at == MONDAY + 3 * hour + datetime.timedelta(minutes=round(planned.latest_next_min))
