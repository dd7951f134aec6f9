import datetime
from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client as Browser
from django.utils import timezone

from jobs.documents import HANDOUT_KIND
from studio.models import Document, StudioProfile
from tests.factories import planned_job

pytestmark = pytest.mark.django_db
MONDAY = datetime.datetime(2027, 3, 1, 6, 0, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def _on_monday() -> Iterator[None]:
    with time_machine.travel(MONDAY, tick=False):
        yield


class TestJobDaysShow:
    def test_lays_the_coats_out_from_the_start(self, owner_client: Browser) -> None:
        job = planned_job()
        owner_client.post(f"/jobs/{job.number}/days/", {"day": "2027-03-02", "hour": "10:30"})
        page = owner_client.get(f"/jobs/{job.number}/days/")
        job.refresh_from_db()
        assert job.starts_at == datetime.datetime(2027, 3, 2, 10, 30, tzinfo=datetime.UTC)
        assert timezone.localtime(page.context["calendar"].coats[0].starts_at).hour == 10
        assert "10:30 to" in page.content.decode()

    def test_reads_the_hour_in_the_studio_s_zone(self, owner_client: Browser) -> None:
        job = planned_job()
        StudioProfile.objects.current()
        StudioProfile.objects.update(time_zone="America/New_York")
        owner_client.post(f"/jobs/{job.number}/days/", {"day": "2027-03-02", "hour": "10:30"})
        job.refresh_from_db()
        assert job.starts_at == datetime.datetime(2027, 3, 2, 15, 30, tzinfo=datetime.UTC)

    def test_leaves_the_start_open_again(self, owner_client: Browser) -> None:
        job = planned_job(starts_at=MONDAY)
        owner_client.post(f"/jobs/{job.number}/days/", {"action": "clear"})
        job.refresh_from_db()
        assert job.starts_at is None

    @pytest.mark.parametrize(("day", "hour"), [("soon", "10:30"), ("2027-03-02", "25:00"), ("9999-01-01", "10:00"), ("", "")])
    def test_says_what_is_wrong(self, owner_client: Browser, day: str, hour: str) -> None:
        job = planned_job()
        answer = owner_client.post(f"/jobs/{job.number}/days/", {"day": day, "hour": hour})
        assert answer.status_code == 422
        job.refresh_from_db()
        assert job.starts_at is None

    def test_flags_a_window_that_closes_when_nobody_works(self, owner_client: Browser) -> None:
        # The print coat of Friday afternoon must not lie alone until Monday.
        job = planned_job(starts_at=datetime.datetime(2027, 3, 5, 16, 20, tzinfo=datetime.UTC))
        page = owner_client.get(f"/jobs/{job.number}/days/")
        assert page.context["flagged"]
        assert "closes when nobody works" in page.content.decode()

    def test_asks_for_the_handout(self, owner_client: Browser) -> None:
        job = planned_job()
        owner_client.post(f"/jobs/{job.number}/days/handout/")
        assert Document.objects.get().kind == HANDOUT_KIND
        assert f"Cure schedule of job {job.number}" in owner_client.get(f"/jobs/{job.number}/days/").content.decode()
