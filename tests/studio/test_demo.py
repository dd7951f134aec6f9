"""The demo studio is whole, invented and loaded only where nothing stands."""

import json
import stat
from itertools import pairwise

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from costing.models import Quote
from jobs.models import Job
from jobs.services.plans import mold_plan
from materials import ledger
from materials.models import Lot, ScrapBin
from studio.access import Role
from studio.demo.finial import finial_stl
from studio.demo.passphrase import WORDS, draw_passphrase
from studio.models import Account


@pytest.fixture
def accounts(demo, taken_demo) -> list[dict[str, str]]:
    """The demo studio's accounts as the file of the sign-in tells them."""
    return json.loads(taken_demo.sign_in.read_text())["accounts"]


@pytest.mark.django_db
class TestLoadDemo:
    def test_opens_one_account_for_each_role_with_a_passphrase_that_signs_in(self, accounts, taken_demo):
        assert {account["role"] for account in accounts} == {role.value for role in Role}
        assert accounts == taken_demo.accounts
        account = Account.objects.get(email=accounts[0]["email"])
        assert account.check_password(accounts[0]["passphrase"])

    def test_keeps_the_sign_in_from_other_users_of_the_machine(self, taken_demo):
        mode = stat.S_IMODE(taken_demo.sign_in.stat().st_mode)
        assert mode == 0o600

    def test_has_jobs_in_different_states_and_computes_the_planned_ones(self, demo):
        assert Job.objects.values("state").distinct().count() >= 3
        heron = Job.objects.get(title__startswith="Heron")
        plan = mold_plan(heron)
        # A blanket weighs about 9 to 11 kg a square metre at 8 to 10 mm (common practice, no source; arithmetic of
        # density times wall); the fill and the flange come on top.
        area = heron.piece.takeoffs.first().area_m2
        assert 9 * area < plan.rubber_net.value / 1000 < 20 * area

    def test_measures_the_scanned_piece_by_its_own_profile(self, demo):
        finial = Job.objects.get(title__startswith="Gatepost")
        takeoff = finial.piece.takeoffs.first()
        assert takeoff.method == "scan"
        # Sum of cone frusta from the same profile (exact formula); 180 sides make the solid 0.02 % smaller.
        from studio.demo.finial import PROFILE

        frusta = sum(3.141592653589793 / 3 * (top - low) * (a * a + a * b + b * b) for (a, low), (b, top) in pairwise(PROFILE))
        assert takeoff.volume_m3 * 1e9 == pytest.approx(frusta, rel=5e-4)

    def test_quotes_add_up_and_stock_agrees_with_its_movements(self, demo):
        assert Quote.objects.exists()
        for quote in Quote.objects.prefetch_related("lines"):
            assert sum(line.net for line in quote.lines.all()) == quote.net_total
        for kept in [*Lot.objects.all(), *ScrapBin.objects.all()]:
            assert ledger.balances_from_movements(of=kept) == (kept.on_hand_g, kept.reserved_g)

    def test_refuses_an_installation_that_is_in_use(self, demo):
        with pytest.raises(CommandError, match="accounts already"):
            call_command("demo")

    def test_lets_the_owner_sign_in_through_the_page(self, accounts):
        owner = accounts[0]
        client = Client()
        answer = client.post("/sign-in/", {"username": owner["email"], "password": owner["passphrase"]})
        assert answer.status_code == 302
        assert client.get("/jobs/").status_code == 200


class TestDrawPassphrase:
    def test_is_long_enough_for_the_password_rules_and_never_the_same(self):
        drawn = {draw_passphrase() for _ in range(50)}
        assert len(drawn) == 50
        assert min(len(phrase) for phrase in drawn) >= 15

    def test_draws_from_words_that_are_all_different(self):
        assert len(set(WORDS)) == len(WORDS) >= 64


class TestFinialStl:
    def test_is_a_binary_stl_whose_size_agrees_with_its_count(self):
        content = finial_stl()
        count = int.from_bytes(content[80:84], "little")
        assert len(content) == 84 + 50 * count
