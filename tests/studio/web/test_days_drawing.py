import datetime
import re
import xml.etree.ElementTree as ET
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studio.models import StudioProfile
from studio.web.context import using_profile
from studio.web.drawing import Band, DaysPlan, PieceRow, Work, day_sheet, days_key, week_sheets
from studio.web.drawing.days import DAY_LEFT, DAY_PX_PER_H, WEEK_LEFT, WEEK_PX_PER_H

BERLIN = ZoneInfo("Europe/Berlin")
METRIC = StudioProfile(units="metric", locale="en_GB", currency="EUR")
US = StudioProfile(units="us", locale="en_US", currency="USD")
SVG = "{http://www.w3.org/2000/svg}"
MONDAY = datetime.date(2027, 3, 1)
Spans = list[tuple[float, float]]


def at(day: int, hour: int, minute: int = 0) -> datetime.datetime:
    """A moment of the week that begins on Monday, 1 March 2027."""
    return datetime.datetime(2027, 3, 1 + day, hour, minute, tzinfo=BERLIN)


def work(begins: datetime.datetime, minutes: int = 60, **more: Any) -> Work:
    # Added in UTC: two moments of one zone are otherwise counted by its clocks.
    ends = (begins.astimezone(datetime.UTC) + datetime.timedelta(minutes=minutes)).astimezone(BERLIN)
    return Work(**{"job": 12, "label": "Print coat", "begins": begins, "ends": ends, "people": ("a",), **more})


def plan(*items: Work, **more: Any) -> DaysPlan:
    open_ = tuple((at(day, 8), at(day, 17)) for day in range(5))
    return DaysPlan(
        **{
            "work": items, "people": {"a": Band(label="Ada", open=open_), "b": Band(label="Bo", open=open_)},
            "stations": {"frame": Band(label="rotating frame")},
            "pieces": {12: PieceRow(label="12 Finial"), 14: PieceRow(label="14 Urn")},
            "now": at(20, 12), "zone": BERLIN, "open": open_, **more,
        }
    )  # fmt: skip


def week(*items: Work, first: datetime.date = MONDAY, days: int = 7, profile: StudioProfile = METRIC, **more: Any) -> ET.Element:
    with using_profile(profile):
        return ET.fromstring(week_sheets(plan(*items, **more), first=first, days=days)[0])


def one_day(*items: Work, on: datetime.date = MONDAY, profile: StudioProfile = METRIC, **more: Any) -> ET.Element:
    with using_profile(profile):
        return ET.fromstring(day_sheet(plan(*items, **more), on=on))


def texts(root: ET.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text")]


def loops(path: ET.Element) -> list[list[tuple[float, float]]]:
    found = []
    for loop in (path.get("d") or "").split("M")[1:]:
        pairs = [pair.split() for pair in loop.rstrip("Z").split("L")]
        found.append([(float(x), float(y)) for x, y in pairs])
    return found


def filled(root: ET.Element, fill: str) -> Spans:
    """From where to where shapes of a fill reach; the samples of the key stand below the last band and are left out."""
    spans: Spans = []
    for path in root.iter(f"{SVG}path"):
        if fill in (path.get("fill") or "") or fill in (path.get("class") or "").split():
            spans.extend((min(x for x, _ in loop), max(x for x, _ in loop)) for loop in loops(path) if len(loop) == 4)
    return spans


def near(spans: Spans, left: float, right: float) -> bool:
    return any(span == pytest.approx((left, right), abs=0.011) for span in spans)


def week_x(hours: float) -> float:
    return WEEK_LEFT + hours * WEEK_PX_PER_H


def day_x(hours: float) -> float:
    return DAY_LEFT + hours * DAY_PX_PER_H


class TestWhereThingsLie:
    def test_work_lies_at_its_time_in_the_bands_of_its_person_and_its_job(self) -> None:
        root = week(work(at(1, 9, 30), 45))
        spans = filled(root, "-work)")
        # Tuesday 9:30 is 33.5 hours after Monday's midnight; once for Ada, once for the job
        assert [near([span], week_x(33.5), week_x(34.25)) for span in spans[:2]] == [True, True]

    def test_cure_window_and_station_lie_at_their_times(self) -> None:
        item = work(at(0, 10), 60, cures_until=at(1, 3), closes=at(1, 9), station="frame", held_until=at(0, 20))
        root = week(item)
        cures = filled(root, "-cure)")
        assert near(cures, week_x(11), week_x(27))
        assert near(cures, week_x(11), week_x(20))
        bracket = [line for line in root.iter(f"{SVG}line") if line.get("stroke-width") == "1.2"]
        assert (float(bracket[0].get("x1") or 0), float(bracket[0].get("x2") or 0)) == pytest.approx(
            (week_x(27), week_x(33)), abs=0.01
        )

    def test_a_cure_over_the_weekend_goes_on_where_the_next_week_begins(self) -> None:
        item = work(at(4, 16), 60, cures_until=at(7, 9))
        assert near(filled(week(item), "-cure)"), week_x(4 * 24 + 17), week_x(7 * 24))
        assert near(filled(week(item, first=datetime.date(2027, 3, 8)), "-cure)"), week_x(0), week_x(9))
        assert near(filled(one_day(item, on=datetime.date(2027, 3, 6)), "-cure)"), day_x(0), day_x(24))

    def test_hours_that_nobody_works_are_shaded(self) -> None:
        shut = filled(week(work(at(0, 9))), "shut-fill")
        assert near(shut, week_x(0), week_x(8))
        assert near(shut, week_x(17), week_x(32))
        assert near(shut, week_x(4 * 24 + 17), week_x(7 * 24))

    def test_now_is_a_line(self) -> None:
        root = week(work(at(0, 9)), now=at(2, 6))
        line = next(line for line in root.iter(f"{SVG}line") if line.get("class") == "look-stroke")
        assert float(line.get("x1") or 0) == pytest.approx(week_x(54), abs=0.01)
        assert "now 06:00" in texts(root)
        assert not any(text.startswith("now") for text in texts(week(work(at(0, 9)))))

    @pytest.mark.parametrize(("on", "hours"), [((2027, 3, 28), 23), ((2027, 10, 31), 25), ((2027, 3, 27), 24)])
    def test_a_day_is_as_wide_as_it_has_hours(self, on: tuple[int, int, int], hours: int) -> None:
        # standard: Europe/Berlin changes its clocks on the last Sundays of March and October (tz database)
        day = datetime.date(*on)
        ten = datetime.datetime(*on, 10, tzinfo=BERLIN)
        root = one_day(work(ten), on=day)
        lines = [line for line in root.iter(f"{SVG}line") if line.get("x1") == line.get("x2") and line.get("stroke-width") == "1"]
        xs = sorted(float(line.get("x1") or 0) for line in lines)
        assert (xs[0], xs[-1]) == pytest.approx((day_x(0), day_x(hours)), abs=0.01)
        assert near(filled(root, "-work)"), day_x(hours - 14), day_x(hours - 13))
        later = week(work(ten), first=day - datetime.timedelta(days=1), days=3)
        assert near(filled(later, "-work)"), week_x(24 + hours - 14), week_x(24 + hours - 13))


class TestWhatIsMarked:
    def test_each_job_has_its_number_and_its_hatch(self) -> None:
        root = week(work(at(0, 9)), work(at(0, 11), job=14, people=("b",)))
        assert {"12", "14"} <= set(texts(root))
        fills = {path.get("fill") for path in root.iter(f"{SVG}path") if re.search(r"-work(-\w+)?\)$", path.get("fill") or "")}
        assert len(fills) == 2

    def test_a_broken_window_is_said_and_drawn_in_the_tone_that_stops(self) -> None:
        root = week(work(at(0, 12), late_min=90))
        assert "window broken" in texts(root)[: texts(root).index("hands on, each job its own")]
        line = next(line for line in root.iter(f"{SVG}line") if line.get("class") == "stop-stroke")
        assert (float(line.get("x1") or 0), float(line.get("x2") or 0)) == pytest.approx((week_x(10.5), week_x(12)), abs=0.01)
        assert "Window broken: job 12, Print coat." in (root.findtext(f"{SVG}desc") or "")
        assert "Print coat: window broken" in texts(one_day(work(at(0, 12), late_min=90)))

    def test_pins_visits_moves_and_what_may_not_cure_alone_are_words_too(self) -> None:
        was = (at(0, 7), at(0, 8))
        item = work(at(0, 20), visit=True, pinned=True, was=was, was_people=("b",), cures_until=at(0, 23), unattended=False)
        root = week(item)
        assert "12 visit pinned moved" in texts(root)
        assert "not left alone" in texts(root)
        key_lines = 4
        dashed = [line for line in root.iter(f"{SVG}line") if line.get("stroke-dasharray")]
        assert len(dashed) == 4 + key_lines
        assert float(dashed[0].get("x1") or 0) == pytest.approx(week_x(7), abs=0.01)
        assert "12 Print coat visit pinned moved" in texts(one_day(item))

    def test_windows_that_are_open_at_once_lie_beneath_each_other(self) -> None:
        first = work(at(0, 9), cures_until=at(0, 12), closes=at(1, 12))
        at_once, after = (work(at(0, 10), cures_until=at(day, 13), closes=at(2, 18)) for day in (0, 1))

        def levels(*items: Work) -> set[str | None]:
            lines = [line for line in week(*items).iter(f"{SVG}line") if line.get("stroke-width") == "1.2"]
            return {line.get("y1") for line in lines[:-2] if line.get("y1") == line.get("y2")}

        assert len(levels(first, at_once)) == 2
        assert len(levels(first, after)) == 1

    def test_what_is_done_is_an_empty_frame(self) -> None:
        root = week(work(at(0, 9), done=True))
        assert near(filled(root, "paper-fill"), week_x(9), week_x(10))

    def test_the_promised_day_is_a_line_with_its_word(self) -> None:
        on_time = week(work(at(0, 9)), pieces={12: PieceRow(label="12 Finial", promised=at(2, 17))})
        late = week(work(at(0, 9)), pieces={12: PieceRow(label="12 Finial", promised=at(2, 17), late=True)})
        assert "promised" in texts(on_time)
        assert "promised, will be late" in texts(late)
        line = next(line for line in late.iter(f"{SVG}line") if line.get("class") == "stop-stroke")
        assert float(line.get("x1") or 0) == pytest.approx(week_x(65), abs=0.01)

    def test_words_of_a_band_do_not_run_into_each_other(self) -> None:
        items = [work(at(0, 8) + datetime.timedelta(minutes=20 * place), 15, job=100 + place) for place in range(20)]
        root = week(*items, pieces={})
        # digits of the sheet's type are half as wide as they are high
        placed = [(float(text.get("y") or 0), float(text.get("x") or 0), text.text or "") for text in root.iter(f"{SVG}text")]
        numbers = sorted((y, x, x + len(words) * 13 * 0.5) for y, x, words in placed if words.isdigit() and len(words) == 3)
        assert len(numbers) == 20
        assert all(one[0] != other[0] or one[2] <= other[1] for one, other in pairwise(numbers))

    def test_a_station_that_holds_two_at_once_has_two_lines(self) -> None:
        item = {"station": "frame", "people": ()}
        apart = week(work(at(0, 9), **item), work(at(0, 10), job=14, **item))
        at_once = week(work(at(0, 9), **item), work(at(0, 9, 30), job=14, **item))
        assert float(at_once.get("height") or 0) > float(apart.get("height") or 0)

    def test_hours_are_those_of_the_studio_s_clock(self) -> None:
        assert {"06", "12", "18"} <= set(texts(week(work(at(0, 9)))))
        assert {"6am", "12pm", "6pm"} <= set(texts(week(work(at(0, 9)), profile=US)))


class TestTheSheet:
    def test_names_itself_and_says_who_does_how_much(self) -> None:
        root = week(work(at(0, 9)), work(at(1, 9), visit=True), work(at(2, 9), station="frame", people=("b",)))
        title, said = root.findtext(f"{SVG}title"), root.findtext(f"{SVG}desc") or ""
        assert title == "Mon 1 Mar to Sun 7 Mar"
        assert "Ada: 2 tasks. Bo: 1 task. rotating frame taken once." in said
        assert "Visits out of hours: 1." in said
        assert one_day(work(at(0, 9))).findtext(f"{SVG}title") == "Mon 1 Mar"

    def test_many_jobs_take_several_sheets_each_with_its_head(self) -> None:
        jobs = range(100, 140)
        items = [work(at(0, 8), 15, job=job, people=()) for job in jobs]
        with using_profile(METRIC):
            sheets = week_sheets(plan(*items, pieces={job: PieceRow(label=f"{job} Urn") for job in jobs}), first=MONDAY)
        roots = [ET.fromstring(sheet) for sheet in sheets]
        assert len(roots) > 1
        assert [root.findtext(f"{SVG}title") for root in roots][
            -1
        ] == f"Mon 1 Mar to Sun 7 Mar, sheet {len(roots)} of {len(roots)}"
        assert all(float(root.get("height") or 0) <= 590 + 100 for root in roots)
        named = [text for root in roots for text in texts(root) if text.endswith(" Urn")]
        assert named == [f"{job} Urn" for job in jobs]
        assert ["Ada" in texts(root) for root in roots] == [True] + [False] * (len(roots) - 1)
        assert "100 Urn" not in texts(roots[0])
        assert all("Mon 1 Mar" in texts(root) for root in roots)
        assert [("out of hours" in texts(root)) for root in roots] == [False] * (len(roots) - 1) + [True]

    def test_a_day_shows_only_bands_in_which_something_is(self) -> None:
        names = texts(one_day(work(at(0, 9))))
        assert "Ada" in names
        assert not {"Bo", "rotating frame", "14 Urn"} & set(names)

    def test_hostile_words_stay_words(self) -> None:
        hostile = '</text><script>alert(1)</script>"&'
        items = work(at(0, 9), label=hostile, late_min=20)
        people = {"a": Band(label=hostile)}
        for root in (
            week(items, people=people, pieces={12: PieceRow(label=hostile)}),
            one_day(items, people=people, pieces={12: PieceRow(label=hostile)}),
        ):
            assert not [tag for tag in root.iter() if tag.tag.endswith("script")]
            assert any(text.startswith("</text>") for text in texts(root))

    def test_carries_no_style(self) -> None:
        with using_profile(METRIC):
            drawn = "".join(week_sheets(plan(work(at(0, 9))), first=MONDAY)) + days_key()
        assert "style=" not in drawn
        assert "<script" not in drawn

    @settings(max_examples=25)
    @given(
        st.lists(
            st.builds(
                lambda start, long, cure, window, late, flags: work(
                    datetime.datetime(2027, 2, 26, tzinfo=BERLIN) + datetime.timedelta(minutes=start),
                    long,
                    cures_until=at(0, 0) + datetime.timedelta(minutes=start + long + cure - 4320),
                    closes=at(0, 0) + datetime.timedelta(minutes=start + long + cure + window - 4320),
                    late_min=late, visit=flags & 1 > 0, pinned=flags & 2 > 0, unattended=flags & 4 > 0,
                    station="frame" if flags & 8 else "", job=12 if flags & 16 else 14,
                    label="Second laying of the shell, upper piece",
                ),
                st.integers(0, 16000), st.integers(1, 600), st.integers(0, 5000), st.integers(0, 3000),
                st.sampled_from([0, 0, 300]), st.integers(0, 31),
            ),
            max_size=12,
        )
    )  # fmt: skip
    def test_nothing_lies_outside_of_the_sheet(self, items: list[Work]) -> None:
        for root in (week(*items, now=at(3, 23, 50)), one_day(*items, on=datetime.date(2027, 3, 4), now=at(3, 0, 5))):
            width, height = float(root.get("width") or 0), float(root.get("height") or 0)
            for path in (path for path in root.iter(f"{SVG}path") if path.get("d") and not _in_pattern(root, path)):
                for x, y in (point for loop in loops(path) for point in loop):
                    assert 0 <= x <= width
                    assert 0 <= y <= height
            for line in root.iter(f"{SVG}line"):
                assert all(0 <= float(line.get(key) or 0) <= width for key in ("x1", "x2"))
                assert all(0 <= float(line.get(key) or 0) <= height for key in ("y1", "y2"))
            for text in root.iter(f"{SVG}text"):
                assert 0 <= float(text.get("x") or 0) <= width
                assert 0 <= float(text.get("y") or 0) <= height


def _in_pattern(root: ET.Element, path: ET.Element) -> bool:
    return any(path in list(pattern) for pattern in root.iter(f"{SVG}pattern"))
