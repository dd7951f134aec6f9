"""The response model against the planner, and what it must keep whatever the plan."""

from typing import Any

import pytest

from costing.engine.spread.checking import worst_errors
from costing.engine.spread.compile import compile_plan
from costing.engine.spread.probe import Probe
from jobs.planning.brief import Deairing, Making
from tests.costing.spread.builders import PRICES
from tests.jobs.planning.builders import box_takeoff, brief, given
from tests.jobs.planning.drawn_briefs import PLASTER_SHELL

# Percent; the largest of several hundred points was 0.7 of hours, 0.05 of rubber, 0.3 of the clock.
MOST_PERCENT = {"hours": 1.0, "rubber": 0.5, "first coat to cured": 1.0}
PLANS: dict[str, dict[str, Any]] = {
    "brushed": {},
    "poured": {"making": Making.POURED},
    "block": {"making": Making.BLOCK},
    "three positions, keys": {"positions": 3, "key_spacing_mm": given(100, "mm")},
    "two molds": {"molds": 2},
    "vacuum, two people": {"deairing": Deairing.VACUUM, "people_per_coat": 2},
    "plaster, no castings": {"shell": PLASTER_SHELL, "casting": None},
    "small": {"takeoff": box_takeoff(0.08, 0.07, 0.12), "fill_volume_l": None},
    "typed minutes": {"minutes_overrides": {"coat_1": 55.0, "packing": 90.0}},
    "no shell, cold nights": {"shell": None, "night_temperature_c": given(15, "degC")},
}


@pytest.mark.parametrize("name", PLANS)
def test_the_model_answers_as_the_planner_does_at_points_it_was_not_fitted_through(name: str) -> None:
    plan_brief = brief(**PLANS[name])
    model = compile_plan(plan_brief, PRICES)
    found = worst_errors(model, Probe(plan_brief, PRICES), checks=6, seed=2026)
    for quantity, limit in MOST_PERCENT.items():
        assert found[quantity] < limit, (quantity, found)


def test_cups_are_counted_by_the_planners_rule_and_not_smoothed() -> None:
    model = compile_plan(brief(positions=3), PRICES)
    assert model.mixing
    assert all(group.settled is None for group in model.mixing)


def test_minutes_typed_for_a_job_do_not_move_with_the_rates() -> None:
    typed = brief(minutes_overrides={"packing": 90.0})
    model = compile_plan(typed, PRICES)
    assert "packing_min" not in model.used_rates
    assert "packing_min" in compile_plan(brief(), PRICES).used_rates
