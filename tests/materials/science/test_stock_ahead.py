"""Stock on the days ahead, and A and B paired by their ratio."""

import datetime
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from materials.science.pairing import Container, alone, in_pairs
from materials.science.stock_ahead import Coming, Holding, Wanted, stock_ahead

TODAY = datetime.date(2027, 3, 1)


def _on(days: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=days)


class TestStockAhead:
    def test_first_short_day_and_what_is_missing(self) -> None:
        found = stock_ahead(
            today=TODAY,
            held=[Holding(mass_g=1000, good_until=_on(3)), Holding(mass_g=500)],
            coming=[Coming(on=_on(8), mass_g=900)],
            wanted=[
                Wanted(on=_on(2), mass_g=600, by=1),
                Wanted(on=_on(5), mass_g=700, by=2),
                Wanted(on=_on(9), mass_g=500, by=3),
            ],
        )
        # By hand: 600 of the lot that spoils; its other 400 spoil; 500 of the rest leave 200 missing, which the delivery
        # makes good; 700 are left, of which 500 go.
        assert [(step.on, step.stock_g) for step in found.steps] == [
            (_on(0), 1500), (_on(2), 900), (_on(4), 500), (_on(5), -200), (_on(8), 700), (_on(9), 200),
        ]  # fmt: skip
        assert [step.spoiled_g for step in found.steps] == [0, 0, 400, 0, 0, 0]
        assert (found.short_on, found.short_g, found.least_g) == (_on(5), 0, -200)
        assert [(one.by, one.mass_g) for one in found.missing] == [(2, 200)]

    def test_past_days_count_as_today_and_spoilt_stock_as_none(self) -> None:
        found = stock_ahead(
            today=TODAY,
            held=[Holding(mass_g=400, good_until=_on(-1))],
            coming=[Coming(on=_on(-3), mass_g=100)],
            wanted=[Wanted(on=_on(-2), mass_g=250, by=1)],
        )
        assert (found.short_on, found.short_g) == (TODAY, 150)

    def test_nothing_wanted_is_never_short(self) -> None:
        found = stock_ahead(today=TODAY, held=[Holding(mass_g=10)])
        assert (found.short_on, [step.stock_g for step in found.steps]) == (None, [10])


GRAMS = st.decimals(min_value=0, max_value=5000, places=3)


class TestPairing:
    def test_by_ratio_and_day(self) -> None:
        a = [Container(key=1, free_g=Decimal(1000), good_until=_on(9)), Container(key=2, free_g=Decimal(500), good_until=_on(2))]
        b = [Container(key=3, free_g=Decimal(120))]
        pairs = in_pairs(a, b, share_b=Decimal(1) / 11)
        # By hand, 100 : 10: 500 of A with 50 of B, then 700 with 70.
        assert [one.parts for one in pairs] == [((2, Decimal(500)), (3, Decimal(50))), ((1, Decimal(700)), (3, Decimal(70)))]

    @settings(max_examples=150, deadline=None)
    @given(a=st.lists(GRAMS, max_size=4), b=st.lists(GRAMS, max_size=4), share=st.sampled_from(["0.5", "0.0909", "0.02", "0.8"]))
    def test_all_that_there_is_and_always_in_the_ratio(self, a: list[Decimal], b: list[Decimal], share: str) -> None:
        share_b = Decimal(share)
        of_a = [Container(key=at, free_g=mass) for at, mass in enumerate(a)]
        of_b = [Container(key=100 + at, free_g=mass) for at, mass in enumerate(b)]
        taken: dict[int, Decimal] = {}
        for key, mass in (part for one in in_pairs(of_a, of_b, share_b=share_b) for part in one.parts):
            taken[key] = taken.get(key, Decimal(0)) + mass
        free = {one.key: one.free_g for one in [*of_a, *of_b]}
        assert all(0 < mass <= free[key] for key, mass in taken.items())
        got = sum(taken.values())
        most = min(sum(a) / (1 - share_b), sum(b) / share_b)
        # A thousandth of a gram is lost at most at each change of container, as much of the mix as that is worth.
        slack = Decimal("0.001") * (len(a) + len(b) + 1) / min(share_b, 1 - share_b)
        assert most - slack <= got <= most + slack
        of_b_taken = sum(mass for key, mass in taken.items() if key >= 100)
        assert abs(of_b_taken - got * share_b) <= slack

    def test_one_part(self) -> None:
        (one,) = alone([Container(key=1, free_g=Decimal(5)), Container(key=2, free_g=Decimal(0))])
        assert one.parts == ((1, Decimal(5)),)
