from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.models import StudioProfile
from studio.web.converting import convert, registry
from studio.web.digits import known
from studio.web.quantities import own_number, own_unit, show, show_range
from studio.web.unit_table import UNITS, preferred

METRIC = StudioProfile(units="metric", locale="en_GB", currency="EUR")
US = StudioProfile(units="us", locale="en_US", currency="USD")
GERMAN = StudioProfile(units="metric", locale="de_DE", currency="EUR")
YEN = StudioProfile(units="metric", locale="ja_JP", currency="JPY")


def plain(text: object) -> str:
    return str(text).replace("\u00a0", " ")


class TestShow:
    @pytest.mark.parametrize(
        ("value", "unit", "metric", "us"),
        [
            (83.42, "g", "83.4 g", "2.94 oz"),
            (1240, "g", "1.24 kg", "2.73 lb"),
            (0.5, "kg", "500 g", "1.10 lb"),
            (6, "mm", "6 mm", "0.236 in"),
            (1524, "mm", "1.52 m", "5 ft"),
            (0.0290322, "m2", "290 cm²", "45 in²"),
            (0.25, "m2", "0.25 m²", "2.69 ft²"),
            (0.5, "L", "500 mL", "16.9 fl oz"),
            (3.785411784, "L", "3.79 L", "1 US gal"),
            (0.0023, "m3", "2.3 L", "2.43 US qt"),
            (21, "degC", "21 °C", "69.8 °F"),
            (12, "min/m2", "12 min/m²", "1.11 min/ft²"),
            (1160, "kg/m3", "1,160 kg/m³", "1,160 kg/m³"),
            (1.5, "MPa", "1.5 MPa", "218 psi"),
            (160, "N", "160 N", "36.0 lbf"),
            (20, "kN/m", "20 kN/m", "114 lbf/in"),
            (8, "%", "8 %", "8 %"),
            (12, "1", "12", "12"),
            (3, "coats", "3 coats", "3 coats"),
            (0, "g", "0 g", "0 oz"),
            (-5, "degC", "−5 °C", "23 °F"),
        ],
    )
    def test_writes_in_the_studios_units(self, value: float, unit: str, metric: str, us: str) -> None:
        assert plain(show(value, unit, METRIC)) == metric
        assert plain(show(value, unit, US)) == us

    @pytest.mark.parametrize(
        ("minutes", "text"),
        [
            (7.25, "7.25 min"),
            (75, "75 min"),
            (160, "2 h 40 min"),
            (120, "2 h"),
            (870, "14.5 h"),
            (599.6, "10 h"),
            (-160, "−2 h 40 min"),
        ],
    )
    def test_writes_times_as_they_are_said(self, minutes: float, text: str) -> None:
        assert plain(show(minutes, "min", METRIC)) == text

    def test_writes_days_by_their_number(self) -> None:
        assert plain(show(1, "day", METRIC)) == "1 day"
        assert plain(show(4, "day", METRIC)) == "4 days"

    def test_follows_the_locale(self) -> None:
        assert plain(show(1160.5, "kg/m3", GERMAN)) == "1.161 kg/m³"
        assert plain(show(2.5, "L", GERMAN)) == "2,5 L"

    def test_writes_money_with_the_currencys_decimals(self) -> None:
        assert plain(show(1240.5, "money", METRIC)) == "€1,240.50"
        assert plain(show(1240.5, "money", GERMAN)) == "1.240,50 €"
        assert plain(show(1240.5, "money", YEN)).endswith("1,241")
        assert plain(show(31.2, "money/kg", METRIC)) == "€31.20/kg"
        # 31.20 a kilogram is 31.20 × 0.45359237 a pound
        assert plain(show(31.2, "money/kg", US)) == "$14.15/lb"

    def test_leaves_cents_out_where_the_range_is_wide(self) -> None:
        assert plain(show(1840.37, "money", METRIC, low=1600, high=2150)) == "€1,840"
        assert plain(show(1840.37, "money", METRIC, low=1840, high=1841)) == "€1,840.37"
        assert plain(show(1840.37, "money", GERMAN, low=1600, high=2150)) == "1.840 €"

    def test_prints_no_more_digits_than_are_known(self) -> None:
        # 8 % about 2.8647 kg is 0.23 kg: the first decimal is the last that means anything
        assert plain(show(2864.7, "g", METRIC, low=2635, high=3094)) == "2.9 kg"
        assert plain(show(2864.7, "g", METRIC, low=2860, high=2869)) == "2.865 kg"
        assert plain(show(14.2, "kg", METRIC, low=8, high=20)) == "14 kg"

    def test_keeps_the_unit_when_told(self) -> None:
        assert plain(show(1240, "g", METRIC, keep=True)) == "1,240 g"
        assert plain(show(1240, "g", US, keep=True)) == "43.7 oz"

    @pytest.mark.parametrize("value", [None, float("nan"), float("inf")])
    def test_writes_a_dash_for_no_value(self, value: float | None) -> None:
        assert str(show(value, "g", METRIC)) == "—"

    @given(st.floats(allow_nan=True, allow_infinity=True), st.sampled_from(sorted(UNITS)), st.sampled_from([METRIC, US]))
    def test_writes_something_for_any_number(self, value: float, unit: str, profile: StudioProfile) -> None:
        assert str(show(value, unit, profile))


class TestShowRange:
    def test_names_the_unit_once(self) -> None:
        assert plain(show_range(1130, 1190, "kg/m3", METRIC)) == "1,130 to 1,190 kg/m³"

    def test_names_both_units_where_they_differ(self) -> None:
        assert plain(show_range(800, 1400, "g", METRIC)) == "800 g to 1.4 kg"

    def test_does_not_take_minutes_for_hours(self) -> None:
        assert plain(show_range(15, 90, "min", METRIC)) == "15 min to 1 h 30 min"

    def test_writes_round_ends_without_noughts(self) -> None:
        assert plain(show_range(6, 30, "min/m2", METRIC)) == "6 to 30 min/m²"

    def test_writes_equal_ends_once(self) -> None:
        assert plain(show_range(5, 5, "mm", METRIC)) == "5 mm"


class TestOwnNumber:
    def test_is_what_somebody_would_type(self) -> None:
        assert own_number(Decimal("150.000"), "mm", METRIC) == "150"
        assert own_number(Decimal("152.4"), "mm", US) == "6"
        assert own_number(2.5, "L", GERMAN) == "2,5"
        assert own_unit("mm", US) == "in"
        assert own_unit("min/m2", US) == "min/ft²"
        assert own_unit("K", US) == "°F"


class TestKnown:
    @pytest.mark.parametrize(
        ("value", "spread", "number", "places"),
        [
            ("9.996", None, "10.0", 1),
            ("1234", None, "1234", 0),
            ("0.00012345", None, "0.000123", 6),
            ("2.5", None, "2.5", 1),
            ("2.345", None, "2.35", 2),  # half up
            ("1234", "300", "1200", 0),
            ("1.2345", "0.00001", "1.235", 3),  # four digits at most
        ],
    )
    def test_rounds_half_up_to_what_is_known(self, value: str, spread: str | None, number: str, places: int) -> None:
        assert known(Decimal(value), Decimal(spread) if spread else None) == (Decimal(number), places)


class TestConvert:
    @given(
        st.fractions(min_value=-1000, max_value=1000),
        st.sampled_from([key for key, unit in UNITS.items() if unit.expression and preferred(key, "us") != key]),
    )
    def test_comes_back_exactly_or_as_near_as_the_library_knows(self, value, key: str) -> None:  # type: ignore[no-untyped-def]
        there = convert(value, key, preferred(key, "us"))
        assert abs(convert(there, preferred(key, "us"), key) - value) <= abs(value) / 10**20

    @pytest.mark.parametrize("fahrenheit", [-40, 0, 70, 212])
    def test_agrees_with_the_unit_library_on_temperatures(self, fahrenheit: int) -> None:
        library = registry().Quantity(Decimal(fahrenheit), "degF").to("degC").magnitude
        assert float(convert(Decimal(fahrenheit).as_integer_ratio()[0] * 1, "degF", "degC")) == pytest.approx(float(library))  # type: ignore[arg-type]


class TestRegistry:
    def test_keeps_nothing_that_another_environment_would_read(self) -> None:
        # A cache in the home folder names files of one environment; with that removed, no unit could be read any more.
        assert registry().cache_folder is None
