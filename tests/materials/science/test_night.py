"""Curing over nights: what counts, what stalls, what is refused, and the spread."""

from dataclasses import replace

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from materials.science.errors import BadRoom, ColdStall, ScienceError, TemperatureOutOfRange
from materials.science.kinetics import time_at
from materials.science.night import RoomDay, cure_over_nights
from studio.figures import Given
from tests.jobs.planning.builders import given, rubber
from tests.materials.science.test_kinetics_of_materials import without


def room(day: float, night: float | None, warm: float = 8.0, at: float = 9.0) -> RoomDay:
    """Return a room that is warm for some hours."""
    cold = None if night is None else given(night, "degC")
    return RoomDay(day=given(day, "degC"), night=cold, warm_hours=given(warm, "h"), warms_at=given(at, "h"))


def stalled(figure_inputs: object) -> float:
    """Return the hours too cold to count that stand among a figure's inputs."""
    return next(item.value for item in figure_inputs if item.label == "Hours too cold to count")


class TestCureOverNights:
    def test_is_the_usual_time_where_the_room_stays_warm(self) -> None:
        steady = cure_over_nights(rubber(), "demold_min", room(23, None))
        assert steady == time_at(rubber(), "demold_min", given(23, "degC"))
        same = cure_over_nights(rubber(), "demold_min", room(23, 23))
        assert same.value == pytest.approx(960)

    def test_lengthens_with_a_cool_night(self) -> None:
        # Calculated: 14.454444 h of age are 8 h at 23 and 12 h at 15 degC.
        slow = rubber(demold_min=60 * 14.454444)
        assert cure_over_nights(slow, "demold_min", room(23, 15), starts_at_hour=9).value == pytest.approx(1200, rel=1e-6)

    def test_counts_hours_below_the_lowest_curing_temperature_as_nothing_and_says_so(self) -> None:
        # By hand: 8 warm hours at the reference temperature, 16 cold ones as nothing, 8 warm ones: 32 h.
        found = cure_over_nights(rubber(), "demold_min", room(23, 14), starts_at_hour=9)
        assert found.value == pytest.approx(32 * 60)
        assert stalled(found.given) == pytest.approx(16)
        evening = cure_over_nights(rubber(), "demold_min", room(23, 14), starts_at_hour=17)
        assert evening.value == pytest.approx((16 + 32) * 60)
        assert stalled(evening.given) == pytest.approx(32)

    def test_a_stall_over_many_days(self) -> None:
        # By hand: 100 h of age at 8 h a day are 12 whole days and 4 h.
        found = cure_over_nights(rubber(demold_min=6000), "demold_min", room(23, 5), starts_at_hour=9)
        assert found.value == pytest.approx((12 * 24 + 4) * 60)
        assert stalled(found.given) == pytest.approx(12 * 16)

    def test_what_is_done_as_the_room_cools_does_not_wait_for_morning(self) -> None:
        # By hand: an age of 24 h at 8 h a day ends after two nights, whatever the float of a starting hour does.
        for start in (9, 9 + 24 * 7):
            found = cure_over_nights(rubber(demold_min=1440), "demold_min", room(23, 14), starts_at_hour=start)
            assert found.value == pytest.approx((24 + 24 + 8) * 60)
        warm = cure_over_nights(rubber(demold_min=60 * 0.1 * 3), "demold_min", room(23, 14, warm=0.3, at=9.1), starts_at_hour=9.1)
        assert warm.value == pytest.approx(18)

    def test_a_warm_cabinet_by_night_only_counts_too(self) -> None:
        found = cure_over_nights(rubber(), "demold_min", room(12, 23), starts_at_hour=9)
        assert found.value == pytest.approx((8 + 16) * 60)

    def test_refuses_what_would_never_cure(self) -> None:
        with pytest.raises(ColdStall, match="By day and by night"):
            cure_over_nights(rubber(), "demold_min", room(14, 10))

    @pytest.mark.parametrize("night", [61, float("nan"), float("inf")])
    def test_refuses_what_was_never_measured(self, night: float) -> None:
        with pytest.raises(TemperatureOutOfRange):
            cure_over_nights(rubber(), "demold_min", room(23, night))

    @pytest.mark.parametrize("changes", [{"warm": 0.0}, {"warm": 25.0}, {"at": float("nan")}])
    def test_refuses_impossible_hours(self, changes: dict[str, float]) -> None:
        with pytest.raises(BadRoom):
            cure_over_nights(rubber(), "demold_min", room(23, 18, **changes))

    def test_takes_another_key(self) -> None:
        found = cure_over_nights(rubber(), "demold_min", room(23, 18), name="blanket_cure")
        assert (found.key, found.given[-1].key) == ("blanket_cure", "blanket_cure_stalled")

    def test_keeps_the_spread_of_an_unknown_speed(self) -> None:
        unknown = without(rubber(), "activation_energy_kj_mol")
        found = cure_over_nights(unknown, "demold_min", room(23, 16))
        assert found.low is not None
        assert found.high is not None
        assert found.low < found.value < found.high

    def test_spread_holds_the_longest_time_where_it_lies_inside_the_range(self) -> None:
        # Warmer than the reference by day, colder by night: neither end of the speed-up is the slowest.
        unknown = without(rubber(demold_min=3000.0), "activation_energy_kj_mol")
        found = cure_over_nights(unknown, "demold_min", room(26, 16, warm=12))
        assert found.high is not None
        for speed in (1.2, 1.5, 2.0, 2.5, 3.0):
            known = without(rubber(demold_min=3000.0, q10=speed), "activation_energy_kj_mol")
            time = cure_over_nights(known, "demold_min", room(26, 16, warm=12)).value
            assert found.low * (1 - 1e-9) <= time <= found.high * (1 + 1e-3)

    def test_widens_by_what_was_stated(self) -> None:
        stated = Given(label="Demold", value=960, unit="min", low=720, high=1200)
        wide = replace(rubber(), properties={**rubber().properties, "demold_min": stated})
        found = cure_over_nights(wide, "demold_min", room(23, 23))
        assert (found.low, found.high) == (pytest.approx(720), pytest.approx(1200))

    @settings(max_examples=60, deadline=None)
    @drawn(
        st.floats(5, 60), st.floats(0, 60), st.floats(0, 10), st.floats(0.5, 24), st.floats(0, 24),
        st.sampled_from(["gel_min", "demold_min"]),
    )  # fmt: skip
    def test_a_warmer_room_is_never_later(
        self, day: float, night: float, warmer: float, warm: float, start: float, key: str
    ) -> None:
        def time(day_c: float, night_c: float) -> float:
            try:
                found = cure_over_nights(rubber(), key, room(min(day_c, 60), min(night_c, 60), warm), starts_at_hour=start)
            except ColdStall:
                return float("inf")
            assert stalled(found.given) * 60 <= found.value + 1e-6
            return found.value

        first = time(day, night)
        assert time(day + warmer, night) <= first * (1 + 1e-9)
        assert time(day, night + warmer) <= first * (1 + 1e-9)

    def test_every_refusal_is_a_science_error(self) -> None:
        for wrong in (room(3, 3), room(70, 15), room(23, 15, warm=-1)):
            with pytest.raises(ScienceError):
                cure_over_nights(rubber(), "gel_min", wrong)
