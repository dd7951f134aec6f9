"""What of each coat is laid at each position."""

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.planning.plan import make_plan
from jobs.planning.results import Coat, MoldPlan
from jobs.planning.shape import ShapeBrief
from studio.figures import Given, Source, SourceKind
from tests.jobs.planning.builders import brief, given

FOUND = Source(kind=SourceKind.COMPUTED, text="from the shape")


def shape_worked(*areas_m2: float) -> ShapeBrief:
    """Return a shape studied for positions in which these areas are worked [m²]."""
    worked = tuple(
        Given(label=f"Worked in position {number}", value=area, unit="m2", source=FOUND)
        for number, area in enumerate(areas_m2, start=1)
    )
    return ShapeBrief(position_areas=(*worked, given(60.0, label="Degrees"), given(0.01, "m2", "Faces up in none")))


def planned(*areas_m2: float, **changes: object) -> MoldPlan:
    """Return a plan of a shape that is worked in as many positions as areas are given."""
    return make_plan(brief(shape=shape_worked(*areas_m2), positions=len(areas_m2), **changes))


def areas_of(coat: Coat) -> list[float]:
    return [place.area.value for place in coat.places]


areas = st.lists(st.floats(0.01, 0.6), min_size=1, max_size=5)


class TestPlaces:
    @settings(max_examples=40, deadline=None)
    @drawn(areas, st.floats(15, 32), st.floats(3, 25))
    def test_sum_to_the_coat(self, found: list[float], temperature: float, wall: float) -> None:
        plan = planned(*found, temperature_c=given(temperature), wall_mm=given(wall), print_coat_mm=given(0.5))
        for coat in plan.coats:
            assert len(coat.places) == plan.positions
            assert sum(place.area.value for place in coat.places) == pytest.approx(coat.area.value, rel=1e-12)
            assert sum(place.net_mass.value for place in coat.places) == pytest.approx(coat.net_mass.value, rel=1e-12)
            assert sum(place.mixed_mass.value for place in coat.places) == pytest.approx(coat.mixed_mass.value, rel=1e-12)
            assert sum(place.minutes.value for place in coat.places) == pytest.approx(coat.minutes.value, rel=1e-12)
            assert tuple(mix for place in coat.places for mix in place.mixes) == coat.mixes

    @settings(max_examples=40, deadline=None)
    @drawn(areas, st.floats(15, 32))
    def test_mixes_belong_to_one_position_and_keep_below_the_cap(self, found: list[float], temperature: float) -> None:
        for coat in planned(*found, temperature_c=given(temperature)).coats:
            assert [mix.number for mix in coat.mixes] == list(range(1, len(coat.mixes) + 1))
            for place in coat.places:
                assert place.mixes
                assert {mix.position for mix in place.mixes} == {place.position}
                assert sum(mix.mass.value for mix in place.mixes) == pytest.approx(place.mixed_mass.value)
                assert max(mix.mass.value for mix in place.mixes) <= coat.mix_cap.value * (1 + 1e-6)
                # One cup fewer would be above the cap.
                assert place.mixed_mass.value > (len(place.mixes) - 1) * coat.mix_cap.value * (1 - 1e-6)

    def test_follow_the_areas_of_the_shape(self) -> None:
        # Three quarters of the surface face up in the first position, a quarter in the second.
        for coat in planned(0.3, 0.1).coats:
            assert areas_of(coat) == pytest.approx([0.75 * coat.area.value, 0.25 * coat.area.value])
            assert coat.places[0].net_mass.value == pytest.approx(3 * coat.places[1].net_mass.value)

    def test_are_equal_and_say_so_where_the_shape_is_not_known(self) -> None:
        coat = make_plan(brief(positions=2)).coats[0]
        assert areas_of(coat) == pytest.approx([coat.area.value / 2] * 2)
        assert "not known" in coat.places[0].area.given[1].formula  # type: ignore[union-attr]

    def test_are_equal_and_say_so_where_another_number_was_studied(self) -> None:
        coat = make_plan(brief(shape=shape_worked(0.3, 0.1, 0.2), positions=2)).coats[0]
        assert areas_of(coat) == pytest.approx([coat.area.value / 2] * 2)
        assert "another number" in coat.places[0].area.given[1].formula  # type: ignore[union-attr]

    def test_each_have_their_setting_up(self) -> None:
        one, three = make_plan(brief()).coats[1], make_plan(brief(positions=3)).coats[1]
        cups = len(three.mixes) - len(one.mixes)
        assert three.minutes.value - one.minutes.value == pytest.approx(2 * 15 + 6 * cups)

    def test_have_figures_of_their_own(self) -> None:
        plan = planned(0.3, 0.1)
        keys = [f.key for c in plan.coats for p in c.places for f in (p.area, p.net_mass, p.mixed_mass, p.minutes)]
        keys += [figure.key for coat in plan.coats for figure in (coat.area, coat.net_mass, coat.mixed_mass, coat.minutes)]
        keys += [mix.mass.key for coat in plan.coats for mix in coat.mixes]
        assert len(keys) == len(set(keys))

    def test_each_person_has_a_cup_and_the_cup_is_no_larger(self) -> None:
        alone, two = make_plan(brief()).coats[1], make_plan(brief(people_per_coat=2)).coats[1]
        assert two.mix_cap.value == alone.mix_cap.value
        assert "2 people" in two.mix_cap.note
