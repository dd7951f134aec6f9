"""Cost of stock: its rules one by one, and any sequence against an implementation that weighs gram by gram."""

from collections import deque
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from materials.valuing.layers import Layer, take
from materials.valuing.money import part_of, per_kg, worth
from materials.valuing.pool import Event, Method, Pool, Way, after, change_method, replay

D = Decimal


def came(mass: int, value: str, name: int | None = None) -> Event:
    return Event(way=Way.IN, mass_g=D(mass), value=D(value), name=name)


def went(mass: int) -> Event:
    return Event(way=Way.OUT, mass_g=D(mass))


class TestMoney:
    def test_rounds_half_up_to_a_ten_thousandth(self) -> None:
        assert worth(D("0.001"), D(50)) == D("0.0001")
        assert worth(D(1500), D("21.5")) == D("32.25")

    def test_costs_nothing_per_mass_of_nothing(self) -> None:
        assert per_kg(D(5), D(0)) == 0

    def test_stays_writable_where_a_crumb_carries_much(self) -> None:
        assert per_kg(D(900000), D("0.001")) == D("99999999.9999")

    def test_gives_the_last_gram_what_is_left(self) -> None:
        first = part_of(D("1.0000"), mass_g=D(1), of_g=D(3))
        second = part_of(D("1.0000") - first, mass_g=D(1), of_g=D(2))
        assert first + second + part_of(D("1.0000") - first - second, mass_g=D(1), of_g=D(1)) == D("1.0000")


class TestAfter:
    def test_finds_counted_excess_at_the_mean(self) -> None:
        pool, change = after(Pool(mass_g=D(100), value=D(4)), Event(way=Way.FOUND, mass_g=D(25), lot_per_kg=D(90)))
        assert (change, pool.mass_g, pool.value) == (1, 125, 5)

    def test_finds_excess_on_an_empty_shelf_at_the_cost_of_its_lot(self) -> None:
        assert after(Pool(), Event(way=Way.FOUND, mass_g=D(500), lot_per_kg=D(22)))[1] == 11

    def test_puts_what_comes_back_in_front(self) -> None:
        events = [came(100, "1"), came(100, "9"), went(100), Event(way=Way.BACK, mass_g=D(100), value=D(1)), went(100)]
        assert [change for _, change in replay(events, method=Method.FIFO)] == [1, 9, -1, 1, -1]

    def test_takes_the_own_layer_of_an_undone_delivery(self) -> None:
        events = [came(100, "1", 1), came(100, "9", 2), Event(way=Way.UNDO_IN, mass_g=D(100), value=D(9), name=2)]
        pool, change = replay(events, method=Method.FIFO)[-1]
        assert (change, [layer.value for layer in pool.layers]) == (-9, [1])

    def test_takes_no_more_than_is_there_where_an_undone_delivery_was_spread_by_the_mean(self) -> None:
        """100 g at 1 and 100 g at 9 make a mean of 5; once half is used at 5 only 5 is left of what the dear delivery brought."""
        events = [came(100, "1"), came(100, "9"), went(100), Event(way=Way.UNDO_IN, mass_g=D(100), value=D(9))]
        pool, change = replay(events, method=Method.AVERAGE)[-1]
        assert (pool.mass_g, pool.value, change) == (0, 0, -5)

    @pytest.mark.parametrize("method", Method)
    def test_refuses_more_than_is_there(self, method: Method) -> None:
        with pytest.raises(ValueError, match="cannot go out"):
            replay([came(100, "1"), went(101)], method=method)

    def test_carries_the_mean_over_as_one_layer(self) -> None:
        pool = change_method(Pool(mass_g=D(200), value=D(10)), Method.FIFO)
        assert pool.layers == (Layer(mass_g=D(200), value=D(10)),)
        assert change_method(pool, Method.FIFO) is not None
        assert change_method(pool, Method.AVERAGE).layers == ()


class TestTake:
    def test_never_looks_behind_what_suffices(self) -> None:
        def layers() -> object:
            yield Layer(mass_g=D(5), value=D(1))
            raise AssertionError("looked further")

        assert take(layers(), D(5))[0].left_g == 0  # type: ignore[arg-type]

    def test_says_that_the_layers_do_not_hold_it(self) -> None:
        with pytest.raises(ValueError, match="hold 3 g less"):
            take([Layer(mass_g=D(5), value=D(1))], D(8))


class GramByGram:
    """Every gram with its exact cost, in the order in which it came: slow, and plainly right."""

    def __init__(self, method: Method) -> None:
        self.method, self.grams = method, deque[tuple[Fraction, int]]()

    def happen(self, event: Event) -> Fraction:
        mass, before = int(event.mass_g), self.worth()
        if event.way in {Way.IN, Way.FOUND, Way.BACK, Way.UNDO_OUT}:
            each = Fraction(event.value) / mass
            if event.way is Way.FOUND:
                each = before / len(self.grams) if self.grams else Fraction(event.lot_per_kg) / 1000
            for _ in range(mass):
                put = self.grams.appendleft if event.way in {Way.BACK, Way.UNDO_OUT} else self.grams.append
                put((each, event.name or 0))
        elif self.method is Method.FIFO and event.way is Way.UNDO_IN:
            own = [gram for gram in self.grams if gram[1] == event.name][:mass]
            for gram in own:
                self.grams.remove(gram)
            for _ in range(mass - len(own)):
                self.grams.popleft()
        else:
            for _ in range(mass):
                self.grams.popleft()
        if self.method is Method.AVERAGE and self.grams:
            self._level(event, before, mass)
        return self.worth() - before

    def _level(self, event: Event, before: Fraction, mass: int) -> None:
        """Bring every gram to the mean that is left."""
        if event.way is Way.OUT:
            left = before * len(self.grams) / (len(self.grams) + mass)
        elif event.way is Way.UNDO_IN:
            left = max(before - Fraction(event.value), Fraction(0))
        else:
            left = self.worth()
        self.grams = deque([(left / len(self.grams), 0)] * len(self.grams))

    def worth(self) -> Fraction:
        return sum((each for each, _ in self.grams), Fraction(0))


steps = st.lists(
    st.tuples(st.sampled_from(list(Way)), st.integers(1, 30), st.integers(0, 90), st.integers(0, 20)), min_size=1, max_size=25
)


class TestAnySequence:
    @pytest.mark.parametrize("method", Method)
    @given(steps)
    def test_costs_what_weighing_gram_by_gram_costs(self, method: Method, played: list[tuple[Way, int, int, int]]) -> None:
        pool, slow, names = Pool(method=method), GramByGram(method), [0]
        total = D(0)
        for number, (way, mass, cents, back) in enumerate(played, start=1):
            name = names[back % len(names)] if way is Way.UNDO_IN else number
            event = Event(way=way, mass_g=D(mass), value=D(cents) / 100, name=name, lot_per_kg=D(22))
            if way in {Way.OUT, Way.UNDO_IN} and mass > pool.mass_g:
                continue
            pool, change = after(pool, event)
            names.append(number)
            total += change
            # A line rounds to a ten-thousandth; the exact one does not, and rounding may add up over the lines.
            assert abs(Fraction(change) - slow.happen(event)) <= Fraction(number * 3, 10000)
            assert abs(Fraction(pool.value) - slow.worth()) <= Fraction(number * 3, 10000)
            assert pool.value == total >= 0
            assert pool.mass_g > 0 or pool.value == 0
            assert pool.mass_g == len(slow.grams)
            if method is Method.FIFO:
                assert sum(layer.mass_g for layer in pool.layers) == pool.mass_g
                assert sum(layer.value for layer in pool.layers) == pool.value
