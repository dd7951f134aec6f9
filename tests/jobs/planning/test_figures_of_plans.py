"""Every number of a plan, over random briefs: named once, within its range, finite, with words and a unit that pages can show."""

import dataclasses
import math
from collections.abc import Iterator

from hypothesis import given as drawn
from hypothesis import settings

from jobs.planning.brief import PlanBrief
from jobs.planning.plan import make_plan
from studio.figures import Figure, Given
from studio.web.unit_table import UNITS
from tests.jobs.planning.drawn_briefs import of_every_making

few = settings(max_examples=8, deadline=None)
# Stated of materials and never turned into another unit.
SCALES = frozenset({"kJ/mol", "Shore A"})


def figures_of(part: object) -> Iterator[Figure]:
    """Walk through a plan and yield the figures that stand in it."""
    if isinstance(part, Figure):
        yield part
    elif dataclasses.is_dataclass(part) and not isinstance(part, type | Given):
        for field in dataclasses.fields(part):
            yield from figures_of(getattr(part, field.name))
    elif isinstance(part, tuple):
        for item in part:
            yield from figures_of(item)


def with_inputs(number: Given | Figure, seen: set[int]) -> Iterator[Given | Figure]:
    """Yield a number and all that went into it, each once."""
    if id(number) in seen:
        return
    seen.add(id(number))
    yield number
    for item in getattr(number, "given", ()):
        yield from with_inputs(item, seen)


@few
@drawn(of_every_making())
def test_a_key_names_one_number(whole: PlanBrief) -> None:
    values: dict[str, float] = {}
    for figure in figures_of(make_plan(whole)):
        assert math.isclose(values.setdefault(figure.key, figure.value), figure.value, rel_tol=1e-9, abs_tol=1e-9), figure.key


@few
@drawn(of_every_making())
def test_every_number_is_finite_within_its_range_and_can_be_shown(whole: PlanBrief) -> None:
    seen: set[int] = set()
    plan = make_plan(whole)
    for figure in figures_of(plan):
        assert figure.formula, figure.key
        for number in with_inputs(figure, seen):
            assert math.isfinite(number.value), number.label
            assert number.label, figure.key
            low, high = (number.value if edge is None else edge for edge in (number.low, number.high))
            slack = 1e-9 * max(abs(low), abs(high))
            assert low - slack <= number.value <= high + slack, (number.label, low, number.value, high)
            assert number.unit in SCALES or all(part in UNITS for part in number.unit.split("/")), (number.label, number.unit)
