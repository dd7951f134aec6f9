from datetime import UTC, date, datetime

import pytest
import time_machine
from django.template import Context, Template
from django.utils import timezone

from studio.figures import Caution, Figure, Given, Remark, Source, SourceKind
from studio.models import StudioProfile
from studio.web.middleware import zone_of
from studio.web.working import DEEPEST, MOST_LINES, figure_text

METRIC = StudioProfile(units="metric", locale="en_GB", currency="EUR", name="Kiln Lane")
US = StudioProfile(units="us", locale="en_US", currency="USD")

AREA = Figure(
    key="area",
    label="Area",
    value=0.284,
    unit="m2",
    formula="sum of girths × spacing",
    given=(Given(label="Girth", value=420, unit="mm", source=Source(kind=SourceKind.MEASURED)),),
)
RUBBER = Figure(
    key="rubber",
    label="Rubber",
    value=2.86,
    unit="kg",
    formula="area × wall <b>× density",
    given=(
        AREA,
        Given(
            label="Density",
            value=1160,
            unit="kg/m3",
            low=1130,
            high=1190,
            source=Source(kind=SourceKind.DATA_SHEET, text="March"),
        ),
    ),
    low=2.6,
    high=3.2,
    note="Weigh the cups.",
)


def render(text: str, profile: StudioProfile = METRIC, **context: object) -> str:
    return Template("{% load paper %}" + text).render(Context({"profile": profile, **context}))


class TestFigure:
    def test_opens_to_formula_inputs_sources_and_spread(self) -> None:
        html = render("{% figure fig %}", fig=RUBBER)
        assert html.startswith('<details class="figure" data-figure="rubber"><summary>')
        assert '<span class="number">2.9</span>\u00a0<span class="unit">kg</span>' in html
        assert "area × wall &lt;b&gt;× density" in html
        assert "data sheet: March; 1,130 to 1,190\u00a0kg/m³" in html
        assert "Between 2.6 and 3.2\u00a0kg" in html
        assert "Weigh the cups." in html

    def test_lets_figures_among_its_inputs_open_in_turn(self) -> None:
        html = render("{% figure fig %}", fig=RUBBER)
        assert html.count("<details") == 2
        assert "sum of girths × spacing" in html

    def test_names_what_it_opens_for_those_who_hear_the_page(self) -> None:
        assert '<span class="unseen">: working of Rubber</span>' in render("{% figure fig %}", fig=RUBBER)

    def test_strikes_the_old_number(self) -> None:
        html = render('{% figure fig was="3.1 kg" %}', fig=RUBBER)
        assert '<s class="was">3.1 kg</s>' in html
        assert "<s " not in render("{% figure fig %}", fig=RUBBER)

    def test_shows_the_studios_units(self) -> None:
        html = render("{% figure fig %}", US, fig=RUBBER)
        assert '<span class="unit">lb</span>' in html
        assert '<span class="unit">ft²</span>' in html

    def test_says_in_text_what_the_page_shows(self) -> None:
        assert figure_text(RUBBER, METRIC) == "2.9\u00a0kg"

    def test_prints_a_dash_for_no_figure(self) -> None:
        assert render("{% figure fig %}", fig=None) == '<span class="number">—</span>'

    def test_unfolds_only_so_deep_and_so_long(self) -> None:
        deep = AREA
        for level in range(12):
            deep = Figure(key=f"k{level}", label=f"Level {level}", value=1, unit="g", formula="one below", given=(deep,))
        assert render("{% figure fig %}", fig=deep).count("<details") == DEEPEST
        wide = Figure(key="wide", label="Wide", value=1, unit="g", formula="sum", given=tuple([AREA] * 500))
        assert render("{% figure fig %}", fig=wide).count("<details") <= MOST_LINES


class TestNumbers:
    def test_are_followed_by_a_paler_unit(self) -> None:
        html = '<span class="value"><span class="number">1.24</span>\u00a0<span class="unit">kg</span></span>'
        assert render('{% quantity 1240 "g" %}') == html

    def test_include_money_in_the_studios_currency_or_another(self) -> None:
        assert render("{% money 12.5 %}") == '<span class="number">€12.50</span>'
        assert render('{% money 12.5 "USD" %}') == '<span class="number">US$12.50</span>'
        assert render("{% money none %}", none=None) == '<span class="number">—</span>'


class TestTimes:
    @pytest.fixture(autouse=True)
    def _noon(self):  # type: ignore[no-untyped-def]
        # 26 November 2026 is a Thursday.
        with (
            time_machine.travel(datetime(2026, 11, 26, 12, 0, tzinfo=UTC), tick=False),
            timezone.override(zone_of("Europe/Paris")),
        ):
            yield

    @pytest.mark.parametrize(
        ("moment", "text"),
        [
            (datetime(2026, 11, 26, 13, 30, tzinfo=UTC), "Thu 14:30"),
            (datetime(2026, 12, 3, 13, 30, tzinfo=UTC), "Thu 3 Dec 14:30"),
            (datetime(2027, 1, 4, 8, 0, tzinfo=UTC), "Mon 4 Jan 2027 09:00"),
        ],
    )
    def test_carry_their_weekday_in_the_studios_zone(self, moment: datetime, text: str) -> None:
        assert f">{text}</time>" in render("{% when moment %}", moment=moment)

    def test_follow_the_locales_clock(self) -> None:
        html = render("{% when moment %}", US, moment=datetime(2026, 11, 26, 13, 30, tzinfo=UTC))
        assert html.replace("\u202f", " ").endswith(">Thu 2:30 PM</time>")

    def test_print_dates_without_a_clock(self) -> None:
        assert render("{% day on %}", on=date(2026, 11, 26)) == '<time datetime="2026-11-26">Thu 26 Nov</time>'
        assert "—" in render("{% day on %}", on=None)


class TestTitleblock:
    def test_holds_title_number_facts_and_figures(self) -> None:
        html = render(
            '{% titleblock title="Finial" number=12 facts=facts figures=figures state="late" tone="stop" %}',
            facts=[("Client", "A <b>"), ("Promised", date(2026, 11, 26))],
            figures=[RUBBER, ("Price", "on request")],
        )
        assert "<h1>Finial</h1>" in html
        assert "A &lt;b&gt;" in html
        assert 'datetime="2026-11-26"' in html
        assert 'data-figure="rubber"' in html
        assert "<dd>on request</dd>" in html
        assert '<span class="state" data-tone="stop">late</span>' in html

    def test_leaves_out_what_is_not_given(self) -> None:
        assert "<dl" not in render('{% titleblock title="Finial" %}')

    def test_prints_bare_figures_in_pairs_on_paper(self) -> None:
        html = render(
            '{% print_titleblock title="Quote" number="7" facts=facts figures=figures %}',
            facts=[("Client", "A")],
            figures=[RUBBER, AREA],
        )
        assert "<details" not in html
        assert html.count("<tr>") == html.count("</tr>") == 3
        assert "Kiln Lane" in html


class TestState:
    def test_refuses_a_tone_that_has_no_shape(self) -> None:
        with pytest.raises(ValueError, match="not 'red'"):
            render('{% state "late" "red" %}')


class TestCaution:
    def test_says_hazard_consequence_and_how_to_avoid_it(self) -> None:
        caution = Caution(key="c", hazard="peroxide", consequence="It blinds.", avoid="Wear goggles.")
        for html in (render("{% caution c %}", c=caution), render('{% caution "peroxide" "It blinds." "Wear goggles." %}')):
            assert "Caution: peroxide" in html
            assert "It blinds." in html
            assert "Wear goggles." in html


class TestRemark:
    def test_says_its_tone_in_words_and_shows_its_figures(self) -> None:
        html = render("{% remark r %}", r=Remark(key="r", text="Too thin.", tone="stop", figures=(RUBBER,)))
        assert "<b>Stop:</b> Too thin." in html
        assert 'data-figure="rubber"' in html


class TestEmpty:
    def test_offers_the_one_action(self) -> None:
        assert '<a class="button" href="/jobs/new/">Add a job</a>' in render('{% empty "No jobs." "/jobs/new/" "Add a job" %}')
        assert "<a" not in render('{% empty "No jobs." %}')


class TestPageLink:
    def test_prints_bare_words_for_a_page_that_is_not_there(self) -> None:
        assert render('{% page_link "jobs:nowhere" "Jobs" %}') == "<span>Jobs</span>"
