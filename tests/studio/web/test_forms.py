from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.template import Context, Template

from studio.models import StudioProfile
from studio.web.context import using_profile
from studio.web.forms import CountField, DurationField, MoneyField, PaperForm, PaperModelForm, PercentField, QuantityField

METRIC = StudioProfile(units="metric", locale="en_GB", currency="EUR")
US = StudioProfile(units="us", locale="en_US", currency="USD")
YEN = StudioProfile(units="metric", locale="ja_JP", currency="JPY")


class CoatForm(PaperForm):
    wall = QuantityField(unit="mm", label="Wall", min_value=1, max_value=60, help_text="Over the highest detail.")
    mass = QuantityField(unit="g", places=3, required=False)
    share = PercentField(required=False)
    rate = MoneyField(per="h", required=False)
    price = MoneyField(required=False)
    work = DurationField(required=False)
    castings = CountField(things="castings", required=False)
    molds = CountField(min_value=1, max_value=20_000, required=False)
    night = QuantityField(unit="degC", required=False)
    sealed = forms.BooleanField(required=False)
    shell = forms.ChoiceField(choices=[("a", "Glass"), ("b", "Plaster")], widget=forms.RadioSelect, required=False)


def cleaned(profile: StudioProfile = METRIC, **data: Any) -> dict[str, Any]:
    form = CoatForm({"wall": "8", **data}, profile=profile)
    assert form.is_valid(), form.errors
    return form.cleaned_data


def error(name: str, text: str, profile: StudioProfile = METRIC) -> str:
    form = CoatForm({"wall": "8", name: text}, profile=profile)
    assert not form.is_valid()
    return str(form.errors[name][0])


def field_html(form: PaperForm, name: str) -> str:
    return Template("{% load paper %}{% field bound %}").render(Context({"bound": form[name]}))


class TestQuantityField:
    def test_cleans_to_its_unit(self) -> None:
        assert cleaned(wall="1/2 in")["wall"] == Decimal("12.7")
        assert cleaned(mass="2 lb 3 oz")["mass"] == Decimal("992.233")
        assert cleaned(US, wall="0.5")["wall"] == Decimal("12.7")

    def test_gives_none_for_an_empty_field_that_may_be(self) -> None:
        assert cleaned(mass="  ")["mass"] is None

    def test_says_its_bounds_in_the_studios_unit(self) -> None:
        assert error("wall", "12,5 cm") == "This must lie between 1\u00a0mm and 60\u00a0mm; check the number and its unit."
        assert "2.36\u00a0in" in error("wall", "12,5 cm", US)

    def test_asks_for_what_belongs_in_the_field(self) -> None:
        assert error("wall", "thick").endswith("; write a number and its unit, for example “12.5 cm”.")
        assert error("share", "half").endswith("; write a number and its unit, for example “8\u00a0%”.")
        assert error("work", "long").endswith("; write a number and its unit, for example “1 h 20”.")
        assert error("molds", "two").endswith("; write a number, for example “12”.")
        assert error("night", "cold").endswith("; write a number and its unit, for example “12\u00a0°C”.")

    def test_asks_when_nothing_was_typed(self) -> None:
        assert error("wall", "") == "Type a number here, for example “12”."

    def test_refuses_less_than_nothing_except_in_temperatures(self) -> None:
        assert "This must be 0\u00a0g or more" in error("mass", "-5 g")
        field = QuantityField(unit="degC")
        field.profile = METRIC
        assert field.clean("-5") == -5

    def test_keeps_a_stored_number_that_comes_back_as_it_was_written(self) -> None:
        form = CoatForm({"wall": "0.47244"}, initial={"wall": Decimal("12.0000")}, profile=US)
        assert form["wall"].value() == "0.47244"
        assert CoatForm(initial={"wall": Decimal("12.0000")}, profile=US)["wall"].value() == "0.47244"
        assert form.is_valid()
        assert form.cleaned_data["wall"] == Decimal("12.0000")
        assert "wall" not in form.changed_data

    def test_notices_a_change(self) -> None:
        assert CoatForm({"wall": "13"}, initial={"wall": 12}, profile=METRIC).changed_data == ["wall"]
        assert CoatForm({"wall": "1,2 cm"}, initial={"wall": 12}, profile=METRIC).changed_data == []

    def test_finds_the_profile_at_hand(self) -> None:
        with using_profile(US):
            assert CoatForm({"wall": "1"}).fields["wall"].clean("1") == Decimal("25.4")

    def test_takes_rates_of_money_without_the_sign(self) -> None:
        field = QuantityField(unit="money/kg")
        field.profile = METRIC
        assert field.clean("€ 31.20") == Decimal("31.2")
        assert field.unit_label == "€/kg"


class TestPercentField:
    @pytest.mark.parametrize(("text", "value"), [("8", "8"), ("8 %", "8"), ("8,5 percent", "8.5"), ("0", "0")])
    def test_reads_shares(self, text: str, value: str) -> None:
        assert cleaned(share=text)["share"] == Decimal(value)

    def test_refuses_more_than_all(self) -> None:
        assert error("share", "101") == "This must lie between 0\u00a0% and 100\u00a0%; check the number and its unit."


class TestMoneyField:
    @pytest.mark.parametrize("text", ["1250.50", "€ 1,250.50", "1.250,50 €", "EUR 1250,50", "1250.5 eur"])
    def test_reads_amounts(self, text: str) -> None:
        assert cleaned(price=text)["price"] == Decimal("1250.50")

    def test_refuses_another_currency_and_too_many_decimals(self) -> None:
        assert error("price", "$ 12") == "The studio's money is EUR; write the amount in it."
        assert error("price", "12.005") == "Money here has 2 decimals; write the amount with no more."
        assert error("price", "12.5", YEN) == "Money here has 0 decimals; write the amount with no more."

    def test_prints_what_it_is_paid_for_in_its_end(self) -> None:
        assert 'id="id_rate_unit">€/h<' in field_html(CoatForm(profile=METRIC), "rate")

    def test_writes_cents_in_pairs(self) -> None:
        assert CoatForm(initial={"price": Decimal("27.50"), "rate": 25}, profile=METRIC)["price"].value() == "27.50"

    def test_keeps_every_digit_of_a_large_amount(self) -> None:
        assert CoatForm(initial={"price": Decimal("123456.78")}, profile=METRIC)["price"].value() == "123456.78"


class TestDurationField:
    @pytest.mark.parametrize(
        ("text", "minutes"), [("1 h 20", 80), ("1:20", 80), ("90", 90), ("1.5 h", 90), ("0:05", 5), ("2 h", 120)]
    )
    def test_reads_times(self, text: str, minutes: int) -> None:
        assert cleaned(work=text)["work"] == minutes

    def test_refuses_what_is_no_time(self) -> None:
        assert "cannot be read" in error("work", "soon")


class TestCountField:
    @pytest.mark.parametrize("text", ["12", "12 castings", "12.0"])
    def test_reads_whole_numbers(self, text: str) -> None:
        value = cleaned(castings=text)["castings"]
        assert value == 12
        assert isinstance(value, int)

    def test_refuses_parts_and_negatives(self) -> None:
        assert error("castings", "12.5") == "This counts whole things; write a number without decimals."
        assert error("castings", "-1") == "This must lie between 0 and 1,000,000; check the number."


class TestPaperForm:
    def test_says_what_is_missing_in_plain_fields(self) -> None:
        class Plain(PaperForm):
            name = forms.CharField()
            kind = forms.ChoiceField(choices=[("a", "A")])
            scan = forms.FileField()

        form = Plain({}, profile=METRIC)
        assert form.errors == {"name": ["Fill this in."], "kind": ["Choose one of these."], "scan": ["Choose a file."]}
        assert [bound.name for bound in form.faults] == ["name", "kind", "scan"]

    def test_leaves_a_sentence_of_its_own_alone(self) -> None:
        class Own(PaperForm):
            name = forms.CharField(error_messages={"required": "Give the piece a name."})

        assert Own({}, profile=METRIC).errors == {"name": ["Give the piece a name."]}

    @pytest.mark.django_db
    def test_serves_models_too(self) -> None:
        class ProfileForm(PaperModelForm[StudioProfile]):
            class Meta:
                model = StudioProfile
                fields = ["name"]

        assert ProfileForm({"name": ""}, profile=METRIC).errors == {"name": ["Fill this in."]}


class TestField:
    def test_ties_label_unit_and_help_to_the_control(self) -> None:
        html = field_html(CoatForm(profile=METRIC), "wall")
        assert '<label class="label" for="id_wall">Wall</label>' in html
        assert 'aria-describedby="id_wall_unit id_wall_help"' in html
        assert '<span class="end" id="id_wall_unit">mm</span>' in html
        assert 'aria-required="true"' in html

    def test_says_what_was_understood(self) -> None:
        html = field_html(CoatForm({"wall": "1/2 in"}, profile=METRIC), "wall")
        assert "Understood as <b>12.7\u00a0mm</b>" in html
        assert 'value="1/2 in"' in html

    def test_is_silent_about_a_bare_number(self) -> None:
        assert "Understood" not in field_html(CoatForm({"wall": "12"}, profile=METRIC), "wall")
        assert "Understood" not in field_html(CoatForm({"wall": "12 mm"}, profile=METRIC), "wall")

    def test_keeps_what_was_typed_and_says_what_to_change(self) -> None:
        html = field_html(CoatForm({"wall": "<b>thick"}, profile=METRIC), "wall")
        assert 'value="&lt;b&gt;thick"' in html
        assert 'aria-invalid="true"' in html
        assert 'id="id_wall_error"' in html
        assert "<b>thick" not in html

    def test_groups_choices_under_a_legend(self) -> None:
        html = field_html(CoatForm(profile=METRIC), "shell")
        assert "<fieldset" in html
        assert "<legend" in html

    def test_sets_a_tick_before_its_label(self) -> None:
        html = field_html(CoatForm(profile=METRIC), "sealed")
        assert html.index("<input") < html.index("<label")
        assert "may stay empty" not in html

    def test_leaves_it_to_a_list_to_say_that_nothing_need_be_chosen(self) -> None:
        class Choosing(forms.Form):
            tint = forms.ChoiceField(choices=[("", "not chosen"), ("1", "blue")], required=False)
            note = forms.CharField(required=False)

        assert "may stay empty" not in field_html(Choosing(), "tint")
        assert "may stay empty" in field_html(Choosing(), "note")


class TestFaults:
    def test_links_to_each_field_with_an_error(self) -> None:
        form = CoatForm({"wall": "x"}, profile=METRIC)
        html = Template("{% load paper %}{% faults form %}").render(Context({"form": form}))
        assert '<a href="#id_wall">Wall</a>' in html
        assert 'role="alert"' in html

    def test_prints_nothing_for_a_sound_form(self) -> None:
        form = CoatForm({"wall": "8"}, profile=METRIC)
        assert not Template("{% load paper %}{% faults form %}").render(Context({"form": form})).strip()
