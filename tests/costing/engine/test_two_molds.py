"""What two molds of a piece cost."""

from dataclasses import replace

import pytest

from costing.engine.estimate import make_estimate
from costing.engine.shares import Share
from jobs.planning.plan import make_plan
from tests.costing.engine.builders import brief, given
from tests.jobs.planning.builders import brief as plan_brief


def test_the_mold_line_is_of_both_and_the_run_stays() -> None:
    one, two = make_estimate(brief()), make_estimate(brief(plan=make_plan(plan_brief(molds=2))))
    assert (one.lines[0].text, two.lines[0].text) == ("Mold", "Molds (2)")
    before, after = (
        {line.material_key: line.mass.value for line in made.spend.of(Share.MOLD)} for made in (one, two)
    )  # fmt: skip
    assert before.keys() == after.keys()
    for key, mass in before.items():
        assert after[key] == pytest.approx(2 * mass)
    run = [{line.material_key: line.mass.value for line in made.spend.of(Share.RUN)} for made in (one, two)]
    assert run[0] == pytest.approx(run[1])
    # Client's talk, photographs, cleaning and sealing the piece are done once.
    assert one.mold.cost.value < two.mold.cost.value < 2 * one.mold.cost.value


@pytest.mark.parametrize(("molds", "warns"), [(1, True), (2, False)])
def test_a_second_mold_carries_a_run_that_outlives_the_first(molds: int, warns: bool) -> None:
    whole = replace(brief(), plan=make_plan(plan_brief(molds=molds)), castings_expected=given(15, "1"))
    terms = replace(whole.terms, quantities=(25,))
    remarks = {remark.key: remark.text for remark in make_estimate(replace(whole, terms=terms)).remarks}
    assert ("outlives-mold" in remarks) is warns


def test_what_outlives_two_molds_names_them() -> None:
    whole = replace(brief(), plan=make_plan(plan_brief(molds=2)), castings_expected=given(10, "1"))
    remarks = {remark.key: remark.text for remark in make_estimate(whole).remarks}
    assert "20 from 2 molds" in remarks["outlives-mold"]
