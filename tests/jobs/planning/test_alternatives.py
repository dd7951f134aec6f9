"""Other ways of doing a job: which are offered, what they change, and what they weigh."""

from dataclasses import replace

import pytest

from jobs.planning.alternatives import Alternative, alternatives
from jobs.planning.brief import Deairing, Making, PlanBrief
from jobs.planning.plan import make_plan
from jobs.planning.rubber.unthickened import coats_without_thickener
from jobs.planning.weighing import laying_hours, weigh
from materials.properties import Chemistry
from materials.science.kinetics import time_at
from materials.science.sag import film_left_mm
from studio.figures import Figure
from tests.jobs.planning.builders import CASTING, SCRAP, THICKENER, brief, given, rubber

FRESH = brief(scrap=None, scrap_share_percent=given(0, "%"))


def by_key(found: tuple[Alternative, ...]) -> dict[str, Alternative]:
    keys = [way.key for way in found]
    assert len(keys) == len(set(keys))
    return {way.key: way for way in found}


class TestAlternatives:
    def test_begin_with_the_plan_in_use_unchanged(self) -> None:
        first = alternatives(FRESH)[0]
        assert (first.key, dict(first.changes), first.brief) == ("in_use", {}, FRESH)

    @pytest.mark.parametrize("making", list(Making))
    def test_offer_every_other_making_and_no_change_that_is_none(self, making: Making) -> None:
        used = replace(FRESH, making=making)
        ways = by_key(alternatives(used, scrap=SCRAP, thickener=THICKENER, castings_expected=5))
        assert {other.value for other in Making if other is not making} <= set(ways)
        assert making.value not in ways
        assert all(way.brief != used and way.changes for key, way in ways.items() if key != "in_use")

    def test_every_alternative_says_why_in_a_sentence(self) -> None:
        for way in alternatives(FRESH, scrap=SCRAP, thickener=THICKENER, castings_expected=5):
            assert way.why.endswith(".")
            assert len(way.label) > 3

    def test_offer_scrap_that_bonds_and_only_where_it_finds_room(self) -> None:
        assert by_key(alternatives(FRESH, scrap=SCRAP))["scrap"].changes == {"scrap_bin": "scrap", "scrap_share_percent": 100.0}
        strange = replace(SCRAP, chemistry=Chemistry.PLATINUM_SILICONE)
        assert not [way for way in alternatives(FRESH, scrap=strange) if "scrap_bin" in way.changes]
        empty = replace(SCRAP, available_g=given(0, "g"))
        assert not [way for way in alternatives(FRESH, scrap=empty) if "scrap_bin" in way.changes]
        unfilled = by_key(alternatives(replace(FRESH, fill_volume_l=None), scrap=SCRAP))
        assert [key for key, way in unfilled.items() if "scrap_bin" in way.changes] == ["block_scrap"]

    def test_offer_fresh_rubber_where_scrap_is_used(self) -> None:
        ways = by_key(alternatives(brief()))
        assert ways["fresh"].changes == {"scrap_share_percent": 0.0}
        assert make_plan(ways["fresh"].brief).scrap.value == 0

    def test_offer_more_coats_in_place_of_thickener(self) -> None:
        used = replace(FRESH, rubber=rubber(viscosity_pa_s=30.0))
        way = by_key(alternatives(used))["no_thickener"]
        assert way.brief.thickener is None
        assert way.changes["build_coats"] == way.brief.build_coats
        assert len(make_plan(way.brief).coats) > len(make_plan(used).coats)

    def test_offer_a_thickener_that_the_rubber_takes(self) -> None:
        bare = replace(FRESH, thickener=None)
        assert by_key(alternatives(bare, thickener=THICKENER))["thickener"].changes["thickener"] == "thickener"
        foreign = replace(THICKENER, chemistry=Chemistry.TIN_SILICONE)
        platinum = replace(bare, rubber=rubber(Chemistry.PLATINUM_SILICONE))
        assert "thickener" not in by_key(alternatives(platinum, thickener=foreign))

    def test_offer_a_warmer_room_but_never_above_thirty_degrees(self) -> None:
        assert by_key(alternatives(FRESH))["warm"].changes == {"temperature_c": 30.0}
        cool = by_key(alternatives(replace(FRESH, temperature_c=given(18, "degC"))))["warm"]
        assert cool.changes == {"temperature_c": 25.0}
        assert "7 °C (13 °F)" in cool.why
        assert "warm" not in by_key(alternatives(replace(FRESH, temperature_c=given(30, "degC"))))

    def test_offer_another_mold_once_the_run_comes_near_to_what_one_gives(self) -> None:
        assert CASTING.count == 10
        assert by_key(alternatives(FRESH, castings_expected=14))["more_molds"].changes == {"molds": 2}
        assert "more_molds" not in by_key(alternatives(FRESH, castings_expected=15))
        assert "more_molds" not in by_key(alternatives(FRESH))
        two = by_key(alternatives(replace(FRESH, molds=2), castings_expected=7.1))
        assert two["fewer_molds"].changes == {"molds": 1}
        assert two["more_molds"].changes == {"molds": 3}

    def test_offer_vacuum_for_what_is_poured_and_take_it_back(self) -> None:
        assert "vacuum" not in by_key(alternatives(FRESH))
        poured = replace(FRESH, making=Making.POURED)
        # Thick rubber, or rubber of unknown thickness, is put under vacuum where nobody decided; thin rubber is not.
        assert by_key(alternatives(poured))["no_vacuum"].changes == {"deairing": "none"}
        thin = replace(poured, rubber=rubber(viscosity_pa_s=5.0))
        assert by_key(alternatives(thin))["vacuum"].changes == {"deairing": "vacuum"}
        assert by_key(alternatives(replace(FRESH, deairing=Deairing.VACUUM)))["no_vacuum"].changes == {"deairing": "thin"}


class TestCoatsWithoutThickener:
    def test_count_what_a_wall_keeps_of_each(self) -> None:
        used = replace(FRESH, rubber=rubber(viscosity_pa_s=30.0), thickener=None)
        minutes = time_at(used.rubber, "gel_min", used.temperature_c).value
        # Calculated: mean film = 2/3 of the film at the foot of a wall of 0.5 m (Jeffreys 1930).
        mean = 2 / 3 * film_left_mm(below_top_m=0.5, viscosity_pa_s=30.0, minutes=minutes, density_kg_m3=1100.0)
        coats = coats_without_thickener(used)
        assert coats is not None
        assert (coats - 1) * mean < 8.2 <= coats * mean

    def test_are_not_told_where_the_rubber_is_not_known_or_runs_off(self) -> None:
        assert coats_without_thickener(FRESH) is None
        assert coats_without_thickener(replace(FRESH, rubber=rubber(viscosity_pa_s=0.5))) is None


def price(plan: object) -> Figure:
    return Figure(key="spend", label="Spend", value=12.5, unit="money", formula="given")


class TestWeigh:
    def test_each_row_is_the_plan_of_its_brief(self) -> None:
        ways = alternatives(FRESH, scrap=SCRAP)
        for row in weigh(ways, spend=price):
            assert row.plan == make_plan(row.alternative.brief)
            assert row.spend is not None
            assert row.spend.value == 12.5
            assert row.refusal == ""

    def test_what_cannot_be_planned_keeps_the_sentence_that_refuses_it(self) -> None:
        without: PlanBrief = replace(FRESH, shell=None)
        rows = {row.alternative.key: row for row in weigh(alternatives(without))}
        assert rows["poured"].plan is None
        assert "Shell page" in rows["poured"].refusal
        assert rows["in_use"].plan is not None
        assert rows["in_use"].spend is None

    def test_a_block_costs_fewer_hours_and_scrap_more(self) -> None:
        rows = {row.alternative.key: row.plan for row in weigh(alternatives(FRESH, scrap=SCRAP))}
        used, block, scrap = rows["in_use"], rows["block"], rows["scrap"]
        assert used is not None
        assert block is not None
        assert scrap is not None
        assert block.hours_hands_on.value < used.hours_hands_on.value < scrap.hours_hands_on.value
        assert scrap.rubber_fresh.value < used.rubber_fresh.value


class TestLayingHours:
    def test_end_when_the_last_coat_has_cured(self) -> None:
        plan = make_plan(replace(FRESH, positions=2))
        at_one = sum(place.minutes.value for coat in plan.coats for place in coat.places if place.position == 1)
        at_two = sum(place.minutes.value for coat in plan.coats for place in coat.places if place.position == 2)
        gel = plan.coats[0].earliest_next.value
        waits = gel * (2 * len(plan.coats) - 1)
        assert laying_hours(plan).value == pytest.approx((at_one + at_two + waits + plan.blanket_cure.value) / 60)

    def test_are_fewer_in_a_warm_room_and_with_more_hands(self) -> None:
        slow = laying_hours(make_plan(FRESH)).value
        assert laying_hours(make_plan(replace(FRESH, temperature_c=given(28, "degC")))).value < slow
        assert laying_hours(make_plan(replace(FRESH, people_per_coat=2))).value < slow
