from decimal import Decimal

import pytest
from hypothesis import given as examples
from hypothesis import strategies as st

from costing.engine.castings import price_run
from costing.engine.errors import EngineError
from costing.engine.estimate import make_estimate
from costing.engine.labour import RunHours
from costing.engine.remarks import castings_to_pay_mold
from studio.figures import Figure
from tests.costing.engine.builders import brief, given, terms


def figure(key: str, value: float, unit: str) -> Figure:
    return Figure(key=key, label=key, value=value, unit=unit, formula="typed")


HOURS = RunHours(each_h=figure("each", 2, "h"), startup_h=figure("start", 0.5, "h"), per_day=figure("per_day", 4, "1"))
MATERIAL = figure("material", 30, "money")


class TestPriceRun:
    # exact: 4 a day; 5 castings take 2 days: (5 × 2 h + 2 × 0.5 h) × 45 / 5 + 30 = 129 each, / 0.8 = 161.25.
    def test_spreads_the_start_of_each_day(self) -> None:
        found = price_run(quantity=5, material_each=MATERIAL, hours=HOURS, terms=terms(), places=2)
        assert found.days == 2
        assert found.each.cost.value == pytest.approx(129)
        assert found.each.unit_price == Decimal("161.25")
        assert found.net == Decimal("806.25")

    def test_a_full_day_is_cheaper_a_piece_than_one_casting(self) -> None:
        one, four = (price_run(quantity=n, material_each=MATERIAL, hours=HOURS, terms=terms(), places=2) for n in (1, 4))
        assert four.each.unit_price < one.each.unit_price

    @examples(st.integers(1, 500))
    def test_never_costs_more_for_the_whole_run_than_singly(self, quantity: int) -> None:
        one = price_run(quantity=1, material_each=MATERIAL, hours=HOURS, terms=terms(), places=2)
        many = price_run(quantity=quantity, material_each=MATERIAL, hours=HOURS, terms=terms(), places=2)
        assert many.each.cost.value <= one.each.cost.value + 1e-9
        assert many.net == quantity * many.each.unit_price

    @pytest.mark.parametrize("quantity", [0, -3, 10_001])
    def test_refuses_quantities_that_are_no_run(self, quantity: int) -> None:
        with pytest.raises(EngineError):
            price_run(quantity=quantity, material_each=MATERIAL, hours=HOURS, terms=terms(), places=2)


class TestPlannedRun:
    def test_at_the_planned_count_gives_the_planned_hours(self) -> None:
        estimate = make_estimate(brief())
        assert estimate.run is not None
        planned = sum(stage.hours.value for stage in estimate.stages if stage.stage.value in {"cast", "finish"})
        assert estimate.run.quantity * estimate.run.each.hours.value == pytest.approx(planned)

    def test_resin_of_one_casting_does_not_depend_on_the_count(self) -> None:
        ten, forty = make_estimate(brief()), make_estimate(brief(count=40))
        assert ten.run is not None
        assert forty.run is not None
        assert forty.run.each.material.value == pytest.approx(ten.run.each.material.value)


class TestCastingsToPayMold:
    # exact: the mold's cost over what each casting leaves, rounded up to whole castings.
    def test_rounds_up_to_whole_castings(self) -> None:
        estimate = make_estimate(brief())
        assert estimate.run is not None
        found = castings_to_pay_mold(estimate.mold, estimate.run)
        assert found is not None
        left = float(estimate.run.each.unit_price) - estimate.run.each.cost.value
        assert (found.value - 1) * left < estimate.mold.cost.value <= found.value * left

    def test_says_nothing_when_no_casting_leaves_anything(self) -> None:
        estimate = make_estimate(brief(terms=terms(margin_percent=Decimal(0), labour_rate_per_h=given(25, "money/h"))))
        assert estimate.run is not None
        cheap = castings_to_pay_mold(estimate.mold, estimate.run)
        assert cheap is None or cheap.value > 10_000
