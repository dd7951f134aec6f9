"""What ten thousand estimates must keep: order, the estimate itself where nothing is spread, and narrower drivers."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given as drawing
from hypothesis import settings
from hypothesis import strategies as st

from costing.engine.spread.drivers import AREA, HANDS, Law
from costing.engine.spread.measures import halved
from costing.engine.spread.simulate import spread_of
from studio.figures import SourceKind
from tests.costing.spread.builders import box, compiled
from tests.jobs.planning.builders import brief, given

DRAWS = 2000


def test_with_every_driver_as_planned_all_percentiles_are_the_estimates_own() -> None:
    model, drivers, costing, estimate = box()
    found = spread_of(model, [driver.fixed() for driver in drivers], costing, seed=1, draws=50, measures=False)
    cost, hours, price = found.of("cost"), found.of("hours"), found.of("price")
    for value in (cost.p10, cost.p50, cost.p90, *found.curve):
        assert round(value, 2) == round(estimate.makeup.cost.value, 2)
    assert hours.p10 == hours.p90 == pytest.approx(estimate.hours.value)
    assert price.p50 == pytest.approx(estimate.makeup.net.value)
    assert found.shares == ()


def test_learning_spare_molds_haste_and_discount_leave_the_same_cost_where_nothing_is_spread() -> None:
    model, drivers, costing, estimate = compiled(
        brief(), learning_percent=Decimal(90), spare_molds=1, rush_percent=Decimal(10), discount_percent=Decimal(5)
    )
    found = spread_of(model, [driver.fixed() for driver in drivers], costing, seed=1, draws=20, measures=False)
    assert found.of("cost").p50 == pytest.approx(estimate.makeup.cost.value, abs=1e-6)
    assert found.of("price").p50 == pytest.approx(estimate.makeup.net.value, abs=1e-6)
    assert found.of("hours").p50 == pytest.approx(estimate.hours.value)
    wide = spread_of(model, drivers, costing, seed=1, draws=DRAWS, measures=False)
    assert wide.of("cost").p10 < wide.of("cost").p90


@settings(max_examples=12, deadline=None)
@drawing(seed=st.integers(0, 10_000), kept=st.sets(st.integers(0, 60)))
def test_percentiles_stand_in_order_and_narrower_drivers_never_widen_the_cost(seed: int, kept: set[int]) -> None:
    model, drivers, costing, _ = box()
    narrower = [halved(driver) if number in kept and driver.law is Law.PERT else driver for number, driver in enumerate(drivers)]
    wide = spread_of(model, drivers, costing, seed=seed, draws=DRAWS, measures=False)
    then = spread_of(model, narrower, costing, seed=seed, draws=DRAWS, measures=False)
    for found in (*wide.ranges, *then.ranges, wide.margin):
        assert found.p10 <= found.p50 <= found.p90
    assert list(wide.curve) == sorted(wide.curve)
    # Both use the same chances, so what is left of noise is small.
    assert then.of("cost").width <= wide.of("cost").width * 1.02


def test_the_same_seed_gives_the_same_and_another_one_nearly_the_same() -> None:
    model, drivers, costing, _ = box()
    first, again, other = (spread_of(model, drivers, costing, seed=seed, measures=False) for seed in (7, 7, 8))
    assert first == again
    assert first != other
    assert other.of("cost").p50 == pytest.approx(first.of("cost").p50, rel=0.02)


def test_a_contingency_is_the_cost_at_that_percentage_less_the_planned_and_grows_with_it() -> None:
    model, drivers, costing, _ = box()
    found = spread_of(model, drivers, costing, seed=3, draws=DRAWS, measures=False)
    asides = [found.contingency(percent) for percent in (50, 60, 70, 80, 90)]
    assert asides == sorted(asides)
    assert costing.cost + found.contingency(80) == pytest.approx(found.cost_at(80))
    lower = replace(found, ranges=tuple(replace(one, planned=1e9) if one.key == "cost" else one for one in found.ranges))
    assert lower.contingency(90) == 0.0


def test_shares_of_the_variance_find_the_one_driver_that_is_spread() -> None:
    model, drivers, costing, _ = box()
    only = [driver if driver.key == AREA else driver.fixed() for driver in drivers]
    found = spread_of(model, only, costing, seed=3, draws=DRAWS, measures=False)
    assert found.shares[0].key == AREA
    assert found.shares[0].percent > 97
    hands = [driver if driver.group == HANDS else driver.fixed() for driver in drivers]
    assert spread_of(model, hands, costing, seed=3, draws=DRAWS, measures=False).shares[0].key == HANDS


def test_what_is_advised_is_recomputed_and_narrows() -> None:
    model, drivers, costing, _ = compiled(brief(takeoff=replace(brief().takeoff, spread_percent=given(30, "%"))))
    found = spread_of(model, drivers, costing, seed=3, draws=DRAWS)
    now = found.of("price")
    tape = next(measure for measure in found.measures if measure.key == AREA)
    assert "tape" in tape.words
    then = [tape.drivers[0] if driver.key == AREA else driver for driver in drivers]
    again = spread_of(model, then, costing, seed=3, draws=DRAWS, measures=False).of("price")
    assert (tape.price.p10, tape.price.p90) == (again.p10, again.p90)
    assert found.measures[0].price.width < now.width


def test_a_margin_is_left_where_the_cost_stays_below_the_price_and_losing_cases_are_counted() -> None:
    model, drivers, costing, _ = box()
    dear = spread_of(model, drivers, replace(costing, asked=1e6), seed=3, draws=DRAWS, measures=False)
    cheap = spread_of(model, drivers, replace(costing, asked=1.0), seed=3, draws=DRAWS, measures=False)
    assert (dear.losing_percent, cheap.losing_percent) == (0.0, 100.0)
    assert dear.margin.p10 > 99
    assert cheap.margin.p90 < 0


def test_a_driver_says_where_its_numbers_come_from() -> None:
    _, drivers, _, _ = box()
    assert len({driver.key for driver in drivers}) == len(drivers)
    for driver in drivers:
        assert driver.low <= driver.likely <= driver.high
        assert driver.source.kind in SourceKind
