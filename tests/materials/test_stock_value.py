"""What the stock was worth on a day, use by month, prices before, test cups; and their pages."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

from materials import ledger
from materials.models import CostMethodChosen, Lot, Material, Movement, PackPrice
from materials.properties import Chemistry, MaterialKind
from materials.services.gel_tests import gel_test_wanted, note_gel_test
from materials.services.packs import save_pack
from materials.services.stock_value import first_day, stock_value
from materials.services.use_by_month import use_by_month
from studio.models import Account
from tests.factories import LotFactory, MaterialFactory, PackFactory, ScrapBinFactory
from tests.materials.pages import address, questions, text_of

pytestmark = pytest.mark.django_db
D = Decimal
TODAY = datetime.date(2026, 11, 26)


def at(day: str) -> Any:
    return time_machine.travel(datetime.datetime.fromisoformat(f"{day}T12:00:00+00:00"), tick=False)


@pytest.fixture
def months() -> Any:
    """September: 1 kg at 20 comes. October: 400 g used, undone in November. November: 500 g used, 100 g back; scrap cut."""
    with at("2026-09-10"):
        lot = LotFactory(unit_cost_per_kg=20, holding=1000)
    with at("2026-10-05"):
        wrong = ledger.issue(of=lot, mass_g=400, key="wrong", by=None)
    with at("2026-11-02"):
        ledger.reverse(movement=wrong, key="undo", by=None)
        ledger.issue(of=lot, mass_g=500, key="used", by=None)
        ledger.return_(of=lot, mass_g=100, key="back", by=None)
        ledger.reserve(of=lot, mass_g=100, key="held", by=None, job_number=3)
        ledger.cut(of=ScrapBinFactory(), mass_g=700, value=D(9), key="cut", by=None)
    return lot


class TestStockValue:
    def test_tells_each_evening_what_was_there(self, months: Any) -> None:
        worth = {
            day: (
                stock_value(datetime.date.fromisoformat(day)).material_value,
                stock_value(datetime.date.fromisoformat(day)).scrap_value,
            )
            for day in ("2026-09-09", "2026-09-10", "2026-10-04", "2026-10-05", "2026-11-01", "2026-11-02")
        }
        assert worth == {
            "2026-09-09": (0, 0), "2026-09-10": (20, 0), "2026-10-04": (20, 0), "2026-10-05": (12, 0), "2026-11-01": (12, 0),
            "2026-11-02": (12, 9),
        }  # fmt: skip
        assert first_day() == datetime.date(2026, 9, 10)

    def test_equals_the_sum_of_all_lines_up_to_then(self, months: Any) -> None:
        for day in (datetime.date(2026, 10, 5), datetime.date(2026, 11, 26)):
            end = timezone.make_aware(datetime.datetime.combine(day, datetime.time.max))
            lines = Movement.objects.filter(happened_at__lte=end, lot__isnull=False)
            assert stock_value(day).material_value == sum(line.value for line in lines)

    def test_adds_the_parts_of_a_material_up(self) -> None:
        rubber = MaterialFactory()
        LotFactory(material=rubber, component="A", unit_cost_per_kg=20, holding=1000)
        LotFactory(material=rubber, component="B", unit_cost_per_kg=60, holding=100)
        line = stock_value(timezone.localdate()).materials[0]
        assert (line.on_hand_g, line.value) == (1100, 26)
        assert line.per_kg == D("23.6364")

    def test_counts_what_came_without_a_cost(self) -> None:
        LotFactory(unit_cost_per_kg=0, holding=1000)
        assert stock_value(timezone.localdate()).unpriced == 1


class TestUseByMonth:
    def test_takes_off_what_came_back_and_what_was_undone(self, months: Any) -> None:
        found = {
            month.first_on.month: (month.used_g, month.cost) for month in use_by_month(material=months.material, today=TODAY)
        }
        assert list(found) == [12, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]
        assert (found[9], found[10], found[11]) == ((0, 0), (400, 8), (0, 0))

    def test_says_which_month_still_runs(self, months: Any) -> None:
        assert [month.whole for month in use_by_month(material=months.material, today=TODAY)] == [True] * 11 + [False]


class TestPackPrices:
    def test_keep_the_earlier_price(self, account: Account) -> None:
        pack = PackFactory(price=110)
        fields = {"label": pack.label, "mass_g": pack.mass_g, "usual": True}
        with at("2026-03-01"):
            save_pack(material=pack.material, pack=pack, by=account, price=D(110), priced_on=datetime.date(2026, 3, 1), **fields)
        with at("2026-06-01"):
            save_pack(material=pack.material, pack=pack, by=account, price=D(110), priced_on=datetime.date(2026, 3, 1), **fields)
            save_pack(material=pack.material, pack=pack, by=account, price=D(121), priced_on=datetime.date(2026, 6, 1), **fields)
            # Mistyped, and put right at once.
            save_pack(material=pack.material, pack=pack, by=account, price=D(122), priced_on=datetime.date(2026, 6, 1), **fields)
        assert [(row.price, row.noted_by) for row in PackPrice.objects.all()] == [(122, account), (110, account)]


class TestGelTestWanted:
    def lot(self, **fields: Any) -> Lot:
        kind = fields.pop("kind", MaterialKind.RUBBER)
        chemistry = fields.pop("chemistry", Chemistry.TIN_SILICONE)
        received_on = fields.pop("received_on", TODAY - datetime.timedelta(days=60))
        material = Material(name="R", kind=kind.value, chemistry=chemistry.value)
        return Lot(material=material, received_on=received_on, **fields)

    def test_asks_where_two_thirds_of_the_life_are_over(self) -> None:
        young = self.lot(expires_on=TODAY + datetime.timedelta(days=30))
        old = self.lot(expires_on=TODAY + datetime.timedelta(days=29))
        assert gel_test_wanted(young, TODAY) is None
        wanted = gel_test_wanted(old, TODAY)
        assert wanted is not None
        assert wanted.why == "60 of its 89 days are over, more than two thirds"

    @pytest.mark.parametrize(
        ("chemistry", "trusted"), [(Chemistry.TIN_SILICONE, 180), (Chemistry.POLYURETHANE, 60), (Chemistry.POLYESTER, 90)]
    )
    def test_asks_where_it_stood_open_for_long(self, chemistry: Chemistry, trusted: int) -> None:
        opened = [TODAY - datetime.timedelta(days=days) for days in (trusted, trusted + 1)]
        found = [gel_test_wanted(self.lot(chemistry=chemistry, opened_on=day), TODAY) for day in opened]
        assert [one is not None for one in found] == [False, True]

    def test_is_quiet_after_a_test_for_a_month_and_for_what_does_not_cure(self) -> None:
        ago = TODAY - datetime.timedelta(days=300)
        tested = [self.lot(opened_on=ago, gel_tested_on=TODAY - datetime.timedelta(days=days)) for days in (30, 31)]
        assert [gel_test_wanted(lot, TODAY) is not None for lot in tested] == [False, True]
        assert gel_test_wanted(self.lot(opened_on=ago, kind=MaterialKind.REINFORCEMENT), TODAY) is None
        assert gel_test_wanted(self.lot(opened_on=ago, chemistry=Chemistry.GYPSUM), TODAY) is None

    def test_sets_aside_what_did_not_cure(self) -> None:
        lot = LotFactory()
        note_gel_test(lot=lot, tested_on=TODAY, cured=True)
        lot.refresh_from_db()
        assert (lot.gel_tested_on, lot.quarantined) == (TODAY, False)
        note_gel_test(lot=lot, tested_on=TODAY, cured=False)
        lot.refresh_from_db()
        assert lot.quarantined
        assert lot.note == "did not cure as it should in the test cup of 26 Nov 2026"


class TestStockValueShow:
    def test_shows_any_evening(self, months: Any, owner_client: Client) -> None:
        now = owner_client.get(address("stock_value_show")).context["value"]
        before = text_of(owner_client.get(address("stock_value_show"), {"on": "2026-10-05"}).content)
        nothing = text_of(owner_client.get(address("stock_value_show"), {"on": "2026-09-01"}).content)
        refused = owner_client.get(address("stock_value_show"), {"on": "2999-01-01"})
        assert (now.material_value, now.scrap_value) == (12, 9)
        assert "At the end of" in before
        assert "Nothing was on the shelf that day: the first line of the day book is of" in nothing
        assert refused.status_code == 422
        assert "has not come yet" in text_of(refused.content)

    def test_asks_no_more_questions_when_more_stands_there(self, owner_client: Client) -> None:
        counts: list[int] = []
        for _ in range(2):
            LotFactory(holding=10)
            ledger.cut(of=ScrapBinFactory(), mass_g=700, key=f"cut-{len(counts)}", by=None)
            counts.append(questions(owner_client, address("stock_value_show")))
        assert counts[0] == counts[1]


class TestCostMethodChoose:
    def test_costs_another_way_from_now_on(self, owner_client: Client) -> None:
        rubber = LotFactory(holding=10).material
        url = address("cost_method_choose", rubber.pk)
        assert owner_client.post(url, {"method": "fifo"}).status_code == 302
        owner_client.post(url, {"method": "fifo"})
        owner_client.post(url, {"method": "lifo"})
        rubber.refresh_from_db()
        assert rubber.cost_method == "fifo"
        assert CostMethodChosen.objects.get().chosen_by is not None
        assert "at what the oldest of it on the shelf cost" in text_of(
            owner_client.get(address("material_show", rubber.pk)).content
        )


class TestMaterialShow:
    def test_shows_worth_use_and_prices_to_those_who_see_money(self, months: Any, owner_client: Client) -> None:
        pack = PackFactory(material=months.material)
        for price, day in ((100, "2026-01-01"), (110, "2026-05-01")):
            PackPrice.objects.create(pack=pack, price=price, priced_on=day)
        ledger.issue(of=months, mass_g=100, key="today", by=None)
        answer = owner_client.get(address("material_show", months.material_id))
        page = text_of(answer.content)
        assert [fig.value for fig in answer.context["worth"]] == [10, 20]
        assert "Use by month" in page
        assert "+10" in page
        assert [line.change_percent for line in answer.context["prices"]] == [pytest.approx(10), None]
