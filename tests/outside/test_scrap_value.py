"""Scrap: what it is worth and how tightly it packs, against values worked out outside of the project."""

import pytest

from materials.science.packing import fresh_volume, scrap_volume
from materials.science.scrap_minutes import Session, minutes_per_kg
from materials.science.scrap_value import scrap_worth
from studio.figures import Given


def worth(*, grams: float, minutes: float, labour: float):
    return scrap_worth(
        mass=Given(label="Scrap", value=grams, unit="g"),
        price_per_kg=Given(label="Price", value=22.0, unit="money/kg"),
        minutes_per_kg=[Given(label="Work", value=1000 * minutes / grams, unit="min/kg")],
        labour_per_h=Given(label="Labour", value=labour, unit="money/h"),
        prefix="x",
    )


class TestScrapWorth:
    # Worked by hand: 2.376 kg at 22 is 52.272; 0.4 h at 35 is 14; 52.272 / 0.4 = 130.68.
    def test_is_the_fresh_rubber_displaced_less_the_work(self) -> None:
        found = worth(grams=2376, minutes=24, labour=35)
        assert found.displaced.value == pytest.approx(52.272)
        assert found.hours.value == pytest.approx(0.4)
        assert found.value.value == pytest.approx(38.272)
        assert found.value.value / 2.376 == pytest.approx(16.1077, abs=1e-4)
        assert found.break_even is not None
        assert found.break_even.value == pytest.approx(130.68)

    @pytest.mark.parametrize(("labour", "pays"), [(130.67, True), (130.69, False), (500, False)])
    def test_is_nought_above_the_break_even_rate_and_never_below(self, labour: float, pays: bool) -> None:
        found = worth(grams=2376, minutes=24, labour=labour)
        assert found.pays is pays
        assert found.value.value >= 0

    def test_without_work_is_worth_all_that_it_displaces(self) -> None:
        found = worth(grams=1000, minutes=0, labour=35)
        assert (found.value.value, found.break_even) == (22.0, None)


class TestPacking:
    # published: Baker & Kudrolli 2010, cubes 0.54 loose and 0.67 shaken; masses at 1.10 kg/L worked by hand.
    @pytest.mark.parametrize(("packing", "fresh_l", "scrap_kg"), [(0.54, 1.84, 2.376), (0.67, 1.32, 2.948)])
    def test_of_cubes_in_four_litres(self, packing: float, fresh_l: float, scrap_kg: float) -> None:
        of = {"cavity_volume": 4.0, "scrap_share": 1.0, "packing_fraction": packing}
        assert fresh_volume(**of) == pytest.approx(fresh_l)
        assert 1.10 * scrap_volume(**of) == pytest.approx(scrap_kg)


class TestMinutesPerKg:
    # Worked by hand: (24 + 21 + 33) min over (2.376 + 1.85 + 4.1) kg = 78 / 8.326 = 9.3682; slowest 21 / 1.85 = 11.351.
    def test_weigh_sessions_by_their_mass(self) -> None:
        sessions = [Session(mass_g=m, minutes=t) for m, t in ((2376, 24), (1850, 21), (4100, 33))]
        found = minutes_per_kg(sessions, key="x", label="x")
        assert found.value == pytest.approx(9.3682, abs=1e-4)
        assert (found.low, found.high) == (pytest.approx(8.0488, abs=1e-4), pytest.approx(11.3514, abs=1e-4))
