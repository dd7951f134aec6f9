"""No plan mixes what does not cure or bond, over random briefs; worked out a second time from what the mold maker gives."""

from dataclasses import replace

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.planning.advice.rubber import advise_rubbers
from jobs.planning.brief import PlanBrief
from jobs.planning.errors import IncompatibleMaterials
from jobs.planning.plan import make_plan
from materials.properties import Chemistry
from materials.science.compatibility import Outcome, Surface
from tests.jobs.planning.builders import CASTING, SCRAP, brief, given, rubber
from tests.jobs.planning.drawn_briefs import briefs, rubbers

few = settings(max_examples=12, deadline=None)


class TestChemistry:
    POISON = (Surface.SULFUR_CLAY, Surface.LATEX, Surface.TIN_SILICONE)

    @pytest.mark.parametrize("sealed", [True, False])
    @pytest.mark.parametrize("surface", POISON)
    def test_platinum_is_never_planned_on_what_stops_it(self, surface: Surface, sealed: bool) -> None:
        platinum = rubber(Chemistry.PLATINUM_SILICONE)
        with pytest.raises(IncompatibleMaterials):
            make_plan(brief(rubber=platinum, surface=surface, sealed=sealed, scrap=None))
        first, *rest = advise_rubbers(
            [platinum, rubber(Chemistry.TIN_SILICONE), rubber(Chemistry.POLYURETHANE)], surface=surface, sealed=sealed,
            resin=CASTING.resin,
        )  # fmt: skip
        assert not first.refused
        assert rest[-1].refused
        assert rest[-1].rubber is platinum

    @few
    @drawn(
        briefs(),
        st.sampled_from(list(Surface)),
        st.booleans(),
        st.sampled_from(list(Chemistry)),
        st.sampled_from(["house", "other"]),
    )
    def test_no_plan_mixes_what_does_not_cure_or_bond(
        self, whole: PlanBrief, surface: Surface, sealed: bool, old: Chemistry, family: str
    ) -> None:
        scrap = replace(SCRAP, chemistry=old, family=family)
        asked = replace(whole, surface=surface, sealed=sealed, scrap=scrap, fill_volume_l=given(1.0, "L"))
        fresh, used = whole.rubber.chemistry, whole.scrap_share_percent is not None and whole.scrap_share_percent.value > 0
        platinum = fresh is Chemistry.PLATINUM_SILICONE
        forbidden = (platinum and surface in self.POISON) or (used and old is not fresh) or (
            fresh is Chemistry.TIN_SILICONE and surface is Surface.PLATINUM_SILICONE
        )  # fmt: skip
        if forbidden:
            with pytest.raises(IncompatibleMaterials):
                make_plan(asked)
            return
        plan = make_plan(asked)
        assert plan.verdict.outcome is not Outcome.REFUSED
        if used and family != whole.rubber.family:
            assert plan.verdict.outcome in (Outcome.TEST, Outcome.SEAL)
            assert any("another family" in remark.text for remark in plan.remarks)

    @few
    @drawn(st.lists(rubbers(), min_size=1, max_size=5), st.sampled_from(list(Surface)), st.booleans())
    def test_what_is_refused_is_never_advised_before_what_is_not(self, many: list, surface: Surface, sealed: bool) -> None:
        advice = advise_rubbers(many, surface=surface, sealed=sealed, scrap=SCRAP)
        assert len(advice) == len(many)
        refused = [one.refused for one in advice]
        assert refused == sorted(refused)
        for one in advice:
            platinum = one.rubber.chemistry is Chemistry.PLATINUM_SILICONE
            assert one.refused or not (platinum and surface in self.POISON)
            if platinum and not one.refused:
                # The scrap at hand is tin.
                assert any("Tin in the scrap" in reason.text and reason.tone != "good" for reason in one.reasons)
