"""Markup, margin and the estimate's band against arithmetic and published tables."""

from decimal import Decimal

import pytest

from costing.engine.classes import CLASSES, banded, class_for
from costing.engine.margin import margin_from_markup, markup_from_margin, price_for_margin
from studio.figures import Figure


class TestMarkupAndMargin:
    # exact arithmetic of percentages on the selling price: 0.4/1.4 and 0.4/0.6.
    def test_forty_percent_markup_is_28_57_percent_margin(self) -> None:
        assert 100 * margin_from_markup(0.4) == pytest.approx(28.571429, abs=1e-6)

    def test_forty_percent_margin_is_66_67_percent_markup(self) -> None:
        assert 100 * markup_from_margin(0.4) == pytest.approx(66.666667, abs=1e-6)

    # exact: what costs 600 sells for 840 at 40 % markup and for 1,000 at 40 % margin.
    def test_prices_600_at_840_or_1000(self) -> None:
        assert price_for_margin(cost=Decimal(600), margin=Decimal("0.4")) == Decimal(1000)
        assert 600 * (1 + markup_from_margin(margin_from_markup(0.4))) == pytest.approx(840)

    # exact: labour 25 and overhead 20 an hour, at 20 % margin: 45 / 0.8.
    def test_asks_56_25_for_an_hour_that_costs_45(self) -> None:
        assert price_for_margin(cost=Decimal(45), margin=Decimal("0.2")) == Decimal("56.25")


class TestEstimateClasses:
    # published: AACE International RP 18R-97, expected accuracy ranges, low and high side, by class.
    @pytest.mark.parametrize(
        ("number", "low", "high"),
        [
            (5, (-50, -20), (30, 100)),
            (4, (-30, -15), (20, 50)),
            (3, (-20, -10), (10, 30)),
            (2, (-15, -5), (5, 20)),
            (1, (-10, -3), (3, 15)),
        ],
    )
    def test_carry_the_published_ranges(self, number: int, low: tuple[float, float], high: tuple[float, float]) -> None:
        assert CLASSES[number].low_percent == low
        assert CLASSES[number].high_percent == high

    def test_narrow_as_more_is_known(self) -> None:
        widths = [CLASSES[number].high_percent[1] - CLASSES[number].low_percent[0] for number in (5, 4, 3, 2, 1)]
        assert widths == sorted(widths, reverse=True)

    # published: the same table: class 3 spans at most −20 % to +30 %, class 5 −50 % to +100 %.
    @pytest.mark.parametrize(("measured", "low", "high"), [(True, 800, 1300), (False, 500, 2000)])
    def test_band_a_total_of_1000(self, measured: bool, low: float, high: float) -> None:
        total = Figure(key="total", label="Total", value=1000, unit="money", formula="sum")
        found = banded(total, class_for(measured=measured))
        assert (found.low, found.high) == (pytest.approx(low), pytest.approx(high))
        assert "18R-97" in found.note
