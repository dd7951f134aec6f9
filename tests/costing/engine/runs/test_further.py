from decimal import Decimal
from functools import cache

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st

from costing.engine.estimate import Estimate, make_estimate
from costing.engine.runs.further import made_later
from jobs.planning.plan import make_plan
from studio.figures import Figure
from tests.costing.engine.builders import brief, given, mold_only_plan, terms
from tests.jobs.planning.builders import brief as plan_brief


@cache
def with_molds(molds: int) -> Estimate:
    return make_estimate(brief(plan=make_plan(plan_brief(molds=molds))))


class TestFurtherMold:
    # independent: the same piece planned with one mold more; the difference is what that one costs.
    @pytest.mark.parametrize("molds", [1, 2])
    def test_costs_what_planning_one_more_adds(self, molds: int) -> None:
        one, two = with_molds(molds), with_molds(molds + 1)
        assert one.one_more is not None
        assert one.one_more.hours.value == pytest.approx(two.mold.hours.value - one.mold.hours.value)
        assert one.one_more.cost.value == pytest.approx(two.mold.cost.value - one.mold.cost.value, rel=2e-3)

    def test_is_known_and_not_priced_until_somebody_decides(self) -> None:
        for count in (None, 0):
            estimate = make_estimate(brief(terms=terms(spare_molds=count)))
            assert estimate.one_more is not None
            assert estimate.further is None
            assert [line.kind for line in estimate.lines] == ["mold", "casting"]

    def test_is_a_line_of_its_own_and_everything_adds_up(self) -> None:
        plain, estimate = make_estimate(brief()), make_estimate(brief(terms=terms(spare_molds=2)))
        assert estimate.further is not None
        assert [(line.kind, line.quantity) for line in estimate.lines] == [("mold", 1), ("spare", 2), ("casting", 10)]
        assert estimate.lines[1].net == estimate.further.net == 2 * estimate.further.each.unit_price
        assert estimate.totals.exact.net == plain.totals.exact.net + estimate.further.net
        assert estimate.makeup.cost.value == pytest.approx(plain.makeup.cost.value + 2 * estimate.further.each.cost.value)
        assert estimate.hours.value == pytest.approx(plain.hours.value + 2 * estimate.further.each.hours.value)
        assert sum(part.value for part in estimate.makeup.parts) == pytest.approx(float(estimate.totals.exact.gross))

    @pytest.mark.parametrize(("count", "warns"), [(0, True), (1, False)])
    def test_carries_a_run_that_outlives_the_first(self, count: int, warns: bool) -> None:
        found = make_estimate(brief(castings_expected=given(15, "1"), terms=terms(spare_molds=count, quantities=(25,))))
        assert ("outlives-mold" in {remark.key for remark in found.remarks}) is warns

    def test_is_nothing_where_nothing_is_cast(self) -> None:
        estimate = make_estimate(brief(plan=mold_only_plan(), terms=terms(spare_molds=2)))
        assert estimate.one_more is None
        assert estimate.further is None
        assert make_estimate(brief(count=0, terms=terms(spare_molds=2))).further is None


class TestMadeLater:
    # exact: the first mold's cost whole; with two planned, what is left of both without the second; nothing of a contingency.
    def test_is_a_mold_with_the_piece_prepared_anew(self) -> None:
        one, two = with_molds(1), with_molds(2)
        assert one.one_more is not None
        assert two.one_more is not None
        later = made_later(one.mold, one.one_more, 1).value
        assert later == pytest.approx(one.mold.cost.value)
        assert later > one.one_more.cost.value
        assert made_later(two.mold, two.one_more, 2).value == pytest.approx(two.mold.cost.value - two.one_more.cost.value)
        aside = Figure(key="contingency", label="Contingency", value=500, unit="money", formula="typed")
        padded = make_estimate(brief(plan=make_plan(plan_brief(molds=1)), contingency=aside))
        assert padded.mold.cost.value == pytest.approx(one.mold.cost.value + 500)
        assert made_later(padded.mold, one.one_more, 1).value == pytest.approx(later)


class TestLearningInAPrice:
    @pytest.mark.parametrize("model", ["cumulative", "unit"])
    def test_a_hundred_percent_is_the_price_without(self, model: str) -> None:
        plain = make_estimate(brief())
        full = make_estimate(brief(terms=terms(learning_percent=Decimal(100), learning_model=model)))
        assert full.totals.exact == plain.totals.exact
        assert [item.net for item in full.breaks] == [item.net for item in plain.breaks]
        assert full.practice is None

    def test_the_models_agree_about_one_casting(self) -> None:
        found = [
            make_estimate(brief(terms=terms(learning_percent=Decimal(85), learning_model=model)))
            for model in ("cumulative", "unit")
        ]
        plain, one, other = make_estimate(brief()).breaks[0], found[0].breaks[0], found[1].breaks[0]
        assert plain.net == one.net == other.net

    # calculated: ten castings at 90 % by Wright take 0.7047 of the first one's handwork each; turning and starting days stay.
    def test_shortens_the_handwork_alone(self) -> None:
        plain = make_estimate(brief())
        found = make_estimate(brief(terms=terms(learning_percent=Decimal(90))))
        assert plain.run is not None
        assert found.run is not None
        assert found.practice is not None
        casting = brief().plan.casting
        assert casting is not None
        turning = casting.skins * 8 / 60
        starts = 0.5 * found.run.days / 10
        handwork = plain.run.each.hours.value - turning - starts
        assert found.run.each.hours.value == pytest.approx(turning + starts + handwork * 10**-0.152003093, rel=1e-6)
        assert found.practice.value == pytest.approx(10 * (plain.run.each.hours.value - found.run.each.hours.value))
        assert found.hours.value == pytest.approx(plain.hours.value - found.practice.value)
        assert found.run.days == plain.run.days

    @settings(max_examples=30, deadline=None)
    @examples(st.decimals(51, 100, places=1), st.sampled_from(["cumulative", "unit"]), st.integers(1, 200), st.integers(0, 5))
    def test_lines_and_breaks_add_up_and_practice_never_costs(self, percent: Decimal, model: str, count: int, spare: int) -> None:
        chosen = terms(learning_percent=percent, learning_model=model, spare_molds=spare)
        found, plain = make_estimate(brief(terms=chosen, count=count)), make_estimate(brief(count=count))
        assert found.totals.exact.net == sum(line.net for line in found.lines)
        assert sum(part.value for part in found.makeup.parts) == pytest.approx(float(found.totals.exact.gross))
        for item, other in zip(found.breaks, plain.breaks, strict=True):
            assert item.net == item.quantity * item.each.unit_price
            assert item.each.unit_price <= other.each.unit_price
