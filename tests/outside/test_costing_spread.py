"""The spread of an estimate against published values, scipy's distributions, closed forms and linear propagation."""

import math
from typing import Any

import numpy as np
import pytest
from scipy import stats
from uncertainties import ufloat

from costing.engine.spread.draws import Normals, normals, values_of
from costing.engine.spread.drivers import HANDS, IN_COMMON, PRICES, Driver, Law
from costing.engine.spread.three_point import Moments, beta_shape, chain, three_point
from studio.figures import Source, SourceKind

SOURCE = Source(kind=SourceKind.TYPED)
DRAWS = 100_000


def driver(key: str, low: float, likely: float, high: float, *, law: Law = Law.PERT, group: str = "") -> Driver:
    return Driver(
        key=key, label=key, unit="1", planned=likely, law=law, low=low, likely=likely, high=high, source=SOURCE, group=group
    )


def drawn(*drivers: Driver, seed: int = 11) -> dict[str, np.ndarray]:
    return values_of(drivers, normals(drivers, seed=seed, draws=DRAWS))


class TestThreePoints:
    # published: a diagram library's worked example: 5/8/14 gives 8.5 and 1.5.
    def test_one_task(self) -> None:
        found = three_point(5, 8, 14)
        assert (found.mean, found.sd) == (8.5, 1.5)

    # published: the same example: four tasks in a chain come to 17.83 with 1.69; variances add, not deviations. Its other three
    # tasks are taken together here, as what the published totals leave.
    def test_a_chain_of_the_task_and_the_others(self) -> None:
        others = Moments(mean=17.83 - 8.5, sd=math.sqrt(1.69**2 - 1.5**2))
        found = chain([three_point(5, 8, 14), others])
        assert (found.mean, found.sd) == (pytest.approx(17.83), pytest.approx(1.69))
        assert found.sd < 1.5 + others.sd

    # published totals, and the normal's 0.841621 for 80 %: 17.83 + 0.841621 × 1.69 = 19.2523.
    def test_eighty_percent_of_the_chain(self) -> None:
        assert Moments(mean=17.83, sd=1.69).percentile(80) == pytest.approx(19.2523, abs=5e-5)

    # standard: independent sums, by scipy's normal.
    def test_a_chain_of_four_against_scipy(self) -> None:
        tasks = [(1, 2, 4), (3, 4, 8), (2, 3, 5), (5, 8, 14)]
        found = chain(three_point(*task) for task in tasks)
        scipy_sum = stats.norm(
            sum((a + 4 * m + b) / 6 for a, m, b in tasks), math.sqrt(sum(((b - a) / 6) ** 2 for a, m, b in tasks))
        )
        assert found.percentile(90) == pytest.approx(scipy_sum.ppf(0.9))


class TestDistributions:
    @pytest.mark.parametrize(
        "three", [(5.0, 8.0, 14.0), (10.0, 30.0, 120.0), (0.0, 2.0, 15.0), (5.0, 5.0, 10.0), (0.7, 0.85, 0.95)]
    )
    def test_a_three_point_beta_is_scipys(self, three: tuple[float, float, float]) -> None:
        low, likely, high = three
        first, second = beta_shape(low, likely, high)
        law = stats.beta(first, second, loc=low, scale=high - low)
        # The beta's mean is that of the three-point rule.
        assert law.mean() == pytest.approx(three_point(*three).mean)
        values = drawn(driver("x", *three))["x"]
        assert values.min() >= low
        assert values.max() <= high
        assert values.mean() == pytest.approx(law.mean(), abs=0.02 * law.std())
        assert values.std() == pytest.approx(law.std(), rel=0.01)
        for percent in (10, 50, 90):
            assert np.percentile(values, percent) == pytest.approx(law.ppf(percent / 100), abs=0.02 * law.std())

    def test_a_log_normals_two_numbers_hold_nine_of_ten(self) -> None:
        found = driver("x", 8.0, 10.0, 12.5, law=Law.LOG_NORMAL)
        law = stats.lognorm(s=found.sigma, scale=10.0)
        assert law.ppf([0.05, 0.95]) == pytest.approx([8.0, 12.5])
        values = drawn(found)["x"]
        assert np.percentile(values, [5, 50, 95]) == pytest.approx(law.ppf([0.05, 0.5, 0.95]), rel=0.01)
        assert values.mean() == pytest.approx(law.mean(), rel=0.01)

    def test_what_is_in_common_leaves_each_law_as_it_is_and_ties_them_by_its_share(self) -> None:
        pair = [
            driver("a", 8, 10, 12.5, law=Law.LOG_NORMAL, group=PRICES),
            driver("b", 16, 20, 25, law=Law.LOG_NORMAL, group=PRICES),
        ]
        alone, tied = drawn(driver("a", 8, 10, 12.5, law=Law.LOG_NORMAL)), drawn(*pair)
        assert np.percentile(tied["a"], [5, 95]) == pytest.approx(np.percentile(alone["a"], [5, 95]), rel=0.01)
        assert np.corrcoef(np.log(tied["a"]), np.log(tied["b"]))[0, 1] == pytest.approx(IN_COMMON[PRICES], abs=0.01)
        hands = drawn(*(driver(key, 0, 50, 100, group=HANDS) for key in "ab"))
        assert np.corrcoef(hands["a"], hands["b"])[0, 1] == pytest.approx(IN_COMMON[HANDS], abs=0.02)


class TestClosedForms:
    # standard: means and variances of independent terms add.
    def test_a_sum_of_independent_betas(self) -> None:
        tasks = [(5.0, 8.0, 14.0), (1.0, 2.0, 6.0), (10.0, 12.0, 20.0)]
        laws = [stats.beta(*beta_shape(*task), loc=task[0], scale=task[2] - task[0]) for task in tasks]
        total = sum(drawn(*(driver(str(n), *task) for n, task in enumerate(tasks))).values())
        assert total.mean() == pytest.approx(sum(law.mean() for law in laws), rel=0.005)
        assert total.var() == pytest.approx(sum(law.var() for law in laws), rel=0.02)

    # standard: the logarithm of a product of log-normals is normal, variances add.
    def test_a_product_of_log_normals(self) -> None:
        factors = [driver("area", 8, 10, 12.5, law=Law.LOG_NORMAL), driver("price", 18, 20, 200 / 9, law=Law.LOG_NORMAL)]
        values = drawn(*factors)
        law = stats.lognorm(s=math.hypot(*(factor.sigma for factor in factors)), scale=200.0)
        product = values["area"] * values["price"]
        assert np.percentile(product, [10, 50, 90]) == pytest.approx(law.ppf([0.1, 0.5, 0.9]), rel=0.01)

    def test_normals_of_different_drivers_are_independent(self) -> None:
        found: Normals = normals([driver("a", 0, 1, 2), driver("b", 0, 1, 2)], seed=5, draws=DRAWS)
        rows = np.stack([found.own["a"], found.own["b"], *found.common.values()])
        assert np.corrcoef(rows) == pytest.approx(np.eye(4), abs=0.015)

    # independent library: uncertainties propagates linearly, which holds where spreads are narrow.
    def test_a_cost_against_linear_propagation(self) -> None:
        three = {
            "area": (0.76, 0.8, 0.85), "wall": (9.2, 9.5, 10.0), "price": (21.0, 22.0, 23.5), "hours": (13.0, 14.0, 15.5),
            "rate": (44.0, 45.0, 46.5),
        }  # fmt: skip

        def cost(area: Any, wall: Any, price: Any, hours: Any, rate: Any) -> Any:
            return area * wall * 1.1 * price + hours * rate

        values = cost(**drawn(*(driver(key, *told) for key, told in three.items())))
        linear = cost(**{key: ufloat(*_mean_and_sd(told)) for key, told in three.items()})
        assert values.mean() == pytest.approx(linear.nominal_value, rel=2e-3)
        assert values.std() == pytest.approx(linear.std_dev, rel=0.02)


def _mean_and_sd(three: tuple[float, float, float]) -> tuple[float, float]:
    law = stats.beta(*beta_shape(*three), loc=three[0], scale=three[2] - three[0])
    return float(law.mean()), float(law.std())
