"""Reorder points against published values and scipy's normal distribution; packs against an integer program."""

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, milp
from scipy.stats import norm

from materials.science.buying import PackSize, cheapest_packs
from materials.science.errors import OutsideRange
from materials.science.reorder import ReorderPoint, economic_order, most_before_it_spoils, quantile, reorder_point
from studio.figures import Given


def _point(use: float, use_spread: float, lead: float, lead_spread: float, ready: float) -> ReorderPoint:
    def of(label: str, value: float) -> Given:
        return Given(label=label, value=value, unit="1")

    return reorder_point(
        use=of("use", use), use_spread=of("spread", use_spread), lead=of("lead", lead), lead_spread=of("late", lead_spread),
        ready=of("ready", ready),
    )  # fmt: skip


class TestReorderPoint:
    def test_published_example(self) -> None:
        # Published: Stevenson, Operations Management, 14th ed., example 8: mean 50 t, spread 5 t until it comes, risk 3 %.
        found = _point(50, 5, 1, 0, 97)
        assert found.safety.value == pytest.approx(9.40, abs=0.005)
        assert found.point.value == pytest.approx(59.40, abs=0.005)

    def test_published_exercise(self) -> None:
        # Published data: 50 jars a week, spread 3, two weeks, risk 10 %; the book rounds z to 1.28.
        assert _point(50, 3, 2, 0, 90).point.value == pytest.approx(105.437163, abs=1e-6)
        assert _point(50, 3, 2, 0, 90).point.value == pytest.approx(105.43, abs=0.01)

    def test_of_a_studio(self) -> None:
        # Calculated: 1.2 kg a day, spread 0.8, ten days, 95 %; then two days late.
        assert _point(1.2, 0.8, 10, 0, 95).safety.value == pytest.approx(4.161187, abs=1e-6)
        assert _point(1.2, 0.8, 10, 0, 95).point.value == pytest.approx(16.161187, abs=1e-6)
        late = _point(1.2, 0.8, 10, 2, 95)
        assert (late.safety.value, late.point.value) == pytest.approx((5.735801, 17.735801), abs=1e-6)

    def test_against_random_days(self) -> None:
        # Independent: 400,000 drawn deliveries; what both spreads together make is a little longer in its upper tail.
        draw = np.random.default_rng(7)
        lead = draw.normal(10, 2, 400_000)
        used = draw.normal(lead * 1.2, 0.8 * np.sqrt(lead.clip(0)))
        found = _point(1.2, 0.8, 10, 2, 95)
        assert found.safety.value == pytest.approx(norm.ppf(0.95) * used.std(), rel=0.01)
        assert (used > found.point.value).mean() == pytest.approx(0.05, abs=0.01)

    @pytest.mark.parametrize("ready", [50, 80, 90, 95, 97, 99, 99.9])
    def test_quantile(self, ready: float) -> None:
        # Independent: scipy.
        assert quantile(ready) == pytest.approx(norm.ppf(ready / 100), abs=1e-12)

    @pytest.mark.parametrize(
        "numbers",
        [(-1, 0, 1, 0, 95), (1, -1, 1, 0, 95), (1, 1, 0, 0, 95), (1, 1, 366, 0, 95), (1, 1, 1, -1, 95), (1, 1, 1, 0, 49),
         (1, 1, 1, 0, 100), (math.nan, 1, 1, 0, 95), (1, math.inf, 1, 0, 95)],
    )  # fmt: skip
    def test_refuses(self, numbers: tuple[float, float, float, float, float]) -> None:
        with pytest.raises(OutsideRange):
            _point(*numbers)


class TestOrder:
    def test_economic_order(self) -> None:
        # Calculated: 300 kg a year, 25 an order, 4 per kg and year.
        assert economic_order(use_per_year=300, cost_of_an_order=25, keeping_per_unit_year=4) == pytest.approx(61.237, abs=5e-4)
        # Least of the sum of both costs, found by trying.
        tried = np.linspace(20, 150, 130_001)
        assert tried[np.argmin(25 * 300 / tried + 4 * tried / 2)] == pytest.approx(61.237, abs=2e-3)

    def test_no_more_than_keeps(self) -> None:
        keeps = most_before_it_spoils(
            use=Given(label="use", value=300 / 365, unit="g"), shelf_life_days=Given(label="keeps", value=60, unit="day")
        )
        capped = economic_order(use_per_year=300, cost_of_an_order=25, keeping_per_unit_year=4, most=keeps.value)
        assert capped == pytest.approx(300 * 60 / 365)
        with pytest.raises(OutsideRange):
            economic_order(use_per_year=0, cost_of_an_order=25, keeping_per_unit_year=4)


SIZES = st.lists(
    st.tuples(st.integers(1, 40), st.integers(0, 60)), min_size=1, max_size=4, unique_by=lambda size: size[0]
)  # fmt: skip


class TestCheapestPacks:
    @settings(max_examples=80, deadline=None)
    @given(sizes=SIZES, wanted=st.integers(1, 90))
    def test_against_an_integer_program(self, sizes: list[tuple[int, int]], wanted: int) -> None:
        # Independent: scipy's mixed-integer solver.
        packs = [PackSize(key=at, mass_g=mass, price=Decimal(price)) for at, (mass, price) in enumerate(sizes)]
        found = cheapest_packs(wanted, packs)
        masses, prices = np.array([mass for mass, _ in sizes]), np.array([price for _, price in sizes])
        solved = milp(prices, constraints=LinearConstraint(masses[None, :], lb=wanted), integrality=np.ones(len(sizes)))
        assert float(found.price) == pytest.approx(solved.fun)
        assert sum(masses[key] * count for key, count in found.packs) == found.mass_g >= wanted
        assert found.left_g == found.mass_g - wanted

    def test_least_left_among_the_cheapest(self) -> None:
        sizes = [PackSize(key=1, mass_g=10, price=Decimal(10)), PackSize(key=2, mass_g=6, price=Decimal(5))]
        assert cheapest_packs(11, sizes).packs == ((2, 2),)
        # 15 buys 16 of both together, or 18 of the small ones.
        assert cheapest_packs(13, sizes).left_g == 3

    @pytest.mark.parametrize(("wanted", "mass"), [(0, 5), (-1, 5), (5, 0), (math.nan, 5), (50_000, 5)])
    def test_refuses(self, wanted: float, mass: float) -> None:
        with pytest.raises(OutsideRange):
            cheapest_packs(wanted, [PackSize(key=1, mass_g=mass, price=Decimal(1))])
        with pytest.raises(OutsideRange):
            cheapest_packs(5, [])
