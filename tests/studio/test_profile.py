"""The studio's profile."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from studio.access import Role
from studio.forms.choices import currency_choices, locale_choices, time_zone_choices
from studio.forms.profile import FIELDS
from studio.models import StudioProfile
from studio.services.profile import change_profile
from tests.factories import AccountFactory

pytestmark = pytest.mark.django_db

TYPED = {
    "name": "Kestrel Castings", "address": "3 Quay\nHarwich", "email": "hello@kestrel.example", "phone": "01",
    "website": "kestrel.example",
    "registration": "GB1", "currency": "GBP", "tax_name": "VAT", "tax_percent": "17,5 %", "labour_rate_per_h": "£27,50",
    "overhead_per_year": "24000", "billable_hours_per_year": "1200", "margin_percent": "22.5", "units": "metric",
    "paper": "A4",
    "locale": "en_GB", "time_zone": "Europe/London", "workshop_temp_c": "19,5", "quote_valid_days": "30",
    "deposit_percent": "40", "payment_due_days": "21 days", "minimum_charge": "150", "rush_percent": "30",
    "own_hour_value": "18,5", "storage_free_months": "6", "storage_per_month": "4.50",
    "quote_terms": "Half first.\n\nHalf after.",
}  # fmt: skip


@pytest.fixture
def owner_client(client: Client) -> Client:
    client.force_login(AccountFactory())
    return client


def send(client: Client, **changed: Any):
    return client.post("/studio/profile/", {**TYPED, **changed})


class TestProfileEdit:
    def test_saves_all_fields_with_commas_and_signs(self, owner_client: Client) -> None:
        StudioProfile.objects.update_or_create(pk=1, defaults={"currency": "GBP"})
        page = owner_client.post("/studio/profile/", TYPED, follow=True).content.decode()
        assert "The profile is saved." in page
        profile = StudioProfile.objects.current()
        assert profile.tax_percent == Decimal("17.5")
        assert profile.labour_rate_per_h == Decimal("27.50")
        assert profile.workshop_temp_c == Decimal("19.5")
        assert profile.website == "https://kestrel.example"
        assert profile.quote_terms.splitlines() == ["Half first.", "", "Half after."]
        assert (profile.minimum_charge, profile.rush_percent, profile.storage_per_month) == (150, 30, Decimal("4.50"))
        assert (profile.storage_free_months, profile.payment_due_days, profile.own_hour_value) == (6, 21, Decimal("18.5"))
        assert not profile.deposit_covers_special
        assert set(TYPED) | {"money_hidden_from_makers", "deposit_covers_special"} == set(FIELDS)

    def test_reads_the_temperature_in_fahrenheit_in_a_us_studio(self, owner_client: Client) -> None:
        StudioProfile.objects.update_or_create(pk=1, defaults={"units": "us", "currency": "USD"})
        changed = {"currency": "USD", "units": "us", "labour_rate_per_h": "30", "workshop_temp_c": "68"}
        assert send(owner_client, **changed).status_code == 302
        # NIST SP 811: t/°C = (t/°F - 32) / 1.8, so 68 °F is 20 °C exactly.
        assert StudioProfile.objects.current().workshop_temp_c == Decimal("20")

    def test_shows_money_hidden_and_takes_the_tick(self, owner_client: Client) -> None:
        send(owner_client, labour_rate_per_h="27.50", money_hidden_from_makers="on")
        assert StudioProfile.objects.current().money_hidden_from_makers
        maker = Client()
        maker.force_login(AccountFactory(role=Role.MAKER))
        page = maker.get("/studio/people/").content.decode()
        assert "hidden from makers, by the owner" in page
        assert "Labour" not in maker.get("/studio/").content.decode()

    @pytest.mark.parametrize(
        ("field", "value", "sentence"),
        [
            ("currency", "DEM", "Choose one from the list."),
            ("currency", "XXX", "Choose one from the list."),
            ("locale", "xx_XX", "Choose one from the list."),
            ("time_zone", "../../etc/passwd", "Choose one from the list."),
            ("time_zone", "Europe/Atlantis", "Choose one from the list."),
            ("units", "cubits", "Choose one from the list."),
            ("margin_percent", "100", "This must lie between 0"),
            ("tax_percent", "-1", "This must lie between 0"),
            ("billable_hours_per_year", "0", "This must lie between"),
            ("workshop_temp_c", "2 kg", "measures mass"),
            ("website", "javascript:alert(1)", "Type the whole address"),
            ("website", "ftp://kestrel.example", "Type the whole address"),
            ("email", "a@b\r\nBcc: x@y.example", "This is not a whole e-mail address."),
            ("name", "", "Type the studio&#x27;s name."),
            ("quote_valid_days", "1.5", "whole things"),
        ],
    )
    def test_says_what_to_change_and_keeps_the_rest(self, owner_client: Client, field: str, value: str, sentence: str) -> None:
        response = send(owner_client, labour_rate_per_h="27.50", **{field: value})
        page = response.content.decode()
        assert response.status_code == 422
        assert sentence in page
        assert "Half first." in page
        assert StudioProfile.objects.current().name == "Our studio"

    def test_takes_no_field_that_is_not_on_the_page(self, owner_client: Client) -> None:
        assert send(owner_client, labour_rate_per_h="27.50", id="2", pk="2", logo="logo/other.png").status_code == 302
        assert StudioProfile.objects.count() == 1
        assert StudioProfile.objects.current().logo.name == ""
        with pytest.raises(ValueError, match="not changed by the profile form"):
            change_profile(values={"logo": "x"})

    def test_prints_markup_and_template_code_as_typed(self, owner_client: Client) -> None:
        send(owner_client, labour_rate_per_h="27.50", name="<script>x</script>{{7*7}}", address="{% debug %}")
        page = owner_client.get("/studio/profile/").content.decode()
        assert "<script>x" not in page
        assert "&lt;script&gt;x&lt;/script&gt;{{7*7}}" in page
        assert "{% debug %}" in page


class TestChoices:
    def test_hold_the_currencies_of_iso_4217_in_use(self) -> None:
        # published: ISO 4217, list one
        codes = {code for code, _ in currency_choices()}
        assert {"EUR", "USD", "GBP", "CHF", "SEK", "JPY", "PLN", "AUD", "CAD", "INR", "KWD"} <= codes
        assert not {"DEM", "FRF", "ITL", "XXX", "XTS"} & codes
        assert all(len(code) == 3 and code.isupper() for code in codes)

    def test_hold_what_the_profile_starts_with(self) -> None:
        profile = StudioProfile()
        zones = {name for _, places in time_zone_choices() for name, _ in places}
        assert profile.currency in dict(currency_choices())
        assert profile.locale in dict(locale_choices())
        assert profile.time_zone in zones
        assert {"America/New_York", "Asia/Kolkata", "UTC"} <= zones
