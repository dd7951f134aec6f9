import datetime
import re
import xml.etree.ElementTree as ET
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from studio.models import StudioProfile
from studio.web.drawing.draws import draws_by_day
from studio.web.drawing.job_strip import job_strip
from studio.web.drawing.job_strip_rows import Worked

METRIC = StudioProfile(units="metric", locale="en_GB", currency="EUR")
US = StudioProfile(units="us", locale="en_US", currency="USD")
SVG = "{http://www.w3.org/2000/svg}"
LONDON = ZoneInfo("Europe/London")
MONDAY = datetime.datetime(2027, 3, 1, 9, tzinfo=LONDON)
HOUR = datetime.timedelta(hours=1)


def at(hours: float, day: int = 1, month: int = 3) -> datetime.datetime:
    whole = int(hours)
    return datetime.datetime(2027, month, day, whole, round(60 * (hours - whole)), tzinfo=LONDON)


def drawn(*tasks: Worked, now: datetime.datetime = MONDAY, profile: StudioProfile = METRIC, **more: object) -> ET.Element:
    with timezone.override(LONDON):
        return ET.fromstring(job_strip(tasks, title="Days of job 7", now=now, profile=profile, **more))  # type: ignore[arg-type]


def texts(root: ET.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text")]


def boxes(root: ET.Element, paint: str) -> list[tuple[float, float]]:
    """Return from where to where across each filled box goes, those of the key left out."""
    found, floor = [], max(float(line.get("y1") or 0) for line in root.iter(f"{SVG}line") if line.get("x2") == "420")
    for path in root.iter(f"{SVG}path"):
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", path.get("d") or "")]
        if paint in [*(path.get("class") or "").split(), path.get("fill") or ""] and len(numbers) == 8 and numbers[1] < floor:
            found.append((min(numbers[::2]), max(numbers[::2])))
    return found


def one(starts_at: datetime.datetime, *, number: int = 1, hours: float = 1, cures_h: float = 0, **more: object) -> Worked:
    ends_at = (starts_at.astimezone(datetime.UTC) + hours * HOUR).astimezone(LONDON)
    waits = (ends_at.astimezone(datetime.UTC) + cures_h * HOUR).astimezone(LONDON) if cures_h else None
    return Worked(number=number, label=f"Coat {number}", starts_at=starts_at, ends_at=ends_at, waits_until_at=waits, **more)  # type: ignore[arg-type]


class TestJobStrip:
    def test_has_a_line_for_each_day_and_skips_those_without_anything(self) -> None:
        words = texts(drawn(one(at(9)), one(at(10, day=5), number=2), one(at(9, day=6), number=3)))
        assert [word for word in words if word in {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat"}] == ["Mon", "Fri", "Sat"]
        assert "3 days without work or curing" in words
        assert [word for word in words if word.isdigit()] == ["1", "2", "3"]

    def test_draws_work_to_the_scale_of_the_day(self) -> None:
        # Hands are at work from nine to five, so an hour is an eighth of the part that is drawn wide.
        first, second = boxes(drawn(one(at(9)), one(at(15), number=2, hours=2)), "ink-fill")
        assert second[1] - second[0] == pytest.approx(2 * (first[1] - first[0]))
        assert second[0] - first[0] == pytest.approx(6 * (first[1] - first[0]))

    def test_lets_a_cure_go_on_in_the_next_line(self) -> None:
        root = drawn(one(at(9)), one(at(16), number=2, cures_h=17))
        cures = boxes(
            root, next(path.get("fill") or "" for path in root.iter(f"{SVG}path") if "cure" in (path.get("fill") or ""))
        )
        # The rest of Monday with its night to the edge, then Tuesday from its first hour to ten.
        assert len(cures) == 2
        assert cures[0][1] == pytest.approx(420)
        assert cures[1][0] == pytest.approx(52)

    def test_writes_numbers_that_would_run_together_as_the_first_and_the_last(self) -> None:
        words = texts(
            drawn(*(one(at(9 + number / 10), number=number, hours=0.1) for number in range(1, 5)), one(at(16), number=5))
        )
        assert "1–4" in words
        assert "5" in words

    def test_marks_now_the_promised_day_and_what_is_wrong(self) -> None:
        window = {"latest_next_at": at(14), "late": True, "visit": True, "pinned": True}
        root = drawn(one(at(9), cures_h=2, **window), now=at(12), promised_on=datetime.date(2027, 3, 3))
        words = texts(root)
        for word in ("promised", "now", "after its window", "outside of hours", "pinned", "window for the next"):
            assert word in words
        description = root.find(f"{SVG}desc")
        assert description is not None
        assert description.text == "1 Coat 1: Mon 09:00 to Mon 10:00, then it cures until Mon 12:00, the window closes Mon 14:00"
        assert "done" not in words

    def test_gives_what_goes_on_at_once_lanes_of_its_own(self) -> None:
        alone = drawn(one(at(9), cures_h=4))
        beside = drawn(one(at(9), cures_h=4), one(at(11), number=2))
        assert float(beside.get("height") or 0) - float(alone.get("height") or 0) == pytest.approx(37)

    @pytest.mark.parametrize(("day", "month"), [(28, 3), (31, 10)])
    def test_holds_on_days_on_which_the_clock_changes(self, day: int, month: int) -> None:
        before = at(16, day=day - 1, month=month)
        root = drawn(one(before, cures_h=30), one(at(9, day=day + 1 if day < 31 else day, month=month), number=2))
        spans = [span for paint in ("ink-fill", "stroke") for span in boxes(root, paint)]
        assert spans
        assert all(52 <= left <= right <= 420.01 for left, right in spans)

    def test_draws_all_of_the_day_for_work_at_night(self) -> None:
        words = texts(drawn(one(at(23), hours=2), one(at(9, day=2), number=2)))
        assert "night" not in words
        assert "00:00" in words

    def test_writes_hours_as_the_locale_does(self) -> None:
        assert any(word.endswith("AM") for word in texts(drawn(one(at(9)), one(at(15), number=2, hours=2), profile=US)))

    def test_stays_bounded_for_a_job_of_a_year(self) -> None:
        tasks = [one(at(9) + datetime.timedelta(days=7 * week), number=week + 1, cures_h=160) for week in range(52)]
        words = texts(drawn(*tasks))
        assert any(word.endswith("more days, which the table has") for word in words)


class TestDrawsByDay:
    def test_draws_a_square_for_each_draw(self) -> None:
        counts = [(datetime.date(2027, 3, 4), 3), (datetime.date(2027, 3, 9), 5)]
        marks = {"50 %": datetime.date(2027, 3, 9), "90 %": datetime.date(2027, 3, 9)}
        root = ET.fromstring(draws_by_day(counts, marks=marks, title="Ends", profile=METRIC))
        assert len([path for path in root.iter(f"{SVG}path") if path.get("class") == "ink-fill"]) == 8
        assert "50 % and 90 %" in texts(root)

    def test_sets_the_words_of_two_marks_apart(self) -> None:
        counts = [(datetime.date(2027, 3, day), 3) for day in range(1, 20)]
        marks = {"50 %": datetime.date(2027, 3, 10), "90 %": datetime.date(2027, 3, 11)}
        root = ET.fromstring(draws_by_day(counts, marks=marks, title="Ends", profile=METRIC))
        anchors = {text.text: (text.get("text-anchor"), float(text.get("x") or 0)) for text in root.iter(f"{SVG}text")}
        assert (anchors["50 %"][0], anchors["90 %"][0]) == ("end", "start")
        assert anchors["50 %"][1] < anchors["90 %"][1]

    def test_holds_with_a_single_day(self) -> None:
        root = ET.fromstring(draws_by_day([(datetime.date(2027, 3, 4), 40)], marks={}, title="Ends", profile=METRIC))
        assert float(root.get("height") or 0) < 250
