"""Two ways of one job: the price of an hour at which they meet, and what is said of them."""

import pytest

from costing.engine.breakeven import break_even_rate
from costing.engine.compare import compare
from costing.engine.errors import EngineError
from studio.figures import Figure


def figure(key: str, value: float, unit: str) -> Figure:
    return Figure(key=key, label=key, value=value, unit=unit, formula="given")


def compared(spend: float, hours: float) -> str:
    found = compare(
        key="way", spend=figure("s", spend, "money"), hours=figure("h", hours, "h"),
        used_spend=figure("us", 500.0, "money"), used_hours=figure("uh", 10.0, "h"),
    )  # fmt: skip
    return found.words if found.rate is None else f"{found.words} {found.rate.value:g}"


class TestBreakEvenRate:
    def test_a_block_against_a_blanket(self) -> None:
        # Calculated: block 25 kg at 22 and 4 h, blanket 6 kg at 22 with a shell of 60 and 14 h: 358 / 10 = 35.80 an hour.
        assert break_even_rate(spend=25 * 22, hours=4, other_spend=6 * 22 + 60, other_hours=14) == pytest.approx(35.80)
        assert break_even_rate(spend=6 * 22 + 60, hours=14, other_spend=25 * 22, other_hours=4) == pytest.approx(35.80)

    def test_the_same_pair_at_a_dearer_rubber_and_hour(self) -> None:
        # Calculated: at 45 an hour they cost the same when rubber is 26.8421 a kilogram.
        rubber = 26.842105
        assert break_even_rate(spend=25 * rubber, hours=4, other_spend=6 * rubber + 60, other_hours=14) == pytest.approx(45)

    @pytest.mark.parametrize(("spend", "hours"), [(500, 10), (400, 10), (400, 9), (600, 11), (500, 12)])
    def test_is_refused_where_one_takes_no_less_of_either(self, spend: float, hours: float) -> None:
        with pytest.raises(EngineError, match="no price of an hour"):
            break_even_rate(spend=spend, hours=hours, other_spend=500, other_hours=10)


class TestCompare:
    def test_says_when_it_pays(self) -> None:
        assert compared(400, 12) == "Less for material and more hours: it pays while an hour costs less than 50"
        assert compared(600, 8) == "Fewer hours and more for material: it pays once an hour costs more than 50"

    @pytest.mark.parametrize(
        ("spend", "hours", "words"),
        [
            (400, 8, "Fewer hours, and less for material."),
            (600, 12, "More hours, and more for material."),
            (500, 8, "Fewer hours, and as much for material."),
            (400, 10, "As many hours, and less for material."),
            (500.5, 10.01, "About as many hours and as much for material."),
        ],
    )
    def test_says_where_no_price_of_an_hour_matters(self, spend: float, hours: float, words: str) -> None:
        assert compared(spend, hours) == words
