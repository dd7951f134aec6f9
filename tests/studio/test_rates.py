"""Rates of work."""

from decimal import Decimal

import pytest
from django.test import Client

from studio.access import Role
from studio.figures import SourceKind
from studio.models import StudioProfile, WorkRate
from studio.services.errors import RateError
from studio.services.rates import current_rates, reset_rate, set_rate
from studio.workrates import WORK_RATES, default_rates
from tests.factories import AccountFactory

pytestmark = pytest.mark.django_db

KEY = "print_coat_min_per_m2"


@pytest.fixture
def owner_client(client: Client) -> Client:
    client.force_login(AccountFactory(name="Ada"))
    return client


def send(client: Client, value: str, key: str = KEY, note: str = "", **extra: str):
    return client.post(f"/studio/rates/{key}/", {f"{key}-value": value, f"{key}-note": note}, **extra)


class TestCurrentRates:
    def test_are_the_defaults_until_the_studio_has_its_own(self) -> None:
        assert current_rates() == default_rates()

    def test_take_the_studio_s_own_with_its_source_and_range(self) -> None:
        set_rate(key=KEY, value=Decimal("55"), note="timed on three busts", by=AccountFactory(name="Ada"))
        rate = current_rates()[KEY]
        assert (rate.value, rate.unit, rate.label) == (55, "min/m2", WORK_RATES[KEY].label)
        assert rate.source.kind == SourceKind.OWN
        assert "Ada" in rate.source.text
        assert "timed on three busts" in rate.source.text
        assert (rate.low, rate.high) == (WORK_RATES[KEY].low, WORK_RATES[KEY].high)

    def test_cost_one_query_however_many_are_own(self, django_assert_num_queries) -> None:
        by = AccountFactory()
        for key in WORK_RATES:
            set_rate(key=key, value=Decimal(1), note="", by=by)
        with django_assert_num_queries(1):
            assert {rate.value for rate in current_rates().values()} == {1}

    def test_leave_out_a_key_that_left_the_table(self) -> None:
        WorkRate.objects.create(key="gone_min", value=3)
        assert "gone_min" not in current_rates()

    def test_refuse_what_is_not_in_the_table(self) -> None:
        with pytest.raises(RateError, match="no such rate"):
            set_rate(key="gone_min", value=Decimal(1), note="", by=AccountFactory())
        with pytest.raises(RateError, match="below zero"):
            set_rate(key=KEY, value=Decimal(-1), note="", by=AccountFactory())
        with pytest.raises(RateError):
            reset_rate(key="gone_min")


class TestRatesSet:
    def test_keeps_the_own_value_with_who_and_when(self, owner_client: Client) -> None:
        response = send(owner_client, "52,5", note="timed on three busts")
        assert response["Location"] == f"/studio/rates/#{KEY}"
        page = owner_client.get("/studio/rates/").content.decode()
        assert "Set by Ada" in page
        assert "timed on three busts" in page
        assert WorkRate.objects.get().value == Decimal("52.5")

    def test_puts_the_default_back_when_left_empty(self, owner_client: Client) -> None:
        send(owner_client, "52.5")
        send(owner_client, " ")
        assert not WorkRate.objects.exists()

    def test_reads_another_unit(self, owner_client: Client) -> None:
        send(owner_client, "1.5 h", key="coat_setup_min")
        assert WorkRate.objects.get().value == 90

    def test_reads_the_studio_s_own_unit(self, owner_client: Client) -> None:
        StudioProfile.objects.update_or_create(pk=1, defaults={"units": "us"})
        send(owner_client, "4.64515", key=KEY)
        # NIST SP 811: 1 ft² = 0.09290304 m², so 4.64515 min/ft² = 50.0000 min/m²
        assert WorkRate.objects.get().value == pytest.approx(Decimal("50"), abs=Decimal("0.001"))

    @pytest.mark.parametrize("value", ["-1", "NaN", "1e400", "inf", "2 kg", "soon", "9" * 30, "x" * 1_000_000])
    def test_keeps_what_was_typed_and_says_what_to_change(self, owner_client: Client, value: str) -> None:
        response = send(owner_client, value)
        page = response.content.decode()
        assert response.status_code == 422
        assert "<details open>" in page
        assert f'id="id_{KEY}-value_error"' in page
        assert value[:20] in page
        assert not WorkRate.objects.exists()

    def test_answers_htmx_with_the_changed_line_alone(self, owner_client: Client) -> None:
        response = send(owner_client, "52.5", headers={"hx-request": "true"})
        page = response.content.decode()
        assert response.status_code == 200
        assert page.count('class="rate"') == 1
        assert "plans now use" in page
        assert "HX-Request" in response["Vary"]
        refused = send(owner_client, "soon", headers={"hx-request": "true"})
        assert refused.status_code == 422
        assert refused.content.decode().count('class="rate"') == 1
        assert "soon" in refused.content.decode()

    def test_says_when_a_value_lies_outside_the_usual(self, owner_client: Client) -> None:
        send(owner_client, "55")
        assert "outside the usual range" not in owner_client.get("/studio/rates/").content.decode()
        send(owner_client, "400")
        assert "outside the usual range" in owner_client.get("/studio/rates/").content.decode()

    def test_knows_no_other_rates(self, owner_client: Client) -> None:
        assert send(owner_client, "1", key="gone_min").status_code == 404

    def test_is_for_the_owner(self, client: Client) -> None:
        client.force_login(AccountFactory(role=Role.MAKER))
        assert send(client, "1").status_code == 403
        assert "<form" not in client.get("/studio/rates/").content.decode().split("<main")[1]


class TestRatesReset:
    def test_puts_the_default_back_and_says_what_was_there(self, owner_client: Client) -> None:
        send(owner_client, "52.5")
        page = owner_client.post(f"/studio/rates/{KEY}/default/", follow=True).content.decode()
        assert "the default holds again; your own was 52.5" in page
        assert not WorkRate.objects.exists()


class TestRatesList:
    def test_shows_every_rate_with_its_source(self, owner_client: Client) -> None:
        page = owner_client.get("/studio/rates/").content.decode()
        for kind in WORK_RATES.values():
            assert f'id="{kind.key}"' in page
            assert kind.source.kind.value in page
