import random
from decimal import ROUND_HALF_UP, Decimal

import pytest

from costing.engine.brief import Terms
from costing.engine.errors import EngineError
from costing.engine.money import Totals
from costing.engine.options import priced_option, suggested_price, total_figure, with_options
from studio.figures import Figure, Given

TERMS = Terms(
    labour_rate_per_h=Given(label="Labour rate", value=24.0, unit="money/h"),
    overhead_per_h=Given(label="Overhead per hour", value=11.0, unit="money/h"),
    margin_percent=Decimal(30),
    tax_percent=Decimal(20),
    deposit_percent=Decimal(50),
)


class TestSuggestedPrice:
    # Worked by hand: 12 + 2.5 h × (24 + 11) = 99.50; 99.50 ÷ (1 − 0.30) = 142.142… → 142.14.
    def test_puts_the_margin_on_expense_and_hours(self) -> None:
        found = suggested_price(stem="o", expense=Decimal(12), hours=Decimal("2.5"), terms=TERMS, places=2)
        assert found.cost.value == 99.5
        assert found.unit_price == Decimal("142.14")

    def test_carries_its_working_down_to_what_was_typed(self) -> None:
        found = suggested_price(stem="o", expense=Decimal(12), hours=Decimal("2.5"), terms=TERMS, places=2)
        assert [item.label for item in found.price.given] == ["Cost of one of this option", "Margin"]
        cost = found.price.given[0]
        assert isinstance(cost, Figure)
        assert [item.value for item in cost.given] == [12.0, 60.0, 27.5]


class TestPricedOption:
    # Standard: rounding half up, by Python's own decimal arithmetic, on the unit price, then net, then tax.
    def test_rounds_as_lines_do(self) -> None:
        drawn = random.Random(7)
        for _ in range(300):
            unit, quantity = Decimal(drawn.randrange(1, 900_000)) / 1000, Decimal(drawn.randrange(1, 4000)) / 100
            tax = Decimal(drawn.choice(["0", "5.5", "8.875", "20"]))
            line = priced_option(text="x", quantity=quantity, unit_price=unit, tax_percent=tax, places=2)
            cent = Decimal("0.01")
            net = (quantity * unit.quantize(cent, ROUND_HALF_UP)).quantize(cent, ROUND_HALF_UP)
            assert (line.net, line.tax) == (net, (net * tax / 100).quantize(cent, ROUND_HALF_UP))


class TestWithOptions:
    LINES = Totals(net=Decimal("100.10"), tax=Decimal("20.02"))
    OPTIONS = ((1, Decimal("0.10"), Decimal("0.02")), (2, Decimal("33.33"), Decimal("6.67")))

    @pytest.mark.parametrize(
        ("chosen", "net", "tax"),
        [((), "100.10", "20.02"), ((1,), "100.20", "20.04"), ((2, 1), "133.53", "26.71"), ((2, 2), "133.43", "26.69")],
    )
    def test_adds_each_chosen_once(self, chosen: tuple[int, ...], net: str, tax: str) -> None:
        found = with_options(lines=self.LINES, options=self.OPTIONS, chosen=chosen)
        assert (found.net, found.tax, found.gross) == (Decimal(net), Decimal(tax), Decimal(net) + Decimal(tax))

    def test_refuses_what_is_not_offered(self) -> None:
        with pytest.raises(EngineError, match="no option 3"):
            with_options(lines=self.LINES, options=self.OPTIONS, chosen=[1, 3])


class TestTotalFigure:
    def test_is_the_total_and_the_option(self) -> None:
        lines = Figure(key="g", label="Total with tax", value=120.12, unit="money", formula="")
        option = priced_option(text="Base", quantity=Decimal(1), unit_price=Decimal("0.10"), tax_percent=Decimal(20), places=2)
        assert total_figure(key="t", lines=lines, option=option).value == 120.24
