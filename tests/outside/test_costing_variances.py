"""The split of a difference against published numbers, and that it adds up whatever the numbers are."""

import random
from decimal import Decimal

import pytest

from costing.engine.variances import Side, Verdict, price_variance, quantity_variance, split
from studio.figures import Given


def given(value: float, unit: str) -> Given:
    return Given(label="x", value=value, unit=unit)


class TestPublishedVariances:
    # published: OpenStax, Principles of Accounting vol. 2 (2019), §8.2: direct materials price variance of 20 lb.
    @pytest.mark.parametrize(("actual", "planned", "expected"), [("6", "7", "-20"), ("9", "7", "40")])
    def test_of_the_price(self, actual: str, planned: str, expected: str) -> None:
        found = price_variance(planned=Decimal(planned), actual=Decimal(actual), actual_quantity=Decimal(20))
        assert found == Decimal(expected)

    # published: the same section: direct materials quantity variance at 7 a pound.
    @pytest.mark.parametrize(("actual", "planned", "expected"), [("0.20", "0.25", "-0.35"), ("0.50", "0.25", "1.75")])
    def test_of_the_quantity(self, actual: str, planned: str, expected: str) -> None:
        found = quantity_variance(planned=Decimal(planned), actual=Decimal(actual), planned_price=Decimal(7))
        assert found == Decimal(expected)

    # published: the same numbers, both at once: 20 lb at 6 where 20 at 7 were planned is favourable, 0.50 for 0.25 is not.
    def test_are_said_in_words(self) -> None:
        cheap = split(
            key="a", label="Rubber", planned=Side(quantity=given(20, "kg"), price=given(7, "money/kg")),
            actual=Side(quantity=given(20, "kg"), price=given(6, "money/kg")), places=2, words=("mass", "price"),
        )  # fmt: skip
        assert (cheap.price.figure.value, cheap.price.verdict) == (-20, Verdict.FAVOURABLE)
        assert (cheap.quantity.figure.value, cheap.quantity.verdict) == (0, Verdict.AS_PLANNED)
        much = split(
            key="b", label="Rubber", planned=Side(quantity=given(0.25, "kg"), price=given(7, "money/kg")),
            actual=Side(quantity=given(0.5, "kg"), price=given(7, "money/kg")), places=2, words=("mass", "price"),
        )  # fmt: skip
        assert (much.quantity.figure.value, much.quantity.verdict) == (1.75, Verdict.UNFAVOURABLE)


class TestParts:
    # exact: (q1 − q0)·p0 + (p1 − p0)·q1 = q1·p1 − q0·p0.
    def test_make_up_the_whole_to_the_cent_on_ten_thousand_random_costs(self) -> None:
        draw, cent = random.Random(7), Decimal("0.01")
        for _ in range(10_000):
            q0, q1 = (round(draw.uniform(0, 90), 3) for _ in range(2))
            p0, p1 = (round(draw.uniform(0, 60), 4) for _ in range(2))
            found = split(
                key="k", label="x", planned=Side(quantity=given(q0, "kg"), price=given(p0, "money/kg")),
                actual=Side(quantity=given(q1, "kg"), price=given(p1, "money/kg")), places=2, words=("mass", "price"),
            )  # fmt: skip
            parts = [Decimal(repr(part.figure.value)) for part in (found.quantity, found.price, found.whole)]
            assert parts[0] + parts[1] == parts[2]
            assert parts[2] == Decimal(repr(found.actual.value)) - Decimal(repr(found.planned.value))
            exact = (Decimal(repr(p1)) - Decimal(repr(p0))) * Decimal(repr(q1))
            assert abs(parts[1] - exact) <= 2 * cent
