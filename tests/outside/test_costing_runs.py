"""Runs of castings against published examples, worked values and independent libraries."""

import math

import numpy as np
import pytest
from scipy.stats import lognorm

from costing.engine.breakeven import break_even_units
from costing.engine.runs.learning import Learning, LearningModel, mean_times, total_times, unit_times
from costing.engine.runs.life import chance_of_more_than, molds_used
from materials.science.casting import castings_per_day, cycle_min

WRIGHT_80 = Learning(percent=80)
CRAWFORD_80 = Learning(percent=80, model=LearningModel.UNIT)


class TestCumulativeAverage:
    # published: Wideman, appendix on project management: at 80 % the second unit takes 60 % and the mean of four is 64 %.
    def test_published_second_and_mean_of_four(self) -> None:
        assert unit_times(2, WRIGHT_80) == pytest.approx(0.60)
        assert mean_times(4, WRIGHT_80) == pytest.approx(0.64)

    # calculated: 100 h for the first, b = log2(0.8) = -0.321928095.
    def test_of_eight_from_a_hundred_hours(self) -> None:
        assert 100 * mean_times(2, WRIGHT_80) == pytest.approx(80)
        assert 100 * total_times(8, WRIGHT_80) == pytest.approx(409.6)
        assert 100 * unit_times(8, WRIGHT_80) == pytest.approx(35.457333, abs=5e-7)


class TestUnit:
    # calculated: the same first hundred hours by Crawford's model.
    def test_of_eight_from_a_hundred_hours(self) -> None:
        assert 100 * unit_times(2, CRAWFORD_80) == pytest.approx(80)
        assert 100 * unit_times(8, CRAWFORD_80) == pytest.approx(51.2)
        assert 100 * total_times(8, CRAWFORD_80) == pytest.approx(534.591353, abs=5e-7)
        assert 100 * mean_times(8, CRAWFORD_80) == pytest.approx(66.824, abs=5e-4)


class TestBothModels:
    # calculated: 90 %, five hours for the first, ten castings.
    @pytest.mark.parametrize(("model", "hours"), [(LearningModel.CUMULATIVE_AVERAGE, 35.2344), (LearningModel.UNIT, 39.9724)])
    def test_ten_castings_at_ninety_percent(self, model: LearningModel, hours: float) -> None:
        assert 5 * total_times(10, Learning(percent=90, model=model)) == pytest.approx(hours, abs=5e-5)


class TestBreakEvenOfARun:
    # published: OpenStax, Principles of Accounting vol. 2 (2019), §3.2: 225 units, 22,500; a loss of 4,000 at 175.
    def test_225_units(self) -> None:
        units = break_even_units(fixed=18_000, price=100, variable=20)
        assert units == pytest.approx(225)
        assert units * 100 == pytest.approx(22_500)
        assert (175 - units) * (100 - 20) == pytest.approx(-4_000)

    # published: the same, §3.3: a price of 4.25 for 3.75 brings 1,100 down to 900 units, and 900 of income up to 1,650.
    def test_a_higher_price_needs_fewer(self) -> None:
        before, after = (break_even_units(fixed=2_475, price=price, variable=1.50) for price in (3.75, 4.25))
        assert (before, after) == (pytest.approx(1_100), pytest.approx(900))
        assert [(1_500 - units) * left for units, left in ((before, 2.25), (after, 2.75))] == pytest.approx([900, 1_650])


class TestCastingsADay:
    # calculated: a day of 8 h, half an hour to start, an hour and a quarter in the mold: six castings.
    def test_six_in_a_day_of_eight_hours(self) -> None:
        cycle = cycle_min(prepare_min=10, skins=3, pour_min=10, wait_min=5, demold_min=15, take_out_min=3, clean_min=2)
        assert cycle == 75
        assert castings_per_day(shift_h=8, startup_h=0.5, cycle_h=cycle / 60) == 6


def scipy_life(expected: float, variation: float) -> "lognorm":
    shape = math.sqrt(math.log1p(variation**2))
    return lognorm(shape, scale=expected / lognorm(shape).mean())


class TestMoldLife:
    @pytest.mark.parametrize(("castings", "expected"), [(1, 37.5), (20, 37.5), (37, 37.5), (60, 37.5), (100, 70.0), (10, 1.5)])
    def test_one_mold_against_scipys_log_normal(self, castings: int, expected: float) -> None:
        # independent: scipy.stats.lognorm.
        found = chance_of_more_than(1, castings=castings, expected=expected)
        assert found == pytest.approx(scipy_life(expected, 0.4).cdf(castings), abs=1e-12)

    def test_molds_one_after_another_against_lives_drawn_by_scipy(self) -> None:
        # independent: 200,000 runs of six molds drawn from scipy's distribution; three standard errors.
        drawn = scipy_life(40, 0.4).rvs((200_000, 6), random_state=np.random.default_rng(7))
        given = np.cumsum(np.floor(drawn), axis=1)
        for molds in (1, 2, 3, 4):
            short = (given[:, molds - 1] < 100).mean()
            error = 3 * math.sqrt(short * (1 - short) / 200_000)
            assert chance_of_more_than(molds, castings=100, expected=40) == pytest.approx(short, abs=error)
        used = 1 + (given < 100).sum(axis=1)
        assert molds_used(castings=100, expected=40) == pytest.approx(used.mean(), abs=3 * used.std() / math.sqrt(200_000))

    def test_long_runs_against_the_renewal_theorem(self) -> None:
        # published: renewal theory (lattice form): castings ÷ mean + mean of life × (life - 1) ÷ (2 mean²).
        whole = np.floor(scipy_life(40, 0.4).rvs(400_000, random_state=np.random.default_rng(8)))
        theory = 790 / whole.mean() + (whole * (whole - 1)).mean() / (2 * whole.mean() ** 2)
        assert molds_used(castings=790, expected=40) == pytest.approx(theory, rel=3e-3)
        assert molds_used(castings=801, expected=40) == pytest.approx(theory + 11 / whole.mean(), rel=3e-3)
