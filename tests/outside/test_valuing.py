"""Cost of stock against a published data set.

Published: OpenStax, Principles of Accounting, volume 1 (2019), sections 10.2 and 10.3. July: 150 units at 21 on hand; 120
sold on the 5th; 225 bought at 27 on the 10th; 180 sold on the 15th; 210 bought at 33 on the 25th; 285 left; goods available
16,155. The book prints FIFO 7,200 and 8,955, moving average 7,253 and 8,902 from rounded unit costs; exact 7,252.941176 and
8,902.058824.
"""

from decimal import Decimal

import pytest

from materials.valuing.money import worth
from materials.valuing.pool import Event, Method, Way, change_method, replay

KG = Decimal(1000)
AVAILABLE = Decimal(16155)


def bought(units: int, each: int) -> Event:
    return Event(way=Way.IN, mass_g=units * KG, value=worth(units * KG, Decimal(each)))


def sold(units: int) -> Event:
    return Event(way=Way.OUT, mass_g=units * KG)


JULY = (bought(150, 21), sold(120), bought(225, 27), sold(180), bought(210, 33))


def cost_and_rest(method: Method) -> tuple[Decimal, Decimal]:
    seen = replay(JULY, method=method)
    cost = -sum((change for _, change in seen if change < 0), Decimal(0))
    return cost, seen[-1][0].value


class TestPublishedMonth:
    def test_first_in_first_out_is_the_printed_figure(self) -> None:
        assert cost_and_rest(Method.FIFO) == (Decimal(7200), Decimal(8955))

    def test_moving_average_is_the_exact_figure(self) -> None:
        cost, rest = cost_and_rest(Method.AVERAGE)
        assert (cost, rest) == (Decimal("7252.9412"), Decimal("8902.0588"))
        assert float(cost) == pytest.approx(7252.941176, abs=1e-4)
        assert float(cost) == pytest.approx(7253, abs=2)
        assert float(rest) == pytest.approx(8902, abs=2)

    def test_mean_after_each_purchase_is_the_printed_one(self) -> None:
        seen = replay(JULY, method=Method.AVERAGE)
        assert seen[2][0].per_kg == Decimal("26.2941")
        assert seen[4][0].per_kg == Decimal("31.2353")

    @pytest.mark.parametrize("method", Method)
    def test_cost_and_rest_add_up_to_the_goods_available(self, method: Method) -> None:
        assert sum(cost_and_rest(method)) == AVAILABLE

    def test_a_change_of_method_loses_nothing_on_the_way(self) -> None:
        """Exact: the stock is carried over at its worth, so cost and rest still add up to the goods available."""
        half = replay(JULY[:3], method=Method.AVERAGE)
        carried = change_method(half[-1][0], Method.FIFO)
        rest = replay(JULY[3:], method=Method.FIFO, start=carried)
        assert -half[1][1] - rest[0][1] + rest[-1][0].value == AVAILABLE
