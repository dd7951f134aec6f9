"""The days by hand: five jobs planned together, a coat three hours late, and calendars and handout that follow."""

import io
import re
from datetime import datetime, timedelta
from pathlib import Path
from urllib.request import urlopen

import pytest
import vobject
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from tests.browser.running import RunningStudio, sign_in, wait_for_the_study

pytestmark = pytest.mark.browser

FOUND_MS = 60_000
PLANNED = (102, 105, 106, 108, 109)
CLOCK = re.compile(r"\b\d{2}:\d{2}\b")


def go_to_days(page: Page) -> None:
    page.get_by_role("link", name="Days", exact=True).first.click()
    page.wait_for_load_state()


def see_what_is_found(page: Page) -> None:
    """Wait for the search, whose page loads itself anew, and open its proposal."""
    page.get_by_role("link", name="See what they change").click(timeout=FOUND_MS)
    expect(page.get_by_role("heading", name="Proposed days")).to_be_visible()


def use_them(page: Page) -> None:
    page.get_by_role("button", name="Use these days").click()
    expect(page.get_by_text("These days are in use.")).to_be_visible()


def plan_five_jobs_together(page: Page) -> None:
    go_to_days(page)
    page.get_by_role("button", name="Plan the days anew").click()
    # Twenty seconds are for better answers; the first of them is enough here.
    expect(page.get_by_text("Answers found, each better than the one before")).to_be_visible(timeout=FOUND_MS)
    page.get_by_role("button", name="Stop and take the best found").click()
    see_what_is_found(page)
    expect(page.get_by_text(re.compile(r"\d+ tasks of 5 jobs"))).to_be_visible()
    ends = page.get_by_role("table", name="Each job's end before and after").locator("tbody tr")
    expect(ends).to_have_count(5)
    use_them(page)


def make_calendars(page: Page) -> list[str]:
    """Make an address for everybody who is planned, and return them."""
    go_to_days(page)
    page.get_by_role("link", name="Calendars").click()
    addresses = []
    for person in range(page.locator("section.entry").count()):
        page.locator("section.entry").nth(person).get_by_role("button", name=re.compile("^Make a")).click()
        addresses.append(page.get_by_role("textbox", name="Address").input_value())
    assert len(set(addresses)) > 1
    return addresses


class Told:
    """What all calendars say of one task: an independent parser reads them, as a calendar program would."""

    def __init__(self, addresses: list[str], summary: str) -> None:
        self.open: list[datetime] = []
        self.open_uids: list[str] = []
        self.sequences: dict[str, int] = {}
        for address in addresses:
            with urlopen(address) as answer:
                assert answer.headers.get_content_type() == "text/calendar"
                calendar = vobject.readOne(answer.read().decode())
            for event in calendar.contents.get("vevent", []):
                if event.summary.value != summary:
                    continue
                self.sequences[event.uid.value] = int(event.sequence.value)
                if not hasattr(event, "status") or event.status.value != "CANCELLED":
                    self.open.append(event.dtstart.value)
                    self.open_uids.append(event.uid.value)

    def counted_up_since(self, earlier: "Told") -> bool:
        """Say whether what is open now was counted up or is new, as RFC 5545, 3.8.7.4 asks, and nothing counted down."""
        grown = all(self.sequences[uid] > earlier.sequences.get(uid, -1) for uid in self.open_uids)
        return grown and all(self.sequences[uid] >= number for uid, number in earlier.sequences.items())


def a_coat_to_come(page: Page) -> tuple[str, str]:
    """Return the job's number and the name of its second coat, whose page is then open."""
    go_to_days(page)
    found = page.locator("#chosen-days a[href*='/days/task/coat_2']").first
    name = found.inner_text().strip()
    found.click()
    page.wait_for_load_state()
    number = re.search(r"/jobs/(\d+)/days/task/", page.url)
    assert number, page.url
    return number.group(1), name


def moved_row(page: Page, task: str, number: str) -> Locator:
    table = page.get_by_role("table", name="Tasks that move, from when to when, and why")
    return (
        table.locator("tbody tr")
        .filter(has=page.get_by_role("link", name=re.compile(f"^{number} ")))
        .filter(has=page.get_by_role("rowheader", name=task, exact=True))
    )


def printed_handout(page: Page, tmp_path: Path) -> str:
    page.get_by_role("button", name="Print the cure-schedule handout").click()
    ready = page.get_by_role("link", name=re.compile("Open Cure"))
    expect(ready.first).to_be_visible(timeout=60_000)
    with page.expect_download() as coming:
        ready.first.click()
    kept = tmp_path / "handout.pdf"
    coming.value.save_as(kept)
    return "\n".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(kept.read_bytes())).pages)


class TestDays:
    def test_five_jobs_are_planned_one_coat_is_late_and_calendars_and_handout_follow(
        self, page: Page, running_studio: RunningStudio, tmp_path: Path
    ):
        sign_in(page, running_studio)
        # A plan that follows its study is another one when that is done.
        for number in PLANNED:
            wait_for_the_study(page, running_studio, number)
        plan_five_jobs_together(page)
        calendars = make_calendars(page)

        number, coat = a_coat_to_come(page)
        before = Told(calendars, f"{number} {coat}")
        assert len(before.open) == 1, "one person lays a coat"
        page.get_by_role("button", name=re.compile("^Three hours later")).click()
        page.get_by_role("button", name="Work the days out again with this").first.click()
        see_what_is_found(page)
        expect(page.get_by_text("What is different:").locator("..")).to_contain_text(f"“{coat}” of job {number}")
        row = moved_row(page, coat, number)
        expect(row).to_contain_text("It cannot begin before then.")
        was, now = (CLOCK.findall(row.locator(f"td[data-label={at}]").inner_text())[0] for at in ("Was", "Now"))
        assert was == f"{before.open[0]:%H:%M}"
        moves = page.get_by_role("table", name="Tasks that move, from when to when, and why").locator("tbody tr")
        assert all(reason.strip() for reason in moves.locator("td[data-label=Why]").all_inner_texts())
        # Proposing tells nobody anything.
        assert Told(calendars, f"{number} {coat}").open == before.open
        use_them(page)

        after = Told(calendars, f"{number} {coat}")
        assert len(after.open) == 1
        assert after.open[0] - before.open[0] >= timedelta(hours=3)
        assert f"{after.open[0]:%H:%M}" == now
        assert after.counted_up_since(before)
        page.get_by_role("button", name="Go back to the days before").click()
        assert Told(calendars, f"{number} {coat}").open == before.open
        page.get_by_role("button", name="Go back to the days before").click()
        again = Told(calendars, f"{number} {coat}")
        assert again.open == after.open
        assert again.counted_up_since(after)

        page.goto(f"{running_studio.address}/jobs/{number}/days/")
        line = page.locator("tr", has=page.get_by_role("link", name=coat, exact=True)).first
        begins, ends = CLOCK.findall(line.locator("td[data-label=When]").inner_text())
        assert begins == now
        text = printed_handout(page, tmp_path)
        sheet = re.search(r"2\. Build coat.*?3\. ", text, re.DOTALL)
        assert sheet, text
        assert f"{begins} to {ends}" in " ".join(sheet.group().split())
