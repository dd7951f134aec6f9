"""People, their training and their hours."""

from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client

from studio.access import Role
from studio.models import Person, StudioProfile, WorkingHours
from studio.services.errors import PeopleError
from studio.services.hours import hours_between, week_hours_by_person
from studio.services.people import add_hours, remove_hours, training_until
from tests.factories import AccountFactory, PersonFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner_client(client: Client) -> Client:
    client.force_login(AccountFactory())
    return client


def typed(**changed: Any) -> dict[str, Any]:
    return {
        "name": "Bo",
        "rate_per_h": "27,50",
        "account": "",
        "isocyanate_trained_on": "",
        "isocyanate_trained_until_on": "",
        **changed,
    }


class TestPeopleAdd:
    def test_adds_a_person_and_asks_for_the_hours(self, owner_client: Client) -> None:
        response = owner_client.post("/studio/people/new/", typed(isocyanate_trained_on="2026-03-01"), follow=True)
        bo = Person.objects.get()
        assert bo.rate_per_h == Decimal("27.50")
        assert bo.isocyanate_trained_until_on == date(2031, 2, 28)
        assert response.redirect_chain[0][0] == f"/studio/people/{bo.pk}/hours/"
        assert "Now say when Bo works." in response.content.decode()

    @pytest.mark.parametrize(
        ("field", "value", "sentence"),
        [
            ("name", " ", "Type the person&#x27;s name."),
            ("name", "x" * 121, "120"),
            ("rate_per_h", "-1", "This must lie between"),
            ("rate_per_h", "$27", "write the amount in it"),
            ("account", "999", "That account is closed or belongs to another person."),
            ("isocyanate_trained_on", "yesterday", "This is not a day."),
            ("isocyanate_trained_on", "2026-02-30", "This is not a day."),
        ],
    )
    def test_says_what_to_change(self, owner_client: Client, field: str, value: str, sentence: str) -> None:
        response = owner_client.post("/studio/people/new/", typed(note="kept as typed", **{field: value}))
        assert response.status_code == 422
        assert sentence in response.content.decode()
        assert "kept as typed" in response.content.decode()
        assert not Person.objects.exists()

    def test_refuses_training_that_counts_longer_than_the_law_lets_it(self, owner_client: Client) -> None:
        days = {"isocyanate_trained_on": "2026-03-01", "isocyanate_trained_until_on": "2031-03-01"}
        response = owner_client.post("/studio/people/new/", typed(**days))
        assert response.status_code == 422
        assert "counts until 2031-02-28 at the latest" in response.content.decode()
        days["isocyanate_trained_until_on"] = "2031-02-28"
        assert owner_client.post("/studio/people/new/", typed(**days)).status_code == 302


class TestPeopleEdit:
    def test_changes_a_person_but_not_whose_account_is_taken(self, owner_client: Client) -> None:
        taken = AccountFactory()
        PersonFactory(account=taken)
        bo = PersonFactory(name="Bo")
        refused = owner_client.post(f"/studio/people/{bo.pk}/", typed(account=taken.pk))
        assert refused.status_code == 422
        free = AccountFactory()
        assert owner_client.post(f"/studio/people/{bo.pk}/", typed(name="Bo Cast", account=free.pk)).status_code == 302
        bo.refresh_from_db()
        assert (bo.name, bo.account) == ("Bo Cast", free)

    def test_answers_404_for_nobody(self, owner_client: Client) -> None:
        assert owner_client.get("/studio/people/999/").status_code == 404


class TestPeopleRetire:
    def test_leaves_a_person_out_and_brings_them_back(self, owner_client: Client) -> None:
        bo = PersonFactory(name="Bo")
        page = owner_client.post(f"/studio/people/{bo.pk}/retire/", follow=True).content.decode()
        assert "Worked here before" in page
        bo.refresh_from_db()
        assert not bo.active
        owner_client.post(f"/studio/people/{bo.pk}/return/")
        bo.refresh_from_db()
        assert bo.active


class TestPeopleList:
    def test_says_what_will_stand_there(self, owner_client: Client) -> None:
        assert "Nobody yet." in owner_client.get("/studio/people/").content.decode()

    def test_shows_whose_training_ran_out(self, client: Client) -> None:
        PersonFactory(isocyanate_trained_until_on=date(2027, 11, 24))
        account = AccountFactory()
        with time_machine.travel("2027-11-24 20:00:00+00:00"):
            client.force_login(account)
            assert "ran out" not in client.get("/studio/people/").content.decode()
        with time_machine.travel("2027-11-25 00:01:00+00:00"):
            page = client.get("/studio/people/").content.decode()
        assert "ran out" in page
        assert "Regulation (EU) 2020/1149" in page

    def test_shows_rates_of_pay_only_to_whom_may_see_money(self) -> None:
        PersonFactory(rate_per_h=Decimal("31.37"))
        StudioProfile.objects.update_or_create(pk=1, defaults={"money_hidden_from_makers": True})
        pages = {}
        for role in Role:
            client = Client()
            client.force_login(AccountFactory(role=role))
            pages[role] = client.get("/studio/people/").content.decode()
        assert "31.37" in pages[Role.OWNER]
        assert "31.37" in pages[Role.OFFICE]
        assert "31.37" not in pages[Role.MAKER]


class TestTrainingUntil:
    # standard: Regulation (EU) 2020/1149, training renewed at least every five years
    @pytest.mark.parametrize(
        ("held", "until"),
        [(date(2023, 8, 24), date(2028, 8, 23)), (date(2024, 2, 29), date(2029, 2, 28)), (date(2026, 1, 1), date(2030, 12, 31))],
    )
    def test_is_the_last_day_of_five_years(self, held: date, until: date) -> None:
        assert training_until(held) == until


class TestHours:
    def hours(self, **changed: Any) -> dict[str, Any]:
        return {"weekdays": ["0", "1"], "starts_at": "09:00", "ends_at": "17:30", "where": "bench", **changed}

    def test_are_added_to_several_days_at_once(self, owner_client: Client) -> None:
        bo = PersonFactory()
        response = owner_client.post(f"/studio/people/{bo.pk}/hours/add/", self.hours(), follow=True)
        assert "Added: Monday 09:00 to 17:30, Tuesday 09:00 to 17:30." in response.content.decode()
        assert week_hours_by_person()[bo.pk].bench_h == 17

    def test_read_times_as_people_type_them(self, owner_client: Client) -> None:
        bo = PersonFactory()
        assert (
            owner_client.post(f"/studio/people/{bo.pk}/hours/add/", self.hours(starts_at="9", ends_at="17.30")).status_code == 302
        )
        assert bo.hours.first().ends_at == time(17, 30)

    @pytest.mark.parametrize(
        ("changed", "sentence"),
        [
            ({"weekdays": []}, "Tick one day at least."),
            ({"weekdays": ["7"]}, "Tick days of the week only."),
            ({"weekdays": ["x"]}, "Tick days of the week only."),
            ({"starts_at": "25:00"}, "This is not a time."),
            ({"ends_at": "09:00"}, "This is not after the start."),
            ({"ends_at": "02:00"}, "Hours past midnight are two stretches"),
            ({"where": "moon"}, "Choose the bench or home."),
        ],
    )
    def test_say_what_to_change(self, owner_client: Client, changed: dict[str, Any], sentence: str) -> None:
        bo = PersonFactory()
        response = owner_client.post(f"/studio/people/{bo.pk}/hours/add/", self.hours(**changed))
        assert response.status_code == 422
        assert sentence in response.content.decode()
        assert not WorkingHours.objects.exists()

    def test_may_touch_but_not_overlap(self, owner_client: Client) -> None:
        bo, cy = PersonFactory(), PersonFactory()
        add_hours(person=bo, weekdays=[0], starts_at=time(9), ends_at=time(12), where="bench")
        add_hours(person=bo, weekdays=[0], starts_at=time(12), ends_at=time(13), where="home")
        add_hours(person=cy, weekdays=[0], starts_at=time(9), ends_at=time(12), where="bench")
        with pytest.raises(PeopleError, match="overlap Monday 09:00 to 12:00, at the bench"):
            add_hours(person=bo, weekdays=[1, 0], starts_at=time(11), ends_at=time(14), where="home")
        assert bo.hours.count() == 2
        response = owner_client.post(f"/studio/people/{bo.pk}/hours/add/", self.hours(starts_at="08:00", ends_at="20:00"))
        assert response.status_code == 422
        assert "Remove that stretch first" in response.content.decode()
        assert 'value="20:00"' in response.content.decode()

    def test_are_removed_and_put_back(self, owner_client: Client) -> None:
        bo = PersonFactory()
        [stretch] = add_hours(person=bo, weekdays=[4], starts_at=time(9), ends_at=time(12), where="home")
        page = owner_client.post(f"/studio/people/{bo.pk}/hours/{bo.hours.get().pk}/remove/", follow=True).content.decode()
        assert "Removed: Friday 09:00 to 12:00, from home" in page
        assert not bo.hours.exists()
        for part in ('name="weekdays" value="4"', 'name="starts_at" value="09:00"', 'name="where" value="home"'):
            assert part in page
        owner_client.post(f"/studio/people/{bo.pk}/hours/add/", self.hours(weekdays=["4"], ends_at="12:00", where="home"))
        assert str(bo.hours.get()) == str(stretch)

    def test_of_another_person_are_out_of_reach(self, owner_client: Client) -> None:
        bo, cy = PersonFactory(), PersonFactory()
        add_hours(person=cy, weekdays=[4], starts_at=time(9), ends_at=time(12), where="home")
        response = owner_client.post(f"/studio/people/{bo.pk}/hours/{cy.hours.get().pk}/remove/")
        assert response.status_code == 422
        assert cy.hours.count() == 1
        with pytest.raises(PeopleError, match="removed already"):
            remove_hours(person=bo, hours_id=cy.hours.get().pk)

    def test_until_a_minute_to_midnight_count_to_midnight(self) -> None:
        assert hours_between(time(22), time(23, 59)) == 2
        assert hours_between(time(9), time(17, 30)) == 8.5

    def test_can_be_read_but_not_changed_by_a_maker(self, client: Client) -> None:
        bo = PersonFactory()
        client.force_login(AccountFactory(role=Role.MAKER))
        page = client.get(f"/studio/people/{bo.pk}/hours/")
        assert page.status_code == 200
        assert "<button" not in page.content.decode().split("<main")[1]
        assert client.post(f"/studio/people/{bo.pk}/hours/add/", self.hours()).status_code == 403
