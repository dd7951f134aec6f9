"""Haste, discount, storage, least charge and payments: what they come to, and that everything adds up as printed."""

import random
from decimal import Decimal
from typing import Any

import pytest

from costing.engine.brief import Terms
from costing.engine.errors import EngineError
from costing.engine.estimate import make_estimate
from costing.engine.lines import charges_on, split, tax_on
from costing.engine.money import PricedLine, add_up, priced_line, round_money
from costing.engine.payments import Moment, StageShare, least_deposit, payment_stages, shares_or_deposit
from costing.engine.totals import total_figures
from studio.figures import Figure
from tests.costing.engine.builders import brief, given, terms


def line(kind: str, net: str, tax: str = "20", places: int = 2) -> PricedLine:
    return priced_line(
        kind=kind, text=kind.capitalize(), quantity=1, unit_price=Decimal(net), tax_percent=Decimal(tax), places=places
    )


def printed(lines: list[PricedLine], **changes: Any) -> list[tuple[str, str, str]]:
    found = charges_on(lines, terms(**{name: Decimal(value) for name, value in changes.items()}), 2)
    return [(charge.line.text, str(charge.line.net), str(charge.line.tax_percent)) for charge in found]


def money(value: str | Decimal) -> Figure:
    return Figure(key="gross", label="Total", value=float(value), unit="money", formula="typed")


class TestChargesOn:
    # exact: 25 % of 1,000 is 250; 10 % off 1,250 is 125; three months at 4 are 12; 1,250 − 125 + 12 = 1,137.
    def test_follow_one_another_in_the_order_of_the_rule(self) -> None:
        found = printed(
            [line("mold", "600"), line("casting", "400")],
            rush_percent="25", discount_percent="10", storage_months="3", storage_per_month="4", minimum_charge="1200",
        )  # fmt: skip
        assert found == [
            ("For haste", "250.00", "20"), ("Discount", "-125.00", "20"), ("Storage of the mold, each month", "12.00", "20"),
            ("Up to the least charge of a job", "63.00", "20"),
        ]  # fmt: skip

    def test_stand_once_for_every_tax_rate_and_name_their_lines(self) -> None:
        lines = [line("mold", "100", "9"), line("casting", "300", "21"), line("extra", "200", "9")]
        assert printed(lines, rush_percent="10", minimum_charge="760") == [
            ("For haste, on the mold and Extra", "30.00", "9"), ("For haste, on castings", "30.00", "21"),
            ("Up to the least charge of a job, on the mold and Extra", "50.00", "9"),
            ("Up to the least charge of a job, on castings", "50.00", "21"),
        ]  # fmt: skip

    def test_of_nothing_are_left_out(self) -> None:
        assert printed([line("mold", "100")], storage_months="3", minimum_charge="100") == []
        assert printed([line("mold", "0")], rush_percent="50", discount_percent="50") == []
        assert printed([line("mold", "0", "9")], minimum_charge="80") == [("Up to the least charge of a job", "80.00", "9")]

    # exact: 100 in three equal parts of cents leaves one cent, which one part takes.
    def test_split_gives_the_odd_coin_to_the_largest_remainder(self) -> None:
        thirds = {Decimal(rate): Decimal(1) for rate in (0, 9, 21)}
        assert sorted(split(Decimal(100), thirds, 2).values()) == [Decimal("33.33"), Decimal("33.33"), Decimal("33.34")]
        assert split(Decimal(10), {Decimal(9): Decimal(19), Decimal(21): Decimal(1)}, 0) == {9: Decimal(10), 21: Decimal(0)}


class TestLeastDeposit:
    # exact: 300 of material and 40 of 55 h at 25 + 20 are 300 + 1,800 = 2,100; a week of 30 h makes it 1,650.
    @pytest.mark.parametrize(("week", "least"), [(None, 2100), (given(30, "h"), 1650), (given(60, "h"), 2775)])
    def test_is_material_and_at_most_a_week(self, week: Any, least: float) -> None:
        hours = Figure(key="hours", label="Hours", value=55, unit="h", formula="typed")
        found = least_deposit(
            material=money("300"), hours=hours, rate=given(25, "money/h"), overhead=given(20, "money/h"), week_h=week
        )
        assert found.value == pytest.approx(least)


class TestPaymentStages:
    def amounts(self, total: str, least: str | None = None, **shares: str) -> list[str]:
        asked = [StageShare(moment=Moment(name), percent=Decimal(share)) for name, share in shares.items()]
        lifted = money(least) if least else None
        found = payment_stages(gross=money(total), amount=Decimal(total), shares=asked, places=2, least=lifted)
        return [str(stage.amount) for stage in found]

    @pytest.mark.parametrize(("found", "wanted"), [
        ({"total": "100.01", "agreed": "50", "ready": "50"}, ["50.01", "50.00"]),
        ({"total": "100.00", "agreed": "33.33", "opened": "33.33", "ready": "33.34"}, ["33.33", "33.33", "33.34"]),
        ({"total": "1000.00", "least": "700", "agreed": "25", "opened": "25", "ready": "50"}, ["700.00", "100.00", "200.00"]),
        ({"total": "1000.00", "least": "700", "agreed": "80", "ready": "20"}, ["800.00", "200.00"]),
        ({"total": "1000.00", "least": "1700", "agreed": "50", "ready": "50"}, ["1000.00", "0.00"]),
        ({"total": "1000.00", "least": "700", "opened": "50", "ready": "50"}, ["500.00", "500.00"]),
        ({"total": "0.01", "agreed": "50", "opened": "25", "ready": "25"}, ["0.01", "0.00", "0.00"]),
        ({"total": "70.00", "least": "80", "agreed": "100"}, ["70.00"]),
    ])  # fmt: skip
    def test_make_up_the_total(self, found: dict[str, str], wanted: list[str]) -> None:
        assert self.amounts(**found) == wanted

    def test_without_stages_are_a_deposit_and_the_rest(self) -> None:
        assert [(stage.moment, stage.percent) for stage in shares_or_deposit((), Decimal(30))] == [
            (Moment.AGREED, 30), (Moment.READY, 70),
        ]  # fmt: skip
        assert [stage.moment for stage in shares_or_deposit((), Decimal(0))] == [Moment.READY]

    def test_refuse_shares_that_are_not_the_whole(self) -> None:
        with pytest.raises(EngineError, match="100 %"):
            self.amounts("10.00", agreed="50", ready="49")


class TestRemarks:
    def keys(self, **changes: Any) -> dict[str, Any]:
        return {remark.key: remark for remark in make_estimate(brief(terms=terms(**changes))).remarks}

    def test_say_by_how_much_a_discount_goes_below_cost(self) -> None:
        chosen = terms(discount_percent=Decimal(30))
        estimate = make_estimate(brief(terms=chosen))
        said = {remark.key: remark for remark in estimate.remarks}["below-cost"]
        assert (said.tone, "discount" in said.text) == ("look", True)
        # exact: what costs 80 sells for 100, and for 70 with 30 % off: 10 of 80 are missing.
        assert said.figures[0].value == pytest.approx(estimate.makeup.cost.value / 8, rel=1e-4)
        assert estimate.margin.value < 0
        assert sum(part.value for part in estimate.makeup.parts) == pytest.approx(float(estimate.totals.exact.gross))
        assert "below-cost" not in self.keys(discount_percent=Decimal(19))

    def test_say_that_terms_undo_each_other(self) -> None:
        assert "discount-undone" in self.keys(discount_percent=Decimal(5), minimum_charge=Decimal(90_000))
        assert "storage-free" in self.keys(storage_months=3)
        assert not {"discount-undone", "storage-free"} & self.keys(discount_percent=Decimal(5)).keys()

    def test_of_the_deposit_are_silent_where_it_covers_the_first_week(self) -> None:
        assert "deposit-small" in self.keys(deposit_percent=Decimal(5))
        assert "deposit-small" not in self.keys(deposit_percent=Decimal(5), deposit_covers_special=True)


class RandomQuote:
    """A quote of random lines on random terms, with options that the client may take."""

    def __init__(self, pick: random.Random) -> None:
        self.places = pick.choice((0, 2, 2, 3))
        rates = [Decimal(pick.choice((0, 5, 9, 20, 21))) + Decimal(pick.choice((0, 0, 25, 50))) / 100 for _ in range(4)]
        self.terms: Terms = terms(
            tax_percent=rates[0],
            mold_tax_percent=pick.choice((None, rates[1])),
            casting_tax_percent=pick.choice((None, rates[2])),
            extra_tax_percent=pick.choice((None, rates[3])),
            rush_percent=pick.choice((Decimal(0), Decimal(pick.randrange(30_000)) / 100)),
            discount_percent=pick.choice((Decimal(0), Decimal(pick.randrange(10_000)) / 100)),
            minimum_charge=pick.choice((Decimal(0), Decimal(pick.randrange(900_000)) / 100)),
            storage_months=pick.choice((0, 0, 6, 13)),
            storage_per_month=Decimal(pick.randrange(5_000)) / 100,
        )
        kinds = ["mold", *pick.sample(["spare", "casting", "extra"], pick.randrange(4))]
        self.lines = [self.line(pick, kind, tax_on(kind, self.terms)) for kind in kinds]
        self.options = [self.line(pick, "option", pick.choice(rates)) for _ in range(pick.randrange(3))]
        agreed = Decimal(pick.randrange(9_990) + 1) / 100
        opened = (100 - agreed) * pick.choice((0, 1, 2)) / 4
        self.shares = shares_or_deposit(
            (
                StageShare(moment=Moment.AGREED, percent=agreed),
                StageShare(moment=Moment.OPENED, percent=opened),
                StageShare(moment=Moment.READY, percent=100 - agreed - opened),
            ),
            Decimal(0),
        )
        self.least = money(Decimal(pick.randrange(500_000)) / 100) if pick.random() < 0.5 else None

    def line(self, pick: random.Random, kind: str, rate: Decimal) -> PricedLine:
        price = Decimal(pick.randrange(10 ** pick.randrange(1, 9))) / 10_000
        return priced_line(
            kind=kind, text=kind, quantity=pick.randrange(1, 60), unit_price=price, tax_percent=rate, places=self.places
        )


# Whole coins are counted as integers here, apart from the code's own decimals: a sum that is off by one coin shows.
def coins(amount: Decimal, places: int) -> int:
    whole = amount.scaleb(places)
    assert whole == int(whole), f"{amount} is no whole number of coins"
    return int(whole)


class TestTenThousandQuotes:
    def test_add_up_as_they_are_printed(self) -> None:
        pick, seen = random.Random(20_260_711), dict.fromkeys(("rush", "discount", "minimum", "storage"), 0)
        rates_seen = lifted = 0
        for _ in range(10_000):
            quote = RandomQuote(pick)
            places = quote.places
            charges = charges_on(quote.lines, quote.terms, places)
            lines = [*quote.lines, *(charge.line for charge in charges)]
            totals = total_figures(lines=lines, shares=quote.shares, places=places, least=quote.least)
            net = sum(coins(line.net, places) for line in lines)
            tax = sum(coins(line.tax, places) for line in lines)
            assert net == coins(totals.exact.net, places)
            assert net >= coins(round_money(quote.terms.minimum_charge, places), places)
            assert net + tax == coins(totals.exact.gross, places)
            assert sum(coins(item.net, places) for item in totals.taxes) == net
            assert sum(coins(item.tax, places) for item in totals.taxes) == tax
            due = [coins(stage.amount, places) for stage in totals.stages]
            assert sum(due) == net + tax
            assert min(due) >= 0
            taxed = {line.tax_percent for line in lines if line.kind != "minimum"}
            assert all(line.tax_percent in taxed for line in lines)
            with_options = add_up([*lines, *quote.options])
            assert coins(with_options.gross, places) == net + tax + sum(coins(item.gross, places) for item in quote.options)
            for kind in {charge.line.kind for charge in charges}:
                seen[kind] += 1
            rates_seen += len(totals.taxes) > 1
            share = round_money(totals.exact.gross * quote.shares[0].percent / 100, places)
            lifted += quote.least is not None and due[0] > coins(share, places)
        assert all(count > 1_000 for count in seen.values()), seen
        assert min(rates_seen, lifted) > 1_000
