from decimal import Decimal

import pytest

from jobs.forms.mold import MoldForm
from jobs.forms.stage_form import StageForm
from jobs.forms.stages import CastingsForm, CoatsForm, ShellForm
from jobs.models import Plan
from jobs.services.plans import plan_of
from tests.factories import planned_job

pytestmark = pytest.mark.django_db
NEW = {
    MoldForm: {
        "making": ("block", "block"), "box_margin_mm": ("2 cm", Decimal("20.0")), "deairing": ("vacuum", "vacuum"),
        "molds": ("2", 2), "strip_width_mm": ("12", Decimal("12.0")), "strip_height_mm": ("1/2 in", Decimal("12.7")),
        "key_spacing_mm": ("80", Decimal("80.0")), "widest_girth_mm": ("60 cm", Decimal("600.0")),
        "opening_girth_mm": ("300", Decimal("300.0")),
    },
    CoatsForm: {"night_temperature_c": ("-4", Decimal("-4.0")), "humidity_percent": ("70 %", Decimal("70.0"))},
    ShellForm: {"bolt_spacing_mm": ("15 cm", Decimal("150.0"))},
    CastingsForm: {"turning_ratio": ("4", Decimal("4.00"))},
}  # fmt: skip


def sent(form: StageForm, **changes: str) -> dict[str, str]:
    """Return what a browser would send back from a form."""
    values = {bound.html_name: bound.value() for bound in form}
    return {name: str(value) for name, value in values.items() if value not in (None, False, "")} | changes


class TestStageForms:
    @pytest.mark.parametrize("kind", NEW)
    def test_read_what_is_decided_of_making_air_night_strip_keys_and_bolts(self, kind: type[StageForm]) -> None:
        plan = plan_of(planned_job())
        wanted = NEW[kind]
        form = kind(sent(kind(plan=plan), **{name: text for name, (text, _) in wanted.items()}), plan=plan)
        assert form.is_valid(), form.errors
        unkept = form.unkept_plan()
        assert {name: getattr(unkept, name) for name in wanted} == {name: value for name, (_, value) in wanted.items()}

    @pytest.mark.parametrize("kind", NEW)
    def test_leave_to_the_plan_what_is_left_empty(self, kind: type[StageForm]) -> None:
        plan = plan_of(planned_job())
        form = kind(sent(kind(plan=plan)), plan=plan)
        assert form.is_valid(), form.errors
        assert form.plan_values() == {name: getattr(plan, name) for name in form.plan_values()}

    @pytest.mark.parametrize("kind", NEW)
    def test_ask_each_decision_once_under_one_heading(self, kind: type[StageForm]) -> None:
        plan = plan_of(planned_job())
        form = kind(plan=plan)
        shown = [field.bound.name for group in form.fieldsets() for field in group.fields]
        assert sorted(shown) == sorted(name for name in form.fields if name != "revision")

    def test_open_a_folded_group_only_where_it_holds_something_or_is_wrong(self) -> None:
        plan = plan_of(planned_job())
        keys = {group.heading: group for group in MoldForm(plan=plan).fieldsets()}["Keys"]
        assert keys.folded
        assert not keys.opened
        plan.key_spacing_mm = Decimal(80)
        assert {group.heading: group for group in MoldForm(plan=plan).fieldsets()}["Keys"].opened
        wrong = CastingsForm(sent(CastingsForm(plan=plan), turning_ratio="round"), plan=plan)
        assert {group.heading: group.opened for group in wrong.fieldsets()}["Rotating frame"]

    def test_split_no_coats_of_what_is_poured_and_keep_what_was_decided_of_them(self) -> None:
        plan = plan_of(planned_job())
        assert "print_coat_mm" in CoatsForm(plan=plan).fields
        plan.making = Plan.Making.POURED
        form = CoatsForm(sent(CoatsForm(plan=plan)), plan=plan)
        assert "print_coat_mm" not in form.fields
        assert "poured" in form.note
        assert form.is_valid(), form.errors
        assert "print_coat_mm" not in form.plan_values()
        plan.making = Plan.Making.BLOCK
        assert "needs no shell" in ShellForm(plan=plan).note
