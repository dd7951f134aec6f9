from decimal import Decimal

import pytest

from costing.engine.estimate import make_estimate
from studio.figures import Figure
from tests.costing.engine.builders import brief

ASIDE = Figure(key="contingency", label="Contingency", value=123.45, unit="money", formula="typed")


def test_a_contingency_is_a_part_of_the_cost_and_stands_in_the_molds_line() -> None:
    without, with_it = make_estimate(brief()), make_estimate(brief(contingency=ASIDE))
    assert with_it.makeup.contingency is not None
    assert with_it.makeup.cost.value - without.makeup.cost.value == pytest.approx(123.45, abs=1e-9)
    # 20 % margin: 123.45 ÷ 0.8 = 154.3125, rounded with the line.
    assert abs(with_it.mold.unit_price - without.mold.unit_price - Decimal("154.31")) <= Decimal("0.01")
    assert [line.net for line in with_it.lines[1:]] == [line.net for line in without.lines[1:]]
    assert [item.net for item in with_it.breaks] == [item.net for item in without.breaks]


def test_parts_add_up_to_the_printed_total_with_a_contingency() -> None:
    found = make_estimate(brief(contingency=ASIDE))
    assert "Contingency" in [part.label for part in found.makeup.parts]
    assert abs(sum(part.value for part in found.makeup.parts) - float(found.totals.exact.gross)) < 1e-6
