"""Two ways of one job: the prices of an hour and of the rubber at which they meet, and what is said of them."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from costing.engine.breakeven import break_even_rate
from costing.engine.compare import Compared, Side, compare
from costing.engine.errors import EngineError
from costing.engine.frontier.reading import Reading, labour_rate_from
from costing.engine.frontier.sums import WaySums
from studio.figures import Figure, Given
from tests.costing.engine.builders import terms


def figure(key: str, value: float, unit: str) -> Figure:
    return Figure(key=key, label=key, value=value, unit=unit, formula="given")


def side(spend: float, hours: float, rubber_kg: float = 0.0, number: int = 1) -> Side:
    return Side(
        sums=WaySums(number=number, hours=hours, spend=spend, rubber_kg=rubber_kg),
        hours=figure("hours", hours, "h"), spend=figure("spend", spend, "money"), rubber=figure("kg", rubber_kg, "kg"),
    )  # fmt: skip


def compared(spend: float, hours: float) -> Compared:
    return compare(key="way", way=side(spend, hours), other=side(500.0, 10.0, number=2))


class TestBreakEvenRate:
    def test_a_block_against_a_blanket(self) -> None:
        # Calculated: block 25 kg at 22 and 4 h, blanket 6 kg at 22 with a shell of 60 and 14 h: 358 / 10 = 35.80 an hour.
        assert break_even_rate(spend=25 * 22, hours=4, other_spend=6 * 22 + 60, other_hours=14) == pytest.approx(35.80)
        assert break_even_rate(spend=6 * 22 + 60, hours=14, other_spend=25 * 22, other_hours=4) == pytest.approx(35.80)

    @pytest.mark.parametrize(("spend", "hours"), [(500, 10), (400, 10), (400, 9), (600, 11), (500, 12)])
    def test_is_refused_where_one_takes_no_less_of_either(self, spend: float, hours: float) -> None:
        with pytest.raises(EngineError, match="no price of an hour"):
            break_even_rate(spend=spend, hours=hours, other_spend=500, other_hours=10)


class TestCompare:
    def test_says_which_is_slower_and_where_both_meet(self) -> None:
        slow, quick = compared(400, 12), compared(600, 8)
        assert (slow.slower, quick.slower) == (True, False)
        for found in (slow, quick):
            assert found.rate is not None
            assert found.saved is not None
            assert found.hours is not None
            assert (found.rate.value, found.saved.value, found.hours.value) == (50, 100, 2)

    def test_divides_the_very_numbers_that_it_shows(self) -> None:
        # Hours are ranked by the minute: 1.45 h, where the working says 1.44 h and 86.40 / 1.44 = 60.
        one, other = side(500.0, 10.0, number=2), side(413.6, 11.44)
        rounded = replace(other, sums=replace(other.sums, hours=11.45))
        found = compare(key="way", way=rounded, other=one)
        assert found.rate is not None
        assert found.rate.value == pytest.approx(60.0)

    @pytest.mark.parametrize(
        ("spend", "hours", "words"),
        [
            (400, 8, "Fewer hours, and less money."),
            (600, 12, "More hours, and more money."),
            (500, 8, "Fewer hours, and as much money."),
            (400, 10, "As many hours, and less money."),
            (500.5, 10.01, "About as many hours and as much money."),
        ],
    )
    def test_says_where_no_price_of_an_hour_matters(self, spend: float, hours: float, words: str) -> None:
        found = compared(spend, hours)
        assert (found.slower, found.words, found.rate) == (None, words, None)

    def test_finds_the_price_of_rubber_and_which_way_is_cheaper_beyond_it(self) -> None:
        # Calculated: at 45 an hour block and blanket cost the same when rubber is 26.8421 a kilogram.
        options: dict[str, Any] = {
            "key": "way", "hour": Given(label="An hour", value=45, unit="money/h"),
            "price": Given(label="Rubber", value=22, unit="money/kg"),
        }  # fmt: skip
        block, blanket = side(25 * 22, 4, 25), side(6 * 22 + 60, 14, 6, number=2)
        for way, other, dearer in ((blanket, block, True), (block, blanket, False)):
            found = compare(way=way, other=other, **options)
            assert found.price is not None
            assert found.price.value == pytest.approx(26.842105, abs=1e-6)
            assert found.dearer is dearer
        assert compare(way=side(90, 4, 5), other=side(90, 14, 5, number=2), **options).price is None


class TestLabourRateFrom:
    def test_takes_overhead_and_margin_off_what_an_hour_counts(self) -> None:
        # Worked by hand: 25 of labour and 20 of overhead are 45; with a margin of 20 % in the price 56.25.
        job = terms()
        assert labour_rate_from(Reading.OWN, Decimal(31), job) == 31
        assert labour_rate_from(Reading.EMPLOYED, Decimal(45), job) == 25
        assert labour_rate_from(Reading.CLIENT, Decimal("56.25"), job) == 25
        with pytest.raises(EngineError, match="Overhead alone"):
            labour_rate_from(Reading.EMPLOYED, Decimal("19.99"), job)
