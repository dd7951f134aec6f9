"""Costing against worked examples that were published elsewhere."""

import math

import pytest

from costing.engine.breakeven import break_even_units
from costing.engine.overhead import job_cost, overhead_on_labour, overhead_per_billable_h
from studio.figures import Given


class TestOverheadOnLabour:
    # published: OpenStax, Principles of Accounting vol. 2 (2019), §4.4: overhead 250,000 on direct labour of 100,000.
    def test_is_two_and_a_half_for_each_labour_dollar(self) -> None:
        assert overhead_on_labour(overhead=250_000, direct_labour=100_000) == pytest.approx(2.50)

    # published: the same section: a job of materials 700 and labour 66 carries overhead 165 and costs 931.
    def test_makes_the_job_cost_931(self) -> None:
        rate = overhead_on_labour(overhead=250_000, direct_labour=100_000)
        assert 66 * rate == pytest.approx(165)
        assert job_cost(materials=700, labour=66, overhead_rate=rate) == pytest.approx(931)


class TestOverheadPerBillableHour:
    # exact arithmetic: 24,000 a year over 1,200 billable hours.
    def test_spreads_a_year_over_the_hours_that_are_billed(self) -> None:
        figure = overhead_per_billable_h(
            overhead_per_year=Given(label="Overhead", value=24_000, unit="money"),
            billable_h_per_year=Given(label="Hours", value=1_200, unit="h"),
        )
        assert figure.value == pytest.approx(20)
        assert figure.unit == "money/h"


class TestBreakEvenUnits:
    # published: OpenStax, Principles of Accounting vol. 2 (2019), §3.2: 18,000 / (100 − 20) = 225 units, 22,500 of sales.
    def test_is_225_units(self) -> None:
        units = break_even_units(fixed=18_000, price=100, variable=20)
        assert units == pytest.approx(225)
        assert units * 100 == pytest.approx(22_500)

    # published: the same section: at 175 units the loss is 4,000.
    def test_leaves_the_published_loss_below_it(self) -> None:
        assert 175 * (100 - 20) - 18_000 == -4_000
        assert break_even_units(fixed=18_000, price=100, variable=20) > 175

    # published: OpenStax vol. 2 §3.3: price 3.75 → 4.25, variable 1.50, fixed 2,475: 1,100 → 900 units.
    @pytest.mark.parametrize(("price", "units"), [(3.75, 1_100), (4.25, 900)])
    def test_falls_when_the_price_rises(self, price: float, units: float) -> None:
        assert break_even_units(fixed=2_475, price=price, variable=1.50) == pytest.approx(units)

    # published: the same section: income at 1,500 units rises from 900 to 1,650: units beyond break-even × what each leaves.
    @pytest.mark.parametrize(("price", "income"), [(3.75, 900), (4.25, 1_650)])
    def test_counts_income_from_the_units_beyond(self, price: float, income: float) -> None:
        beyond = 1_500 - break_even_units(fixed=2_475, price=price, variable=1.50)
        assert beyond * (price - 1.50) == pytest.approx(income)
        assert math.isfinite(beyond)
