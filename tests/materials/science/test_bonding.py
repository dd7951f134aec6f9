"""What is refused, sealed, tested or fine."""

import pytest

from materials.properties import Chemistry
from materials.science.bonding import scrap_verdict, surface_verdict, worst
from materials.science.compatibility import Outcome, Surface

PLATINUM, TIN, URETHANE = Chemistry.PLATINUM_SILICONE, Chemistry.TIN_SILICONE, Chemistry.POLYURETHANE


class TestSurfaceVerdict:
    @pytest.mark.parametrize("sealed", [True, False])
    @pytest.mark.parametrize("surface", [Surface.SULFUR_CLAY, Surface.LATEX, Surface.TIN_SILICONE])
    def test_refuses_platinum_on_what_poisons_it_sealed_or_not(self, surface: Surface, sealed: bool) -> None:
        verdict = surface_verdict(surface, sealed=sealed, rubber=PLATINUM)
        assert verdict.outcome is Outcome.REFUSED
        assert not verdict.allowed
        assert verdict.advice

    def test_lets_tin_on_sulfur_clay_only_sealed(self) -> None:
        assert surface_verdict(Surface.SULFUR_CLAY, sealed=False, rubber=TIN).outcome is Outcome.SEAL
        assert surface_verdict(Surface.SULFUR_CLAY, sealed=True, rubber=TIN).outcome is Outcome.TEST

    def test_asks_for_a_patch_test_where_nothing_is_known(self) -> None:
        verdict = surface_verdict(Surface.UNKNOWN, sealed=True, rubber=PLATINUM)
        assert verdict.outcome is Outcome.TEST
        assert "20 × 20 mm" in verdict.advice

    def test_has_a_judgement_for_every_pair(self) -> None:
        outcomes = {
            surface_verdict(surface, sealed=sealed, rubber=rubber).outcome
            for surface in Surface
            for rubber in Chemistry
            for sealed in (True, False)
        }
        assert outcomes == set(Outcome)

    def test_never_gets_worse_by_sealing(self) -> None:
        order = list(Outcome)
        for surface in Surface:
            for rubber in Chemistry:
                bare = surface_verdict(surface, sealed=False, rubber=rubber)
                sealed = surface_verdict(surface, sealed=True, rubber=rubber)
                assert order.index(sealed.outcome) <= order.index(bare.outcome), (surface, rubber)


class TestScrapVerdict:
    def test_refuses_tin_scrap_in_platinum(self) -> None:
        verdict = scrap_verdict(rubber=PLATINUM, rubber_family="x", scrap=TIN, scrap_family="x")
        assert verdict.outcome is Outcome.REFUSED
        assert "Tin" in verdict.reason

    def test_refuses_every_other_chemistry(self) -> None:
        for rubber in Chemistry:
            for scrap in Chemistry:
                verdict = scrap_verdict(rubber=rubber, rubber_family="x", scrap=scrap, scrap_family="x")
                allowed = rubber is scrap and rubber is not Chemistry.OTHER
                assert verdict.allowed is allowed

    def test_flags_another_family(self) -> None:
        assert scrap_verdict(rubber=TIN, rubber_family="a", scrap=TIN, scrap_family="a").outcome is Outcome.GOOD
        assert scrap_verdict(rubber=TIN, rubber_family="a", scrap=TIN, scrap_family="b").outcome is Outcome.TEST
        assert scrap_verdict(rubber=TIN, rubber_family="", scrap=TIN, scrap_family="").outcome is Outcome.TEST


class TestWorst:
    def test_is_the_most_cautious(self) -> None:
        good = scrap_verdict(rubber=TIN, rubber_family="a", scrap=TIN, scrap_family="a")
        seal = surface_verdict(Surface.SULFUR_CLAY, sealed=False, rubber=TIN)
        assert worst(good, seal) is seal
        assert worst(seal, good) is seal
