"""Sessions of cutting and seating, the studio's own minutes, and what scrap is worth, through the pages."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from materials.models import ScrapCut
from materials.services.scrap_work import note_session
from materials.services.scrap_worth import bin_worth, terms_now
from studio.access import Role
from studio.models import StudioProfile, WorkRate
from studio.services.rates import set_rate
from tests.factories import AccountFactory, MaterialFactory, PackFactory, ScrapBinFactory
from tests.materials.pages import address, questions, text_of

pytestmark = pytest.mark.django_db


def session(minutes: int = 24, **fields: Any) -> ScrapCut:
    kept = fields.pop("scrap_bin", None) or ScrapBinFactory()
    return note_session(
        scrap_bin=kept, work="cutting", mass_g=Decimal(2000), minutes=Decimal(minutes), on=timezone.localdate(), **fields
    )


class TestSessions:
    def test_are_noted_on_a_bin_and_taken_out_without_losing_what_they_said(self, owner_client: Client) -> None:
        kept = ScrapBinFactory(holding=3000)
        today = timezone.localdate().isoformat()
        typed = {"worked-work": "seating", "worked-mass_g": "1.2 kg", "worked-minutes": "8", "worked-on": today}
        owner_client.post(address("scrap_worked", kept.pk), typed)
        noted = ScrapCut.objects.get()
        assert (noted.work, noted.mass_g, noted.minutes, noted.movement) == ("seating", 1200, 8, None)
        kept.refresh_from_db()
        assert kept.on_hand_g == 3000
        owner_client.post(address("session_forget", noted.pk))
        assert not ScrapCut.objects.exists()
        form: Any = owner_client.get(address("scrap_show", kept.pk)).context["forms"]["worked"]
        assert (form["work"].value(), form["mass_g"].value()) == ("seating", "1200")
        assert owner_client.post(address("session_forget", noted.pk)).status_code == 404

    @pytest.mark.parametrize(
        ("more", "says"),
        [
            ({"minutes": "9000"}, "cannot be"),
            ({"mass_g": ""}, ""),
            ({"on": "2999-01-01"}, "has not come"),
            ({"work": "naps"}, ""),
        ],
    )
    def test_refuse_what_cannot_be(self, owner_client: Client, more: dict[str, str], says: str) -> None:
        kept = ScrapBinFactory()
        typed = {"work": "cutting", "mass_g": "1.234 kg", "minutes": "8", "on": timezone.localdate().isoformat(), **more}
        answer = owner_client.post(address("scrap_worked", kept.pk), {f"worked-{name}": value for name, value in typed.items()})
        assert answer.status_code == 422
        assert says in text_of(answer.content)
        assert not ScrapCut.objects.exists()


class TestOwnMinutes:
    def test_are_taken_over_in_one_click_and_put_back(self, owner_client: Client) -> None:
        set_rate(key="scrap_cut_min_per_kg", value=Decimal(14), note="guess", by=AccountFactory())
        session(20)
        assert "Plan with these" not in text_of(owner_client.get(address("scrap_list")).content)
        session(30)
        page = text_of(owner_client.get(address("scrap_list")).content)
        assert "2 sessions noted" in page
        assert "Plan with these" in page
        owner_client.post(address("minutes_take"), {"work": "cutting"})
        assert WorkRate.objects.get().value == Decimal("12.5")
        assert owner_client.post(address("minutes_take"), {"work": "cutting"}).status_code == 422
        owner_client.post(address("minutes_back"), {"work": "cutting"})
        assert (WorkRate.objects.get().value, WorkRate.objects.get().note) == (14, "guess")
        assert owner_client.post(address("minutes_back"), {"work": "cutting"}).status_code == 422

    def test_go_back_to_the_default_unless_somebody_changed_the_rate_since(self, owner_client: Client) -> None:
        session(20)
        session(30)
        owner_client.post(address("minutes_take"), {"work": "cutting"})
        set_rate(key="scrap_cut_min_per_kg", value=Decimal(9), note="", by=AccountFactory())
        answer = owner_client.post(address("minutes_back"), {"work": "cutting"})
        assert "was changed since" in text_of(answer.content)
        owner_client.post(address("minutes_take"), {"work": "cutting"})
        WorkRate.objects.all().delete()
        owner_client.post(address("minutes_take"), {"work": "cutting"})
        owner_client.post(address("minutes_back"), {"work": "cutting"})
        assert not WorkRate.objects.exists()

    def test_are_not_taken_over_by_makers(self, signed_in: Any) -> None:
        session(20)
        session(30)
        maker = signed_in(Role.MAKER)
        assert "Plan with these" not in text_of(maker.get(address("scrap_list")).content)
        assert maker.post(address("minutes_take"), {"work": "cutting"}).status_code == 403


class TestWorth:
    def test_is_shown_with_its_working_to_who_may_see_money(self, owner_client: Client, signed_in: Any) -> None:
        # Worked by hand: 2.376 kg at 22 less 6 min/kg of seating at 35 an hour = 52.272 - 8.316; unwashed 10 min/kg more.
        rubber = MaterialFactory(family="north")
        PackFactory(material=rubber)
        StudioProfile.objects.current()
        StudioProfile.objects.update(labour_rate_per_h=35)
        washed, soiled = (ScrapBinFactory(family="north", washed=washed, holding=2376) for washed in (True, False))
        terms = terms_now(StudioProfile.objects.current())
        worths = [found.worth for found in (bin_worth(washed, terms), bin_worth(soiled, terms))]
        assert [one and round(one.value.value, 3) for one in worths] == [43.956, 30.096]
        few = questions(owner_client, address("scrap_list"))
        ScrapBinFactory(family="north", holding=500)
        assert questions(owner_client, address("scrap_list")) == few
        page = text_of(owner_client.get(address("scrap_show", washed.pk)).content)
        assert "never below nought" in page
        StudioProfile.objects.update(money_hidden_from_makers=True)
        maker = signed_in(Role.MAKER)
        for name, args in (("scrap_show", [washed.pk]), ("scrap_list", [])):
            assert "Worth" not in text_of(maker.get(address(name, *args)).content)

    @pytest.mark.parametrize(
        ("fields", "says"),
        [
            ({"chemistry": "other"}, "it is waste"),
            ({"chemistry": "polyurethane"}, "no polyurethane in use"),
            ({"family": ""}, "family is not known"),
            ({"family": "south"}, "another family it is tested first"),
            ({"family": "north"}, "No price of"),
            ({"family": "north", "washed": False}, "It is not washed"),
            ({"chemistry": "tin_silicone", "years": 3}, "It is 3 years old"),
            ({"chemistry": "tin_silicone", "years": 7}, "older than makers say"),
        ],
    )
    def test_flags_what_speaks_against_it(self, fields: dict[str, Any], says: str) -> None:
        MaterialFactory(family="north")
        years = fields.pop("years", 0)
        since = timezone.localdate() - timedelta(days=366 * years)
        found = bin_worth(
            ScrapBinFactory(**{"washed": True, **fields, "kept_since_on": since}), terms_now(StudioProfile.objects.current())
        )
        assert says in " ".join(words for _, words in found.flags)
        assert found.worth is None
