"""Keys, ribs and gaps: how the blanket finds its seat in the shell."""

import math
from dataclasses import replace
from typing import Any

import pytest

from jobs.planning.advice.stand import plan_stand, stand_remarks
from jobs.planning.brief import Making
from jobs.planning.errors import BadBrief
from jobs.planning.plan import make_plan
from jobs.planning.results import StandPlan
from jobs.planning.rubber.keys import plan_keys
from jobs.planning.shape import ShapeBrief
from studio.workrates import default_rates
from tests.jobs.planning.builders import box_takeoff, brief, given, rubber

APART = given(100, "mm")


def stand(**changes: Any) -> StandPlan:
    found = plan_stand(brief(**{"key_spacing_mm": APART} | changes))
    assert found is not None
    return found


def said(**changes: Any) -> dict[str, str]:
    made = brief(**{"key_spacing_mm": APART} | changes)
    return {remark.key: remark.tone for remark in stand_remarks(made, plan_stand(made))}


class TestKeys:
    def test_stand_on_the_outside_of_the_blanket(self) -> None:
        # Outside of the box with 10 mm on it: 0.6840885 m2 (Steiner); one key each 0.01 m2.
        assert stand().keys.value == 69

    def test_stand_on_the_filled_outside_where_the_shape_knows_it(self) -> None:
        assert stand(shape=ShapeBrief(outside_m2=given(0.5, "m2"))).keys.value == 50

    def test_weigh_what_a_drafted_block_weighs(self) -> None:
        # Exact: integral of (20 - 2 z tan 15 deg)^2 over 12 mm: 400 h - 40 h^2 tan + 4/3 h^3 tan^2.
        lean = math.tan(math.radians(15))
        each_ml = (400 * 12 - 40 * 12**2 * lean + 4 / 3 * 12**3 * lean**2) / 1000
        found = stand(thickener=None)
        assert found.key_mass.value == pytest.approx(69 * each_ml * 1.1)
        assert found.key_mixed.value == pytest.approx(found.key_mass.value / 0.925)

    def test_their_rubber_is_in_the_totals_and_at_hand(self) -> None:
        without, made = make_plan(brief()), make_plan(brief(key_spacing_mm=APART))
        assert made.stand is not None
        mixed = sum(part.mass.value for mix in made.stand.key_mixes for part in mix.parts)
        assert mixed == pytest.approx(made.stand.key_mixed.value)
        assert made.rubber_fresh.value == pytest.approx(without.rubber_fresh.value + mixed)
        assert made.rubber_net.value == pytest.approx(without.rubber_net.value + made.stand.key_mass.value)
        assert made.mixes_count.value == without.mixes_count.value + len(made.stand.key_mixes)
        at_hand = [sum(n.mass.value for n in plan.needs if n.material_key in ("rubber", "thickener")) for plan in (without, made)]
        assert at_hand[1] - at_hand[0] == pytest.approx(mixed)
        assert any("keys" in need.reason for need in made.needs)

    def test_of_two_molds_count_twice(self) -> None:
        one, two = make_plan(brief(key_spacing_mm=APART)), make_plan(brief(key_spacing_mm=APART, molds=2))
        assert two.rubber_fresh.value == pytest.approx(2 * one.rubber_fresh.value)

    @pytest.mark.parametrize("changes", [{"shell": None}, {"key_spacing_mm": given(0, "mm")}, {"making": Making.BLOCK}])
    def test_are_none_without_a_shell_or_where_nobody_wants_them(self, changes: dict[str, Any]) -> None:
        assert plan_keys(brief(**{"key_spacing_mm": APART} | changes)) is None

    def test_are_usual_where_nothing_is_typed(self) -> None:
        found = stand(key_spacing_mm=None)
        assert found.key_spacing.value == default_rates()["key_spacing_mm"].value
        assert found.keys.value > 0

    @pytest.mark.parametrize("spacing", [-5, 15, 21])
    def test_too_close_is_refused(self, spacing: float) -> None:
        big = box_takeoff(2, 2, 2)
        with pytest.raises(BadBrief, match="apart"):
            plan_keys(brief(key_spacing_mm=given(spacing, "mm"), takeoff=big))

    def test_of_a_pour_are_poured_along(self) -> None:
        without, made = (make_plan(brief(making=Making.POURED, key_spacing_mm=apart)) for apart in (given(0, "mm"), APART))
        assert made.stand is not None
        assert made.stand.key_mixes == ()
        more_l = made.coats[0].volume.value - without.coats[0].volume.value
        assert more_l * 1100 == pytest.approx(made.stand.key_mass.value)
        assert made.rubber_net.value - without.rubber_net.value == pytest.approx(made.stand.key_mass.value)
        minutes = [next(task.minutes.value for task in plan.tasks if task.key == "clay") for plan in (without, made)]
        assert minutes[1] - minutes[0] == pytest.approx(69 * 0.7)
        assert "keys" not in {task.key for task in made.tasks}


class TestFreestanding:
    def test_is_a_range(self) -> None:
        found = stand().freestanding
        assert found is not None
        assert found.low is not None
        assert found.high is not None
        assert found.low < found.value < found.high
        assert found.high / found.low < (5 ** (1 / 3))  # relations differ up to fivefold, height by its cube root

    def test_a_low_piece_stands_and_a_tall_one_folds(self) -> None:
        assert "floppy" not in said(takeoff=box_takeoff(0.15, 0.1, 0.12))
        assert said()["floppy"] == "look"

    def test_without_stiffness_nothing_is_claimed(self) -> None:
        bare = rubber()
        unknown = {key: value for key, value in bare.properties.items() if key not in ("hardness_shore_a", "modulus_100_mpa")}
        found = stand(rubber=replace(bare, properties=unknown))
        assert found.freestanding is None
        assert found.ribs is None
        assert found.widest_gap is None

    def test_tall_without_keys_is_pointed_out(self) -> None:
        assert "key_none" in said(key_spacing_mm=given(0, "mm"))
        assert "key_none" not in said()


class TestRibs:
    def test_of_a_height_to_build_are_advised(self) -> None:
        found = stand(takeoff=box_takeoff(0.15, 0.1, 0.2))
        assert found.rib_height is not None
        assert found.ribs is not None
        assert 0 < found.rib_height.value <= 30
        assert "rib" in said(takeoff=box_takeoff(0.15, 0.1, 0.2))

    def test_higher_than_three_walls_are_not(self) -> None:
        assert stand().rib_height is None
        assert "rib" not in said()

    def test_are_not_wanted_where_the_wall_stands(self) -> None:
        assert stand(takeoff=box_takeoff(0.15, 0.1, 0.12)).rib_height is None


class TestGap:
    def test_is_narrower_under_resin_than_under_its_own_weight(self) -> None:
        with_resin, alone = stand().widest_gap, stand(casting=None).widest_gap
        assert with_resin is not None
        assert alone is not None
        assert with_resin.value < alone.value

    def test_none_is_spanned_under_a_tall_head(self) -> None:
        tall = box_takeoff(1, 1, 2.5)
        assert stand(takeoff=tall).widest_gap is None
        assert "gap" in said(takeoff=tall)


class TestBlock:
    def test_carries_itself(self) -> None:
        made = make_plan(brief(making=Making.BLOCK, key_spacing_mm=APART))
        assert made.stand is None
        assert not {"floppy", "gap", "rib"} & {remark.key for remark in made.remarks}
