"""Stretch, life of molds, change of size and draft against published, calculated and independent values."""

import math

import numpy as np
import pytest
from scipy.stats import lognorm

from materials.properties import Chemistry, MaterialKind
from materials.science.draft import USUAL_DRAFT, releases, widening_mm
from materials.science.errors import BadThickness, OutsideRange, TemperatureOutOfRange
from materials.science.life import KEEPS, chance_of_dying_before, expected_castings, molds_wanted
from materials.science.shrinkage import (
    cast_length_mm,
    linear_from_volume,
    oversize_factor,
    usual_shrinkage,
)
from materials.science.stretch import allowed_stretch, bending_strain, stretch_over, tear_force_n
from materials.science.thermal import linear_per_k, warm_cure_loss_mm

TIN, PLATINUM = Chemistry.TIN_SILICONE, Chemistry.PLATINUM_SILICONE


class TestStretch:
    @pytest.mark.parametrize(
        ("opening", "widest", "stretch"), [(300, 600, 1.0), (400, 500, 0.25), (200, 500, 1.5), (500, 400, 0.0)]
    )
    def test_over_an_undercut(self, opening: float, widest: float, stretch: float) -> None:
        # Calculated: ratio of girths less one.
        assert stretch_over(widest_mm=widest, opening_mm=opening) == pytest.approx(stretch)

    def test_bending_round_an_edge(self) -> None:
        # Calculated: 8 mm round a radius of 10 mm.
        assert bending_strain(wall_mm=8, radius_mm=10) == pytest.approx(0.40)

    def test_bending_against_lengths_of_arcs(self) -> None:
        # Independent: the outer arc of a bent strip over its middle arc.
        middle, outer = math.pi / 2 * 25.0, math.pi / 2 * (25.0 + 9.5 / 2)
        assert bending_strain(wall_mm=9.5, radius_mm=25) == pytest.approx(outer / middle - 1)

    def test_allowed(self) -> None:
        # Common practice, no source: a third of 400 % at every pull, half of it for few.
        assert allowed_stretch(elongation_percent=400) == pytest.approx(4 / 3)
        assert allowed_stretch(elongation_percent=400, repeated=False) == pytest.approx(2.0)

    def test_force_that_runs_a_tear(self) -> None:
        # Calculated: 20 kN/m through 8 mm.
        assert tear_force_n(tear_strength_kn_m=20, wall_mm=8) == pytest.approx(160)

    def test_impossible_inputs_are_refused(self) -> None:
        with pytest.raises(BadThickness, match="girth"):
            stretch_over(widest_mm=500, opening_mm=0)
        with pytest.raises(BadThickness, match="bent"):
            bending_strain(wall_mm=10, radius_mm=4)
        with pytest.raises(OutsideRange, match="Elongation"):
            allowed_stretch(elongation_percent=5)


class TestLife:
    @pytest.mark.parametrize("castings", [5, 20, 37.5, 60, 200])
    @pytest.mark.parametrize("variation", [0.2, 0.4, 0.8])
    def test_chance_against_scipys_log_normal(self, castings: float, variation: float) -> None:
        # Independent: scipy's log-normal, whose scale is found from its own mean.
        shape = math.sqrt(math.log(1 + variation**2))
        unit = lognorm(shape)
        life = lognorm(shape, scale=37.5 / unit.mean())
        assert life.mean() == pytest.approx(37.5)
        assert life.std() / life.mean() == pytest.approx(variation)
        found = chance_of_dying_before(castings=castings, expected=37.5, variation=variation)
        assert found == pytest.approx(life.cdf(castings), rel=1e-9)

    def test_chance_rises_from_nought_to_one(self) -> None:
        chances = [chance_of_dying_before(castings=n, expected=40) for n in (0, 10, 20, 40, 80, 400)]
        assert chances[0] == 0
        assert chances == sorted(chances)
        assert chances[-1] > 0.999999

    @pytest.mark.parametrize(
        ("rubber", "resin", "low", "high"),
        [
            # Common practice, no source, wide.
            (TIN, Chemistry.POLYURETHANE, 25, 50),
            (PLATINUM, Chemistry.POLYURETHANE, 40, 100),
            (TIN, Chemistry.EPOXY, 20, 50),
            (PLATINUM, Chemistry.POLYESTER, 15, 40),
            (TIN, Chemistry.GYPSUM, 100, None),
        ],
    )
    def test_planning_values(self, rubber: Chemistry, resin: Chemistry, low: float, high: float | None) -> None:
        found = expected_castings(rubber, resin)
        assert found is not None
        assert (found.low, found.high) == (low, high)
        assert low <= found.value <= (high or math.inf)

    def test_nothing_is_made_up_where_nothing_is_known(self) -> None:
        assert expected_castings(Chemistry.POLYURETHANE, Chemistry.POLYESTER) is None
        assert expected_castings(TIN, Chemistry.OTHER) is None

    def test_kept_molds(self) -> None:
        # Published, two makers: tin silicone a year at the least and about five when good, platinum up to twenty.
        assert (KEEPS[TIN].low, KEEPS[TIN].high) == (12, 60)
        assert KEEPS[PLATINUM].high == 240

    @pytest.mark.parametrize(("castings", "molds"), [(1, 1), (28, 1), (29, 2), (56, 2), (57, 3)])
    def test_a_second_mold_beyond_seven_tenths(self, castings: int, molds: int) -> None:
        # Common practice, no source: more than 0.7 of an expected life of 40 wants another mold.
        assert molds_wanted(castings=castings, expected=40) == molds

    def test_impossible_inputs_are_refused(self) -> None:
        with pytest.raises(OutsideRange, match="above nought"):
            chance_of_dying_before(castings=5, expected=0)
        with pytest.raises(OutsideRange, match="spread"):
            chance_of_dying_before(castings=5, expected=40, variation=0)
        with pytest.raises(OutsideRange, match="one casting"):
            molds_wanted(castings=0, expected=40)


class TestWarmCure:
    def test_published_range(self) -> None:
        # Published: 5.9 to 7.9e-4 per K by volume; a third of it by length.
        assert linear_per_k() == pytest.approx((1.967e-4, 2.633e-4), rel=3e-4)

    def test_cured_at_45_used_at_21(self) -> None:
        # Calculated: 0.472 to 0.632 %, 1.416 to 1.896 mm on 300 mm.
        assert warm_cure_loss_mm(length_mm=300, cure_c=45, use_c=21) == pytest.approx((1.416, 1.896), abs=6e-4)

    def test_costs_more_than_the_shrinkage_of_tin_silicone(self) -> None:
        least, most = warm_cure_loss_mm(length_mm=100, cure_c=45, use_c=21)
        tin = usual_shrinkage(MaterialKind.RUBBER, TIN)
        assert tin is not None
        assert most > least > tin.value

    def test_a_warmer_day_lengthens(self) -> None:
        low, high = warm_cure_loss_mm(length_mm=300, cure_c=20, use_c=30)
        assert low < high < 0

    def test_other_temperatures_are_refused(self) -> None:
        with pytest.raises(TemperatureOutOfRange, match="0 to 120"):
            warm_cure_loss_mm(length_mm=300, cure_c=150, use_c=21)


class TestShrinkage:
    @pytest.mark.parametrize(("volume", "linear"), [(0.02, 0.671161), (0.05, 1.695243), (0.07, 2.389999), (0.13, 4.535973)])
    def test_linear_from_volume(self, volume: float, linear: float) -> None:
        # Calculated: 1 - (1 - s)^(1/3).
        assert 100 * linear_from_volume(volume) == pytest.approx(linear, rel=1e-6)

    def test_polyesters_volume_gives_its_usual_range(self) -> None:
        # Published: 5 to 13 % by volume, 7 % often told.
        usual = usual_shrinkage(MaterialKind.RESIN, Chemistry.POLYESTER)
        assert usual is not None
        for share, linear in ((0.05, usual.low), (0.07, usual.value), (0.13, usual.high)):
            assert 100 * linear_from_volume(share) == pytest.approx(linear)

    def test_three_hundred_millimetres(self) -> None:
        # Calculated: 0.4 % in the rubber and 0.3 % in the resin.
        assert cast_length_mm(piece_length_mm=300, mold_percent=0.4, resin_percent=0.3) == pytest.approx(297.9036)
        assert oversize_factor(mold_percent=0.4, resin_percent=0.3) == pytest.approx(1.00703718, rel=1e-8)

    def test_unknown_stays_unknown(self) -> None:
        assert usual_shrinkage(MaterialKind.RUBBER, Chemistry.POLYURETHANE) is None


class TestDraft:
    @pytest.mark.parametrize("lean", [-3.0, 0.0, 1.9, 2.1, 45.0, 90.0])
    def test_a_leaning_face_releases_by_its_normal(self, lean: float) -> None:
        # Independent: the normal of a face that leans so far from an upright pull, turned by a rotation.
        turn = math.radians(lean)
        normal = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]) @ np.array([1.0, 0.0])
        assert releases(normal_along_pull=float(normal[1]), draft_deg=2) is (lean >= 2)

    def test_usual_draft(self) -> None:
        # Common practice, no source: 2 to 5 degrees; 3 degrees over 100 mm is 5.2 mm.
        assert (USUAL_DRAFT.low, USUAL_DRAFT.high) == (2, 5)
        assert widening_mm(depth_mm=100, draft_deg=3) == pytest.approx(5.241, abs=6e-4)

    def test_impossible_inputs_are_refused(self) -> None:
        with pytest.raises(BadThickness, match="unit"):
            releases(normal_along_pull=1.2, draft_deg=3)
        with pytest.raises(BadThickness, match="Draft"):
            widening_mm(depth_mm=10, draft_deg=40)
