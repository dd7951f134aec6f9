import math
from decimal import Decimal

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st

from costing.engine.errors import EngineError
from costing.engine.estimate import make_estimate
from costing.engine.shares import Share
from tests.costing.engine.builders import PER_KG, box_plan, brief, given, mold_only_plan, price, terms


class TestMakeEstimate:
    def test_counts_every_planned_hour_once(self) -> None:
        estimate = make_estimate(brief())
        assert estimate.hours.value == pytest.approx(box_plan().hours_hands_on.value)
        assert sum(stage.hours.value for stage in estimate.stages) == pytest.approx(estimate.hours.value)

    def test_counts_every_planned_gram_once(self) -> None:
        estimate = make_estimate(brief())
        assert sum(line.mass.value for line in estimate.spend.lines) == pytest.approx(
            sum(need.mass.value for need in box_plan().needs)
        )

    def test_costs_what_a_hand_calculation_gives(self) -> None:
        # exact: masses × price per kilogram + hours × (25 + 20), straight from the plan's own needs and hours.
        plan, estimate = box_plan(), make_estimate(brief())
        material = sum(need.mass.value / 1000 * PER_KG.get(str(need.material_key), 0.0) for need in plan.needs)
        assert estimate.makeup.material.value == pytest.approx(material)
        assert estimate.makeup.cost.value == pytest.approx(material + 45 * plan.hours_hands_on.value)

    def test_keeps_the_mold_apart_from_the_run(self) -> None:
        estimate = make_estimate(brief())
        alone = make_estimate(brief(plan=mold_only_plan()))
        assert estimate.mold.material.value == pytest.approx(alone.mold.material.value)
        assert {line.name for line in estimate.spend.of(Share.RUN)} == {"Resin"}

    def test_reaches_the_margin_asked_for(self) -> None:
        estimate = make_estimate(brief())
        assert estimate.margin.value == pytest.approx(20, abs=0.01)
        assert estimate.markup.value == pytest.approx(25, abs=1e-3)
        assert estimate.mold.unit_price == pytest.approx(
            Decimal(repr(estimate.mold.cost.value)) / Decimal("0.8"), abs=Decimal("0.005")
        )

    def test_parts_add_up_to_the_printed_total(self) -> None:
        estimate = make_estimate(brief(terms=terms(extra_label="Crate", extra_cost=Decimal(40))))
        assert sum(part.value for part in estimate.makeup.parts) == pytest.approx(float(estimate.totals.exact.gross))

    def test_deposit_and_balance_are_the_total(self) -> None:
        totals = make_estimate(brief(terms=terms(deposit_percent=Decimal("33.33")))).totals
        assert totals.deposit_amount + Decimal(str(totals.balance.value)) == totals.exact.gross

    def test_gives_the_total_the_band_of_its_class(self) -> None:
        gross = make_estimate(brief()).likely
        assert gross.low == pytest.approx(0.8 * gross.value)
        assert gross.high == pytest.approx(1.3 * gross.value)
        assert "Class 3" in gross.note

    def test_prices_the_mold_alone(self) -> None:
        estimate = make_estimate(brief(count=0))
        assert [line.kind for line in estimate.lines] == ["mold"]
        assert estimate.run is None
        assert [item.quantity for item in estimate.breaks] == [1, 5, 10, 25]

    def test_prices_a_plan_without_castings(self) -> None:
        estimate = make_estimate(brief(plan=mold_only_plan()))
        assert estimate.breaks == ()
        assert [line.kind for line in estimate.lines] == ["mold"]

    def test_rounds_to_whole_coins_of_the_currency(self) -> None:
        for line in make_estimate(brief(places=0)).lines:
            assert line.net == line.net.to_integral_value()

    @pytest.mark.parametrize("count", [-1, 10_001])
    def test_refuses_runs_out_of_range(self, count: int) -> None:
        with pytest.raises(EngineError, match=r"1 and 10,000|less than nought"):
            make_estimate(brief(count=count))

    def test_every_key_is_unique(self) -> None:
        estimate = make_estimate(brief(terms=terms(extra_label="Crate", extra_cost=Decimal(40))))
        figures = [*(line.mass for line in estimate.spend.lines), *estimate.makeup.parts, estimate.totals.gross, estimate.hours]
        figures += [cost for item in estimate.breaks for cost in (item.each.cost, item.each.price)]
        keys = [figure.key for figure in figures]
        assert len(keys) == len(set(keys))

    @settings(max_examples=40, deadline=None)
    @examples(
        rate=st.floats(0, 500),
        overhead=st.floats(0, 500),
        margin=st.decimals(0, 95, places=2),
        tax=st.decimals(0, 100, places=2),
        count=st.integers(1, 400),
    )
    def test_price_always_pays_the_cost_and_more_margin_never_costs_less(
        self, rate: float, overhead: float, margin: Decimal, tax: Decimal, count: int
    ) -> None:
        chosen = terms(
            labour_rate_per_h=given(rate, "money/h"),
            overhead_per_h=given(overhead, "money/h"),
            margin_percent=margin,
            tax_percent=tax,
        )
        estimate = make_estimate(brief(terms=chosen, count=count))
        coins = 0.005 * (1 + count)
        assert float(estimate.totals.exact.net) >= estimate.makeup.cost.value - coins
        assert estimate.totals.exact.gross == estimate.totals.exact.net + estimate.totals.exact.tax
        assert math.isclose(
            sum(part.value for part in estimate.makeup.parts), float(estimate.totals.exact.gross), rel_tol=1e-9, abs_tol=1e-6
        )
        without = make_estimate(brief(terms=terms(margin_percent=Decimal(0), tax_percent=Decimal(0)), count=count))
        if rate >= 25 and overhead >= 20:
            assert estimate.totals.exact.net >= without.totals.exact.net


class TestMissingPrice:
    def test_is_said_and_left_out(self) -> None:
        prices = {key: price(key, None if key == "resin" else cost) for key, cost in PER_KG.items()}
        estimate = make_estimate(brief(prices=prices))
        assert estimate.spend.left_out == ("Resin",)
        line = next(line for line in estimate.spend.lines if line.name == "Resin")
        assert line.cost is None
        remark = next(remark for remark in estimate.remarks if remark.key == "no-price-Resin")
        assert remark.tone == "stop"
        assert "Stock, Materials" in remark.text

    def test_of_everything_still_gives_hours(self) -> None:
        estimate = make_estimate(brief(prices={}))
        assert estimate.makeup.material.value == 0
        assert estimate.makeup.labour.value > 0


class TestScrap:
    def test_costs_nothing_and_is_no_missing_price(self) -> None:
        spend = make_estimate(brief()).spend
        scrap = next(line for line in spend.lines if line.name == "Scrap")
        assert scrap.cost is not None
        assert scrap.cost.value == 0
        assert "Scrap" not in spend.left_out

    def test_is_not_taken_for_a_material_with_the_same_key(self) -> None:
        from dataclasses import replace

        plan = box_plan()
        needs = tuple(replace(need, material_key="rubber") if need.material_key == "scrap" else need for need in plan.needs)
        mixed = make_estimate(brief(plan=replace(plan, needs=needs)))
        assert mixed.makeup.material.value == pytest.approx(make_estimate(brief()).makeup.material.value)


class TestRemarks:
    def test_say_when_the_deposit_does_not_carry_the_first_week(self) -> None:
        low = make_estimate(brief(terms=terms(deposit_percent=Decimal(5))))
        assert "deposit-small" in {remark.key for remark in low.remarks}
        enough = make_estimate(brief(terms=terms(deposit_percent=Decimal(90))))
        assert "deposit-small" not in {remark.key for remark in enough.remarks}

    def test_say_when_the_run_outlives_the_mold(self) -> None:
        found = make_estimate(brief(castings_expected=given(20, "1")))
        assert "outlives-mold" in {remark.key for remark in found.remarks}
        assert "outlives-mold" not in {remark.key for remark in make_estimate(brief(castings_expected=given(30, "1"))).remarks}

    def test_say_that_nothing_is_left_without_margin(self) -> None:
        assert "margin-nought" in {remark.key for remark in make_estimate(brief(terms=terms(margin_percent=Decimal(0)))).remarks}
