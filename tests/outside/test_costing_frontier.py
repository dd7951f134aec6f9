"""Hours against spend held against brute force, against a root finder, and against a pair of ways worked out on paper."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from costing.engine.frontier.crossing import crossing_of, crossing_price, crossing_rate
from costing.engine.frontier.dominance import frontier_of, ranks
from costing.engine.frontier.sums import WaySums

# Whole minutes and cents from few values, so that ties and twins come up.
WAYS = st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), max_size=14).map(
    lambda pairs: [WaySums(number=n, hours=h / 4, spend=float(s)) for n, (h, s) in enumerate(pairs, start=1)]
)
SUMS = st.tuples(st.floats(0, 200), st.floats(0, 5000), st.floats(0, 90))


def beats(one: WaySums, other: WaySums) -> bool:
    """Say by definition whether one takes no more of either and less of one (Pareto)."""
    no_more = one.hours <= other.hours and one.spend <= other.spend
    return no_more and (one.hours, one.spend) != (other.hours, other.spend)


class TestFrontier:
    @settings(max_examples=300, deadline=None)
    @given(WAYS, st.floats(0, 100))
    def test_is_what_a_check_of_every_pair_leaves(self, ways: list[WaySums], rate: float) -> None:
        found = frontier_of(ways, rate_per_h=rate)
        by_number = {way.number: way for way in ways}
        unbeaten = [way for way in ways if not any(beats(other, way) for other in ways)]
        assert set(found.joined) | set(found.same) == {way.number for way in unbeaten}
        assert len({(by_number[n].hours, by_number[n].spend) for n in found.joined}) == len(found.joined)
        assert set(found.beaten) == set(by_number) - {way.number for way in unbeaten}
        for loser, winner in found.beaten.items():
            assert beats(by_number[winner], by_number[loser])
            assert winner in found.joined
            rivals = [n for n in found.joined if beats(by_number[n], by_number[loser])]
            assert by_number[winner].cost(rate) == min(by_number[n].cost(rate) for n in rivals)
        for twin, stands_for in found.same.items():
            assert (by_number[twin].hours, by_number[twin].spend) == (by_number[stands_for].hours, by_number[stands_for].spend)
        hours = [by_number[n].hours for n in found.joined]
        assert hours == sorted(hours)

    @settings(max_examples=200, deadline=None)
    @given(WAYS.filter(bool), st.floats(0, 100))
    def test_holds_the_cheapest_way_at_every_rate(self, ways: list[WaySums], rate: float) -> None:
        found, ranked = frontier_of(ways, rate_per_h=rate), ranks(ways, rate_per_h=rate, step=1e-9)
        assert any(ranked[number] == 1 for number in found.joined)


class TestCrossings:
    @settings(max_examples=200, deadline=None)
    @given(SUMS, SUMS)
    def test_rate_is_the_root_that_brentq_finds(self, one: tuple[float, float, float], other: tuple[float, float, float]) -> None:
        a = WaySums(number=1, hours=one[0], spend=one[1], rubber_kg=one[2])
        b = WaySums(number=2, hours=other[0], spend=other[1], rubber_kg=other[2])
        rate = crossing_rate(a, b)

        def apart(at: float) -> float:
            return a.cost(at) - b.cost(at)

        if rate is None or rate > 1e5 or abs(a.hours - b.hours) < 0.01:
            # Without a crossing from nought upward the difference keeps its sign.
            assert rate is not None or apart(0) * apart(1e5) >= 0 or abs(a.hours - b.hours) < 1e-9
            return
        assert brentq(apart, -1.0, rate + 1e3, xtol=1e-10) == pytest.approx(rate, abs=1e-6)

    @settings(max_examples=200, deadline=None)
    @given(SUMS, SUMS, st.floats(0, 120), st.floats(0, 60))
    def test_price_is_the_root_that_brentq_finds(
        self, one: tuple[float, float, float], other: tuple[float, float, float], rate: float, price: float
    ) -> None:
        a = WaySums(number=1, hours=one[0], spend=one[1], rubber_kg=one[2])
        b = WaySums(number=2, hours=other[0], spend=other[1], rubber_kg=other[2])
        found = crossing_price(a, b, rate_per_h=rate, price_per_kg=price)

        def apart(at: float) -> float:
            dearer = [way.spend + way.rubber_kg * (at - price) + way.hours * rate for way in (a, b)]
            return dearer[0] - dearer[1]

        if found is None or found > 1e6 or abs(a.rubber_kg - b.rubber_kg) < 0.01:
            assert found is not None or apart(0) * apart(1e6) >= -1e-6 or abs(a.rubber_kg - b.rubber_kg) < 0.01
            return
        assert brentq(apart, -1.0, found + 1e3, xtol=1e-9) == pytest.approx(found, abs=1e-5)

    def test_a_block_against_a_blanket(self) -> None:
        # Worked by hand: block 25 kg and 4 h, blanket 6 kg, shell 60 and 14 h; at 22 a kilogram they meet at 35.80 an hour,
        # at 45 an hour where rubber is 26.8421.
        block = WaySums(number=1, hours=4, spend=25 * 22, rubber_kg=25)
        blanket = WaySums(number=2, hours=14, spend=6 * 22 + 60, rubber_kg=6)
        found = crossing_of(blanket, block, rate_per_h=45, price_per_kg=22)
        assert (found.quick.number, found.slow.number) == (1, 2)
        assert found.rate == pytest.approx(35.80)
        assert found.price == pytest.approx(26.8421, abs=5e-5)
        assert (found.saved, found.more, found.rubber_saved) == (358, 10, 19)
