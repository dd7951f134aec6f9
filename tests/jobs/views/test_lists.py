import datetime
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client as Browser

from jobs.models import Client, Job
from studio.access import Role
from tests.factories import ClientFactory, JobFactory

pytestmark = pytest.mark.django_db


class TestJobsList:
    def test_offers_the_first_job_when_there_is_none(self, owner_client: Browser) -> None:
        answer = owner_client.get("/jobs/")
        assert "Add the first job" in answer.content.decode()

    def test_shows_open_jobs_until_asked_otherwise(self, owner_client: Browser) -> None:
        JobFactory(title="Open urn")
        JobFactory(title="Finished urn", state=Job.State.DELIVERED)
        assert "Finished urn" not in owner_client.get("/jobs/").content.decode()
        assert "Finished urn" in owner_client.get("/jobs/?which=all").content.decode()
        assert "Open urn" not in owner_client.get("/jobs/?which=closed").content.decode()

    def test_finds_by_day_and_by_words(self, owner_client: Browser) -> None:
        JobFactory(title="Early urn", promised_on=datetime.date(2027, 1, 5))
        JobFactory(title="Late urn", promised_on=datetime.date(2027, 5, 5), client__name="Orangery")
        early = owner_client.get("/jobs/?before=2027-03-01").content.decode()
        assert "Early urn" in early
        assert "Late urn" not in early
        words = owner_client.get("/jobs/?words=orangery+late").content.decode()
        assert "Late urn" in words
        assert "Early urn" not in words

    def test_answers_a_part_to_htmx_and_the_page_to_a_history_restore(self, owner_client: Browser) -> None:
        JobFactory()
        part = owner_client.get("/jobs/", headers={"HX-Request": "true"})
        assert "<html" not in part.content.decode()
        assert "HX-Request" in part["Vary"]
        whole = owner_client.get("/jobs/", headers={"HX-Request": "true", "HX-History-Restore-Request": "true"})
        assert "<html" in whole.content.decode()

    def test_asks_as_often_for_thirty_jobs_as_for_three(
        self, owner_client: Browser, django_assert_max_num_queries: Any, count_queries: Callable[[str], int]
    ) -> None:
        JobFactory.create_batch(3)
        few = count_queries("/jobs/")
        JobFactory.create_batch(27)
        assert count_queries("/jobs/") == few

    @pytest.mark.parametrize(
        "query", ["which=nonsense", "before=yesterday", "before=99999-99-99", "words=" + "x" * 5000, "page=1e400", "words=%00"]
    )
    def test_survives_any_query(self, owner_client: Browser, query: str) -> None:
        JobFactory(title="Open urn")
        answer = owner_client.get(f"/jobs/?{query}")
        assert answer.status_code in {200, 422}

    def test_is_closed_to_the_stranger(self) -> None:
        assert Browser().get("/jobs/").status_code == 302


class TestJobAdd:
    def test_adds_with_a_client_of_the_list(self, owner_client: Browser) -> None:
        client = ClientFactory()
        answer = owner_client.post("/jobs/add/", {"title": "Urn", "client": client.pk, "piece_name": "Urn"})
        job = Job.objects.get()
        assert answer["Location"] == f"/jobs/{job.number}/"
        assert job.client == client

    def test_adds_a_new_client_in_the_same_form(self, owner_client: Browser) -> None:
        owner_client.post("/jobs/add/", {"title": "Urn", "new_client": "Orangery", "new_client_email": "o@example.org"})
        assert Job.objects.get().client.name == "Orangery"
        assert Client.objects.get().email == "o@example.org"

    @pytest.mark.parametrize(
        ("fault", "sentence"),
        [
            ({"title": ""}, "Please look at"),
            ({"new_client": ""}, "Choose the client"),
            ({"promised_on": "soon"}, "Enter a valid date"),
            ({"client": "999999"}, "Select a valid choice"),
            ({"client": "1e400"}, "Select a valid choice"),
            ({"title": "x" * 121}, "at most 120"),
            ({"title": "a\0b"}, "Null characters"),
        ],
    )
    def test_keeps_all_that_was_typed(self, owner_client: Browser, fault: dict[str, str], sentence: str) -> None:
        typed = {"title": "Kept title", "piece_name": "Kept piece", "new_client": "Kept client", "note": "Kept note"}
        answer = owner_client.post("/jobs/add/", {**typed, **fault})
        page = answer.content.decode()
        assert answer.status_code == 422
        assert sentence in page
        assert all(value in page for name, value in typed.items() if name not in fault)
        assert not Job.objects.exists()
        assert not Client.objects.exists()


class TestClients:
    def test_lists_them_with_their_jobs(self, owner_client: Browser, count_queries: Callable[[str], int]) -> None:
        JobFactory(client__name="Orangery")
        assert "1 open of 1 job" in owner_client.get("/jobs/clients/").content.decode()
        few = count_queries("/jobs/clients/")
        JobFactory.create_batch(20)
        assert count_queries("/jobs/clients/") == few

    def test_are_added_and_changed(self, owner_client: Browser) -> None:
        owner_client.post("/jobs/clients/add/", {"name": "Orangery", "email": "o@example.org"})
        client = Client.objects.get()
        owner_client.post(f"/jobs/clients/{client.pk}/change/", {"name": "The Orangery", "phone": "123"})
        client.refresh_from_db()
        assert (client.name, client.email, client.phone) == ("The Orangery", "", "123")

    def test_keep_what_was_typed(self, owner_client: Browser) -> None:
        answer = owner_client.post("/jobs/clients/add/", {"name": "Kept name", "email": "no address"})
        assert answer.status_code == 422
        assert "Kept name" in answer.content.decode()
        assert not Client.objects.exists()

    def test_show_their_jobs(self, owner_client: Browser) -> None:
        job = JobFactory(title="Their urn")
        assert "Their urn" in owner_client.get(f"/jobs/clients/{job.client_id}/").content.decode()


class TestJobMove:
    def test_moves_and_says_so(self, signed_in: Callable[[Role], Browser]) -> None:
        job = JobFactory()
        browser = signed_in(Role.OFFICE)
        answer = browser.post(f"/jobs/{job.number}/move/", {"to": "agreed"}, follow=True)
        assert "is “agreed” now" in answer.content.decode()

    def test_refuses_with_a_sentence(self, owner_client: Browser) -> None:
        job = JobFactory()
        answer = owner_client.post(f"/jobs/{job.number}/move/", {"to": "delivered"}, follow=True)
        assert "cannot go to" in answer.content.decode()

    def test_does_nothing_on_a_visit(self, owner_client: Browser) -> None:
        assert owner_client.get(f"/jobs/{JobFactory().number}/move/").status_code == 405


class TestJobShow:
    def test_says_what_is_next(self, owner_client: Browser) -> None:
        page = owner_client.get(f"/jobs/{JobFactory().number}/").content.decode()
        assert "Measure the piece" in page

    @pytest.mark.parametrize(
        "address",
        [
            "/jobs/{n}/",
            "/jobs/{n}/mold/",
            "/jobs/{n}/piece/tape/",
            "/jobs/clients/{n}/",
            "/jobs/101/piece/scans/{n}/",
            "/jobs/{n}/days/",
        ],
    )
    def test_knows_no_job_of_that_number(self, owner_client: Browser, address: str) -> None:
        for number in ("999", "9" * 30):
            assert owner_client.get(address.format(n=number)).status_code == 404

    def test_takes_a_client_of_any_number(self, owner_client: Browser) -> None:
        assert owner_client.get(f"/jobs/add/?client={'9' * 40}").status_code == 200
        assert owner_client.post("/jobs/add/", {"title": "Urn", "client": "9" * 40}).status_code == 422
