"""What holds for every other way of doing a job, over random briefs."""

import pytest
from hypothesis import given as drawn
from hypothesis import settings

from jobs.planning.alternatives import alternatives
from jobs.planning.brief import PlanBrief
from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan
from studio.figures import WorkingError
from tests.jobs.planning.builders import SCRAP, THICKENER
from tests.jobs.planning.drawn_briefs import of_every_making

few = settings(max_examples=8, deadline=None)


def ways_of(whole: PlanBrief) -> dict[str, tuple[PlanBrief, MoldPlan]]:
    """Return every way that can be planned, each with its brief; a refusal must be one that a person is told."""
    found, refusals = {}, []
    for way in alternatives(whole, thickener=THICKENER, scrap=SCRAP, castings_expected=10):
        try:
            found[way.key] = (way.brief, make_plan(way.brief))
        except WorkingError as refusal:
            refusals.append(str(refusal))
    assert all(sentence.endswith(".") for sentence in refusals)
    return found


@few
@drawn(of_every_making())
def test_the_plan_in_use_is_first_and_no_two_ways_share_a_key(whole: PlanBrief) -> None:
    ways = alternatives(whole, thickener=THICKENER, scrap=SCRAP, castings_expected=10)
    assert ways[0].brief == whole
    assert len({way.key for way in ways}) == len(ways)
    assert all(way.brief != whole for way in ways[1:])


@few
@drawn(of_every_making())
def test_no_way_takes_scrap_that_does_not_bond(whole: PlanBrief) -> None:
    for brief, plan in ways_of(whole).values():
        if plan.scrap.value > 0:
            assert brief.scrap is not None
            assert brief.scrap.chemistry is brief.rubber.chemistry


@few
@drawn(of_every_making())
def test_each_way_changes_what_it_says(whole: PlanBrief) -> None:
    ways = ways_of(whole)
    _, now = ways["in_use"]
    if "warm" in ways:
        warm = ways["warm"][1]
        # A night that stays as cold can hold a warm day's cure up, never lengthen it.
        assert warm.blanket_cure.value <= now.blanket_cure.value * (1 + 1e-9)
        assert warm.coats[0].earliest_next.value <= now.coats[0].earliest_next.value * (1 + 1e-9)
    if "two_hands" in ways:
        two = ways["two_hands"][1]
        assert two.rubber_net.value == pytest.approx(now.rubber_net.value)
        assert two.mold_hours.value == pytest.approx(now.mold_hours.value, rel=1e-9)
    if "more_molds" in ways:
        more = ways["more_molds"][1]
        # Molds share the scrap at hand, so that each of more wants at least as much fresh rubber.
        assert more.rubber_fresh.value >= now.rubber_fresh.value * more.molds / now.molds * (1 - 1e-9)
        if now.scrap.value == 0:
            assert more.rubber_fresh.value == pytest.approx(now.rubber_fresh.value * more.molds / now.molds, rel=1e-9)
    if "fresh" in ways:
        assert ways["fresh"][1].scrap.value == 0
    if "no_thickener" in ways:
        assert not any(coat.thickened for coat in ways["no_thickener"][1].coats)
