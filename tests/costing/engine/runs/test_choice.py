from typing import Any

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st

from costing.engine.errors import EngineError
from costing.engine.runs.choice import RunAndLife, StopCosts, chance_of_a_stop, choose, further_by_rule, molds_of_run
from costing.engine.runs.life import chance_of_more_than, molds_used
from studio.figures import Figure, Given


def life(castings: int, *, molds: int = 1, expected: float = 40.0, **ends: Any) -> RunAndLife:
    return RunAndLife(castings=castings, molds=molds, expected=Given(label="Life", value=expected, unit="1", **ends))


def costs(now: float = 400, later: float = 700, standing: float = 0) -> StopCosts:
    return StopCosts(
        now=Figure(key="now", label="Now", value=now, unit="money", formula="typed"),
        later=Figure(key="later", label="Later", value=later, unit="money", formula="typed"),
        standing=Given(label="Stop", value=standing, unit="money"),
    )


class TestLife:
    @settings(max_examples=40, deadline=None)
    @examples(st.integers(1, 300), st.floats(2, 150), st.integers(0, 6))
    def test_more_molds_make_a_stop_less_likely_and_more_castings_likelier(self, n: int, expected: float, molds: int) -> None:
        here = chance_of_more_than(molds, castings=n, expected=expected)
        assert 0 <= chance_of_more_than(molds + 1, castings=n, expected=expected) <= here + 1e-12
        assert here <= 1 + 1e-12
        assert chance_of_more_than(molds, castings=n + 1, expected=expected) >= here - 1e-12
        assert molds_used(castings=n, expected=expected) >= 1

    def test_refuses_what_it_cannot_reckon(self) -> None:
        with pytest.raises(EngineError, match="castings"):
            molds_used(castings=0, expected=40)
        with pytest.raises(EngineError, match="above nought"):
            chance_of_more_than(1, castings=5, expected=0)
        with pytest.raises(EngineError, match="at most"):
            chance_of_more_than(41, castings=5, expected=40)


class TestRule:
    @pytest.mark.parametrize(("castings", "molds", "further"), [(28, 1, 0), (29, 1, 1), (57, 1, 2), (57, 2, 1), (10, 3, 0)])
    def test_wants_another_beyond_seven_tenths_of_a_life(self, castings: int, molds: int, further: int) -> None:
        assert further_by_rule(life(castings, molds=molds)).value == further


class TestChoose:
    def test_expected_cost_is_what_its_working_says(self) -> None:
        found = choose(life(60), costs(standing=250))
        for row in found.rows:
            left = molds_used(castings=60, expected=40) - sum(
                chance_of_more_than(molds, castings=60, expected=40) for molds in range(1 + row.further)
            )
            assert row.later.value == pytest.approx(left, abs=1e-3)
            assert row.cost.value == pytest.approx(row.further * 400 + row.later.value * (700 + 250))
        assert found.best.cost.value == min(row.cost.value for row in found.rows)

    @settings(max_examples=30, deadline=None)
    @examples(st.integers(1, 150), st.integers(1, 3), st.floats(10, 2000), st.floats(0, 3), st.floats(0, 5000))
    def test_makes_another_while_its_chance_times_what_it_saves_is_above_its_cost(
        self, castings: int, molds: int, now: float, more: float, standing: float
    ) -> None:
        found = choose(life(castings, molds=molds), costs(now, now * (1 + more), standing))
        saved = now * (1 + more) + standing
        wanted = [
            chance_of_more_than(molds + further, castings=castings, expected=40) * saved > now for further in range(40 - molds)
        ]
        assert found.best.further == (wanted.index(False))

    def test_turns_where_it_says(self) -> None:
        # A run so short that no further mold pays until a stop costs much.
        none = choose(life(20), costs())
        assert none.best.further == 0
        assert none.pays_below is None
        assert none.another_above is not None
        above = none.another_above.value
        assert choose(life(20), costs(standing=above * 1.01)).best.further == 1
        assert choose(life(20), costs(standing=above * 0.99)).best.further == 0
        one = choose(life(20), costs(standing=above * 1.01))
        assert one.pays_below is not None
        assert one.pays_below.value == pytest.approx(above)

    def test_says_nothing_of_a_turn_where_it_pays_whatever_a_stop_costs(self) -> None:
        found = choose(life(60), costs())
        assert found.best.further >= 1
        assert found.pays_below is None

    def test_shows_a_decided_number_too(self) -> None:
        assert max(row.further for row in choose(life(5), costs(), decided=4).rows) >= 4

    def test_refuses_a_stop_that_earns(self) -> None:
        with pytest.raises(EngineError, match="less than nothing"):
            choose(life(5), costs(standing=-1))


class TestRange:
    def test_the_range_of_a_life_gives_one_to_chance_and_molds(self) -> None:
        run = life(40, low=25.0, high=50.0)
        for found in (chance_of_a_stop(run, 0), molds_of_run(run)):
            assert found.low is not None
            assert found.high is not None
            assert found.low < found.value < found.high

    def test_far_ends_are_not_told(self) -> None:
        assert chance_of_a_stop(life(1), 0).value == 0.01
        assert chance_of_a_stop(life(400), 0).value == 0.99
