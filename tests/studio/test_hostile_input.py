"""Whatever is typed into the studio's forms, the answer is a sentence, never a crash; looking changes nothing."""

from typing import Any

import pytest
from django.apps import apps
from django.test import Client

from studio.models import Person, Station, StudioProfile
from tests.factories import AccountFactory, PersonFactory, StationFactory
from tests.studio.addresses import VIEWS, address_of

pytestmark = pytest.mark.django_db

HOSTILE = [
    "NaN", "inf", "-inf", "1e400", "-0", str(10**18), "9" * 400, "\x00", "\ud7ff\ufffe", "' OR 1=1 --",
    "<script>alert(1)</script>",
    "{{7*7}}{% debug %}", "../../etc/passwd", "1,2,3.4.5", "٣٫٥", "½ ½", "x" * 1_000_000,
]  # fmt: skip
FORMS: dict[str, list[str]] = {
    "/sign-in/": ["username", "password"],
    "/account/": ["name"],
    "/account/password/": ["current", "new_password", "again"],
    "/studio/accounts/invite/": ["name", "email", "role"],
    "/studio/people/new/": ["name", "rate_per_h", "account", "isocyanate_trained_on", "isocyanate_trained_until_on", "note"],
    "/studio/stations/new/": ["name", "kind", "places", "note"],
    "/studio/profile/": [
        "name", "address", "email", "phone", "website", "registration", "currency", "tax_name", "tax_percent",
        "labour_rate_per_h",
        "overhead_per_year", "billable_hours_per_year", "margin_percent", "units", "paper", "locale", "time_zone",
        "workshop_temp_c",
        "quote_valid_days", "deposit_percent", "quote_terms", "own_hour_value", "minimum_charge", "rush_percent",
        "storage_free_months", "storage_per_month", "payment_due_days",
    ],
    "/studio/rates/mix_min/": ["mix_min-value", "mix_min-note"],
}  # fmt: skip


class TestHostileInput:
    @pytest.mark.parametrize("value", HOSTILE, ids=range(len(HOSTILE)))
    @pytest.mark.parametrize("address", FORMS)
    def test_is_answered_with_a_sentence(self, client: Client, address: str, value: str) -> None:
        if address != "/sign-in/":
            client.force_login(AccountFactory())
        response = client.post(address, dict.fromkeys(FORMS[address], value[: 1_900_000 // len(FORMS[address])]))
        assert response.status_code in ({422} if "rates" not in address and address != "/account/" else {422, 302})
        assert b"<script>alert(1)" not in response.content

    @pytest.mark.parametrize("value", ["NaN", "inf", "1e400", "9" * 400, "x" * 300_000, "\x00"])
    def test_never_becomes_a_number(self, client: Client, value: str) -> None:
        client.force_login(AccountFactory())
        StudioProfile.objects.current()
        before = StudioProfile.objects.values().get()
        numbers = {"tax_percent", "labour_rate_per_h", "overhead_per_year", "billable_hours_per_year", "workshop_temp_c"}
        answer = client.post("/studio/profile/", {**dict.fromkeys(numbers, value), "name": "Kiln Lane"})
        assert answer.status_code == 422
        errors = answer.context["form"].errors
        assert set(errors) >= numbers
        assert "name" not in errors
        assert StudioProfile.objects.values().get() == before


class TestLooking:
    def rows(self) -> dict[str, Any]:
        left_out = {"sessions.Session"}
        return {
            model._meta.label: list(model._base_manager.order_by("pk").values())
            for model in apps.get_models()
            if model._meta.label not in left_out
        }

    def test_changes_nothing(self, client: Client) -> None:
        account = AccountFactory()
        client.force_login(account)
        PersonFactory()
        StationFactory()
        client.get("/")
        before = self.rows()
        pks = {"people": Person.objects.get().pk, "stations": Station.objects.get().pk}
        addresses = {name: address_of(name) for name in VIEWS}
        for kind, pk in pks.items():
            addresses |= {f"{kind} {end}": f"/studio/{kind}/{pk}/{end}" for end in ("", "retire/", "return/")}
        addresses["hours"] = f"/studio/people/{pks['people']}/hours/"
        addresses["rate"] = "/studio/rates/mix_min/"
        addresses["close"] = f"/studio/accounts/{account.pk}/close/"
        client.raise_request_exception = False
        seen = {name: client.get(address).status_code for name, address in addresses.items()}
        assert {name: status for name, status in seen.items() if status not in {200, 302, 404, 405, 410}} == {}
        assert self.rows() == before
