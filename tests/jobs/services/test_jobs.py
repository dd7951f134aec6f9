from typing import Any

import pytest

from jobs.errors import JobsError, MoveNotAllowed
from jobs.models import Job, Piece, Plan
from jobs.services.jobs import FIRST_NUMBER, add_job, move_job
from studio.models import StudioProfile
from tests.factories import ClientFactory, JobFactory


@pytest.mark.django_db
class TestAddJob:
    def test_counts_from_the_first_number(self) -> None:
        client = ClientFactory()
        numbers = [add_job(title="Urn", client=client, piece_name="Urn").number for _ in range(3)]
        assert numbers == [FIRST_NUMBER, FIRST_NUMBER + 1, FIRST_NUMBER + 2]

    def test_goes_on_from_the_highest_number(self) -> None:
        JobFactory(number=740)
        assert add_job(title="Urn", client=ClientFactory(), piece_name="").number == 741

    def test_brings_a_piece_and_a_plan_at_the_workshop_temperature(self) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(workshop_temp_c=18)
        job = add_job(title="Urn", client=ClientFactory(), piece_name="Marble urn")
        assert job.piece.name == "Marble urn"
        assert Plan.objects.get(job=job).temperature_c == 18

    def test_calls_the_piece_as_the_job_when_it_has_no_name(self) -> None:
        assert add_job(title="Urn", client=ClientFactory(), piece_name="").piece.name == "Urn"


@pytest.mark.django_db
class TestAddJobAtOnce:
    def test_takes_the_next_number_when_somebody_was_faster(self, monkeypatch: pytest.MonkeyPatch) -> None:
        from jobs.services import jobs as service

        JobFactory(number=FIRST_NUMBER)
        real, seen_too_early = service._next_number, [FIRST_NUMBER]
        monkeypatch.setattr(service, "_next_number", lambda: seen_too_early.pop() if seen_too_early else real())
        assert add_job(title="Urn", client=ClientFactory(), piece_name="Urn").number == FIRST_NUMBER + 1
        assert Piece.objects.filter(name="Urn").count() == 1

    def test_gives_up_with_a_sentence(self, monkeypatch: pytest.MonkeyPatch) -> None:
        from jobs.services import jobs as service

        JobFactory(number=FIRST_NUMBER)
        monkeypatch.setattr(service, "_next_number", lambda: FIRST_NUMBER)
        with pytest.raises(JobsError, match="at once"):
            add_job(title="Urn", client=ClientFactory(), piece_name="Urn")


@pytest.mark.django_db
class TestMoveJob:
    def test_goes_where_the_table_allows(self) -> None:
        job = JobFactory(state=Job.State.QUOTED)
        assert move_job(job=job, to=Job.State.AGREED) == Job.State.QUOTED
        job.refresh_from_db()
        assert job.state == Job.State.AGREED

    @pytest.mark.parametrize("target", ["delivered", "enquiry", "", "nonsense"])
    def test_refuses_every_other_move(self, target: Any) -> None:
        job = JobFactory(state=Job.State.AGREED)
        with pytest.raises(MoveNotAllowed, match="cannot go"):
            move_job(job=job, to=target)
        job.refresh_from_db()
        assert job.state == Job.State.AGREED
