"""Learnt rates against closed forms, scipy's integrals and simulated studios; calibration against scipy's exact interval."""

import math

import numpy as np
import pytest
from scipy import integrate, stats

from costing.engine.learning.calibration import exact_interval
from costing.engine.learning.posterior import Likelihood, update
from costing.engine.learning.prior import Prior, prior_of
from studio.workrates import WORK_RATES

PRIOR = Prior(middle=math.log(20.0), spread=0.35)
OBSERVED = [26.0, 31.0, 24.0, 28.0, 90.0]


class TestUpdate:
    # closed form: normal prior, normal likelihood of known scale: precisions add, means are weighted by them.
    def test_is_the_conjugate_normal_where_tails_are_light(self) -> None:
        found = update(PRIOR, OBSERVED, Likelihood(freedom=math.inf, scale=0.3, scale_spread=0.0))
        precision = 1 / PRIOR.spread**2 + len(OBSERVED) / 0.3**2
        mean = (PRIOR.middle / PRIOR.spread**2 + sum(map(math.log, OBSERVED)) / 0.3**2) / precision
        spread = precision**-0.5
        assert found.log_mean == pytest.approx(mean, abs=1e-6)
        assert found.log_spread == pytest.approx(spread, rel=1e-5)
        assert found.median == pytest.approx(math.exp(mean), rel=1e-4)
        assert found.low == pytest.approx(math.exp(stats.norm.ppf(0.1, mean, spread)), rel=1e-4)
        assert found.high == pytest.approx(math.exp(stats.norm.ppf(0.9, mean, spread)), rel=1e-4)
        assert found.share_of_log == pytest.approx(1 - 1 / (PRIOR.spread**2 * precision), abs=1e-5)

    # independent: scipy's own densities under Simpson's rule over both unknowns, on a much finer grid.
    def test_is_what_scipy_integrates_with_heavy_tails_and_an_unknown_scale(self) -> None:
        like, logs = Likelihood(), np.log(OBSERVED)
        found = update(PRIOR, OBSERVED, like)
        rates, away = np.linspace(1.0, 5.5, 2001), np.linspace(-6, 6, 241)
        scales = like.scale * np.exp(like.scale_spread * away)
        seen = [stats.t.pdf(one, like.freedom, loc=rates[:, None], scale=scales[None, :]) for one in logs]
        surface = np.prod(seen, axis=0) * stats.norm.pdf(away)[None, :]
        at = integrate.simpson(surface, x=away, axis=1) * stats.norm.pdf(rates, PRIOR.middle, PRIOR.spread)
        at /= integrate.simpson(at, x=rates)
        below = integrate.cumulative_simpson(at, x=rates, initial=0.0)
        ends = [math.exp(np.interp(part, below, rates)) for part in (0.1, 0.5, 0.9)]
        assert found.log_mean == pytest.approx(integrate.simpson(rates * at, x=rates), abs=1e-3)
        assert [found.low, found.median, found.high] == pytest.approx(ends, rel=2e-3)

    def test_is_not_carried_away_by_one_job_gone_wrong(self) -> None:
        without, with_it = update(PRIOR, OBSERVED[:4]), update(PRIOR, OBSERVED)
        believed = update(PRIOR, OBSERVED, Likelihood(freedom=math.inf, scale=0.25, scale_spread=0.0))
        assert abs(with_it.median / without.median - 1) < 0.06
        assert believed.median / without.median - 1 > 0.15
        assert with_it.weights[-1] < 0.25 < min(with_it.weights[:4])
        # The limit of a job that is ever further off is to be forgotten.
        assert update(PRIOR, [*OBSERVED[:4], 1e5]).median == pytest.approx(without.median, rel=0.04)

    def test_leaves_the_table_where_nothing_is_noted(self) -> None:
        kind = WORK_RATES["board_min"]
        prior = prior_of(kind)
        assert prior is not None
        found = update(prior, [])
        assert found.median == pytest.approx(kind.default, rel=1e-3)
        assert found.share_of_log == pytest.approx(0, abs=1e-3)
        # standard: the 90th percentile of a normal distribution lies 1.2816/1.6449 of the way to its 95th.
        assert math.log(found.high / found.low) == pytest.approx(math.log(kind.high / kind.low) * 1.281552 / 1.644854, rel=1e-3)

    # simulated studios, seeded: 80 % intervals hold the true rate in 80 % of 400, give or take four standard errors.
    @pytest.mark.parametrize("jobs", [1, 6])
    def test_covers_the_truth_as_often_as_it_says_with_a_tenth_gone_wrong(self, jobs: int) -> None:
        rng, studios, held = np.random.default_rng(20), 400, 0
        for _ in range(studios):
            true = PRIOR.middle + PRIOR.spread * rng.standard_normal()
            seen = true + 0.25 * rng.standard_normal(jobs)
            seen += (rng.random(jobs) < 0.1) * rng.choice([-1, 1], jobs) * math.log(5)
            found = update(PRIOR, list(np.exp(seen)))
            held += found.low <= math.exp(true) <= found.high
        bound = 4 * math.sqrt(0.8 * 0.2 / studios)
        assert held / studios == pytest.approx(0.8, abs=bound)


class TestExactInterval:
    # independent: scipy.stats.binomtest, whose method "exact" is Clopper and Pearson's (Biometrika 26, 1934).
    def test_is_scipys(self) -> None:
        for tries in (1, 4, 9, 30):
            for hits in range(tries + 1):
                theirs = stats.binomtest(hits, tries).proportion_ci(confidence_level=0.8, method="exact")
                assert exact_interval(hits, tries, 0.8) == pytest.approx((theirs.low, theirs.high), abs=1e-9)
        assert exact_interval(0, 0, 0.8) == (0.0, 1.0)
