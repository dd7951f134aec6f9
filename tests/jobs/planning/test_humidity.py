"""What a plan says of the moisture of the air."""

from dataclasses import replace
from typing import Any

import pytest

from jobs.planning.brief import Making
from jobs.planning.plan import make_plan
from materials.properties import Chemistry, MixBasis
from materials.science.errors import BadMoisture
from studio.figures import Remark
from tests.jobs.planning.builders import CASTING, SCRAP, brief, given, rubber

ONE_PART = replace(rubber(), mix_basis=MixBasis.ONE_PART)


def remarks(**changes: Any) -> dict[str, Remark]:
    """Return the remarks of a plan by key."""
    return {remark.key: remark for remark in make_plan(brief(**changes)).remarks}


def air(percent: float) -> dict[str, Any]:
    """Return the humidity of the room."""
    return {"humidity_percent": given(percent, "%")}


class TestTwoParts:
    @pytest.mark.parametrize(("percent", "key"), [(20, "air_dry"), (50, None), (80, "air_damp")])
    def test_tin_is_slow_in_dry_air_and_skins_in_damp(self, percent: float, key: str | None) -> None:
        said = remarks(**air(percent))
        assert {"air_dry", "air_damp"} & set(said) == ({key} if key else set())
        assert "front" not in said

    def test_platinum_does_not_mind(self) -> None:
        platinum = rubber(Chemistry.PLATINUM_SILICONE)
        assert not {"air_dry", "air_damp"} & set(remarks(rubber=platinum, scrap=None, scrap_share_percent=None, **air(20)))

    def test_polyurethane_foams_in_damp_air(self) -> None:
        assert "(Resin)" in remarks(**air(80))["air_foams"].text
        assert "air_foams" not in remarks(casting=None, **air(80))
        assert "air_foams" not in remarks(casting=CASTING, **air(60))
        soft = rubber(Chemistry.POLYURETHANE, recoat_latest_min=300.0)
        scrap = replace(SCRAP, chemistry=Chemistry.POLYURETHANE)
        assert "(Rubber, Resin)" in remarks(rubber=soft, scrap=scrap, **air(80))["air_foams"].text

    def test_nothing_is_said_where_nothing_is_known(self) -> None:
        assert not {"air_dry", "air_damp", "air_foams", "front"} & set(remarks())

    @pytest.mark.parametrize("percent", [-1.0, 101.0, float("nan")])
    def test_an_impossible_humidity_is_refused(self, percent: float) -> None:
        with pytest.raises(BadMoisture, match="between 0 and 100"):
            make_plan(brief(**air(percent)))


class TestOnePart:
    def test_cures_by_the_square_of_its_thickness(self) -> None:
        # Published speeds: 2 mm in the first day (a distributor), 7.5 mm in 7 days (a data sheet); 23 degC, 50 %.
        days = remarks(rubber=ONE_PART, print_coat_mm=given(4, "mm"), build_coats=4, **air(50))["front"].figures[0]
        assert days.value == pytest.approx(4)
        assert days.low == pytest.approx(1.991, abs=6e-4)

    def test_takes_longer_in_dry_air(self) -> None:
        # Calculated: 20 % against 50 % at 23 degC: depth x 0.632456, so time x 2.5.
        days = remarks(rubber=ONE_PART, print_coat_mm=given(4, "mm"), build_coats=4, **air(20))["front"].figures[0]
        assert days.value == pytest.approx(10)

    def test_is_said_of_usual_air_where_it_is_not_known(self) -> None:
        figure = remarks(rubber=ONE_PART)["front"].figures[0]
        assert any(item.value == 50 and "not given" in item.source.text for item in figure.given)

    def test_stops_where_it_would_not_cure(self) -> None:
        assert remarks(rubber=ONE_PART, **air(0))["front"].tone == "stop"
        assert remarks(rubber=ONE_PART, wall_mm=given(60, "mm"), build_coats=1, **air(50))["front"].tone == "stop"
        poured = remarks(rubber=ONE_PART, making=Making.POURED, **air(50))["front"]
        assert (poured.tone, "stays soft" in poured.text) == ("stop", True)
