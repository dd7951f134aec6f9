"""Gauge blocks of a plan: as many as the shape has places for, as tall as the build coats."""

import pytest

from jobs.geometry.study.directions import direction
from jobs.geometry.study.results import GaugeKind, GaugeSpot
from jobs.planning.brief import Making
from jobs.planning.rubber.gauges import plan_gauges
from jobs.planning.shape import ShapeBrief
from tests.jobs.planning.builders import box_takeoff, brief, given


def spot(kind: GaugeKind) -> GaugeSpot:
    return GaugeSpot(kind=kind, point=(0.0, 0.0, 0.0), outward=direction(0.0, 90.0), why="here")


class TestGauges:
    def test_are_as_tall_as_the_build_coats(self) -> None:
        found = plan_gauges(brief())
        assert found is not None
        assert found.height.value == pytest.approx(10 - 0.8 - 1)
        assert found.mass.value == pytest.approx(found.count.value * 8.2**3 * 1.1e-3)

    @pytest.mark.parametrize(("size", "number"), [((0.1, 0.1, 0.1), 3), ((0.3, 0.2, 0.5), 7), ((2, 1, 3), 24)])
    def test_by_area_without_a_study(self, size: tuple[float, float, float], number: int) -> None:
        found = plan_gauges(brief(takeoff=box_takeoff(*size)))
        assert found is not None
        assert found.count.value == number
        assert found.spots == ()

    def test_by_the_places_of_the_study(self) -> None:
        spots = tuple(spot(kind) for kind in (GaugeKind.FLAT, GaugeKind.THIN, GaugeKind.THIN, GaugeKind.CROWN))
        found = plan_gauges(brief(shape=ShapeBrief(gauges=spots)))
        assert found is not None
        assert found.count.value == 4
        assert [number for _, number in found.spots] == [1, 1, 2]

    def test_are_for_a_brushed_blanket_with_build_coats(self) -> None:
        assert plan_gauges(brief(making=Making.POURED)) is None
        assert plan_gauges(brief(making=Making.BLOCK)) is None
        assert plan_gauges(brief(wall_mm=given(1.8, "mm"))) is None
