"""What a plan says of doses beyond what is known, and of warming the cured mold."""

from dataclasses import replace
from typing import Any

import pytest

from jobs.planning.plan import make_plan
from materials.properties import Chemistry
from studio.figures import Remark
from tests.jobs.planning.builders import SCRAP, THICKENER, TINT, brief, given, rubber


def remarks(**changes: Any) -> dict[str, Remark]:
    """Return the remarks of a plan by key."""
    return {remark.key: remark for remark in make_plan(brief(**changes)).remarks}


def dosed(spec: Any, percent: float) -> Any:
    """Return a thickener or tint at another dose."""
    return replace(spec, properties={**spec.properties, "dose_percent": given(percent, "%")})


class TestDoses:
    @pytest.mark.parametrize(("percent", "said"), [(2.0, False), (6.0, False), (6.1, True)])
    def test_of_thickener(self, percent: float, said: bool) -> None:
        # From memory: 1 to 3 % to brush, 3 to 6 % to trowel.
        found = remarks(thickener=dosed(THICKENER, percent))
        assert ("dose_thickener" in found) is said
        assert not said or found["dose_thickener"].figures[0].value == percent

    @pytest.mark.parametrize(("percent", "said"), [(0.5, False), (1.0, False), (1.2, True)])
    def test_of_tint(self, percent: float, said: bool) -> None:
        # Common practice: 0.1 to 1 % of paste.
        assert ("dose_tint" in remarks(tint=dosed(TINT, percent))) is said

    def test_nothing_is_said_where_nothing_is_stirred_in(self) -> None:
        assert not {"dose_thickener", "dose_tint"} & set(remarks(thickener=None, tint=None))


class TestAftercare:
    def test_platinum_is_warmed_for_some_hours(self) -> None:
        platinum = rubber(Chemistry.PLATINUM_SILICONE)
        temperature, hours = remarks(rubber=platinum, scrap=None, scrap_share_percent=None)["warm_mold"].figures
        assert (temperature.low, temperature.high, hours.low, hours.high) == (60, 80, 2, 4)

    def test_tin_is_warmed_gently_and_never_damp(self) -> None:
        found = remarks()["warm_mold"]
        assert "damp" in found.text
        assert [figure.high for figure in found.figures] == [60]

    def test_other_rubber_and_molds_that_nothing_is_cast_in_are_left_alone(self) -> None:
        soft = rubber(Chemistry.POLYURETHANE, recoat_latest_min=300.0)
        assert "warm_mold" not in remarks(rubber=soft, scrap=replace(SCRAP, chemistry=Chemistry.POLYURETHANE))
        assert "warm_mold" not in remarks(casting=None)
