"""The rounding rule against the decimal standard and against exact fractions."""

from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.engine.money import add_up, priced_line, round_money


class TestRoundMoney:
    # published: General Decimal Arithmetic specification, round-half-up: "if the discarded digits represent greater than or
    # equal to half of the value of a one in the next position, the result is incremented".
    @pytest.mark.parametrize(
        ("amount", "places", "rounded"),
        [
            ("2.345", 2, "2.35"),
            ("2.344999", 2, "2.34"),
            ("-2.345", 2, "-2.35"),
            ("0.005", 2, "0.01"),
            ("1234.5", 0, "1235"),
            ("0.0005", 3, "0.001"),
        ],
    )
    def test_rounds_halves_away_from_nought(self, amount: str, places: int, rounded: str) -> None:
        assert round_money(Decimal(amount), places) == Decimal(rounded)

    # exact: 0.285 has no exact binary fraction and would fall to 0.28 if its binary tail counted.
    def test_reads_a_float_as_it_is_written(self) -> None:
        assert round_money(0.285, 2) == Decimal("0.29")
        assert round_money(1.005, 2) == Decimal("1.01")

    # independent: the standard library's own context does the same to the same digits.
    @given(st.decimals(min_value=-10_000, max_value=10_000, places=5), st.integers(0, 3))
    def test_agrees_with_the_decimal_context(self, amount: Decimal, places: int) -> None:
        context = Context(prec=40, rounding=ROUND_HALF_UP)
        assert round_money(amount, places) == amount.quantize(Decimal(1).scaleb(-places), context=context)


class TestPrintedTotals:
    # exact: fractions add up without any rounding, so sums of printed amounts can be checked independently.
    @given(
        st.lists(
            st.tuples(st.integers(1, 500), st.decimals(min_value=0, max_value=20_000, places=4), st.decimals(0, 30, places=2)),
            min_size=1,
            max_size=40,
        ),
        st.sampled_from([0, 2, 3]),
    )
    def test_add_up_to_the_last_coin(self, rows: list[tuple[int, Decimal, Decimal]], places: int) -> None:
        lines = [
            priced_line(kind="extra", text="line", quantity=quantity, unit_price=price, tax_percent=tax, places=places)
            for quantity, price, tax in rows
        ]
        totals = add_up(lines)
        printed_net = sum((Fraction(str(line.net)) for line in lines), Fraction(0))
        printed_tax = sum((Fraction(str(line.tax)) for line in lines), Fraction(0))
        assert Fraction(str(totals.gross)) == printed_net + printed_tax
        for line, (quantity, _, _) in zip(lines, rows, strict=True):
            assert Fraction(str(line.net)) == quantity * Fraction(str(line.unit_price))
            assert line.net == round(line.net, places)
