"""A month of the stock by hand: what comes, goes, is counted and mistaken; then its books are added up once more beside it."""

import csv
import datetime
import io
import re
from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal

import pytest
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from tests.browser.running import RunningStudio, sign_in
from tests.browser.test_main_job import choose

pytestmark = pytest.mark.browser

# One part A to one part B, and nothing of it on the demo's shelf.
RUBBER = "Platinum silicone, soft, 10 Shore A"
PLACE = "rack of the month"
BIN = "MONTH"
# The demo's ceiling rosette, whose blanket has hollows to be filled.
FILLED = 108
HEADINGS = "Material,Mass,Received on,Good until,Supplier's lot,Place,Cost before tax\n"


def day(number: int) -> str:
    return (datetime.date.today() + datetime.timedelta(days=number)).isoformat()


ROWS = (
    f'"{RUBBER}",2000,{day(-50)},,MONTH-2,drawer,30\n',
    f"Molding plaster,1000,{day(-300)},{day(-30)},OLD-1,drawer,1\n",
)
CENT = Decimal("0.01")


def go(page: Page, *words: str) -> None:
    page.get_by_role("link", name="Stock", exact=True).click()
    for link in words:
        page.get_by_role("link", name=link, exact=True).first.click()
    page.wait_for_load_state()


def press(page: Page, button: str) -> None:
    page.get_by_role("button", name=button, exact=True).click()
    page.wait_for_load_state()


def entry(page: Page, words: str) -> Locator:
    """Open one of the things that may be done with a lot or a bin."""
    drawer = page.locator("details.entry-form", has=page.locator("summary", has_text=words))
    drawer.locator("summary").click()
    return drawer


def open_lot(page: Page, name: str) -> None:
    go(page, "Materials")
    page.get_by_role("link", name=RUBBER, exact=True).click()
    page.get_by_role("link", name=re.compile(name)).first.click()
    expect(page.locator("h1")).to_contain_text(RUBBER)


def table(page: Page, studio: RunningStudio, key: str) -> list[dict[str, str]]:
    """Take a table out as the page of files offers it."""
    answer = page.request.get(f"{studio.address}/stock/files/{key}.csv")
    assert answer.ok
    return list(csv.DictReader(io.StringIO(answer.body().decode("utf-8-sig"))))


def number(text: str) -> Decimal:
    return Decimal(text or 0)


def read_in(page: Page, rows: str, name: str) -> None:
    go(page, "Files", "Read a table in")
    page.get_by_label("lots on the shelf").check()
    page.get_by_label("File", exact=True).set_input_files({"name": name, "mimeType": "text/csv", "buffer": rows.encode()})
    press(page, "Read it and show me")


def receive_what_was_ordered(page: Page) -> None:
    """One delivery comes on its day, at a price that was mistyped, and one comes late."""
    go(page, "Expected", "Write down an order")
    choose(page, "What is ordered", f"{RUBBER}, by mass")
    page.get_by_label("Mass in all").fill("6 kg")
    page.get_by_label("Arrives on").fill(day(1))
    press(page, "Expect it")
    page.locator(".expected > li", has_text=RUBBER).get_by_role("link", name="It came").click()
    page.get_by_label("Paid before tax").fill("1500")
    page.get_by_label("Supplier's lot number").fill("MONTH-1")
    page.get_by_label("Where it stands").fill(PLACE)
    press(page, "Put it on the shelf")
    for part in ("A", "B"):
        open_lot(page, f"part {part}.*MONTH-1")
        page.get_by_role("link", name="Correct what was written down of it").click()
        page.get_by_label("Cost before tax").fill("25")
        press(page, "Save")
        expect(page.get_by_text("the books follow")).to_be_visible()
    go(page, "Expected")
    late = page.locator(".expected > li", has_text="overdue")
    late.get_by_role("link", name="It came").click()
    press(page, "Put it on the shelf")
    go(page, "Expected")
    expect(late).to_have_count(0)


def read_a_table_with_mistakes(page: Page) -> None:
    read_in(page, HEADINGS + ROWS[0] + ROWS[1].replace("1000", "much"), "autumn.csv")
    problems = page.locator("table", has_text="What to change")
    expect(problems).to_contain_text("much")
    press(page, "Keep all that is not left out")
    expect(page.get_by_text("nothing kept yet")).to_be_visible()
    read_in(page, HEADINGS + "".join(ROWS), "autumn.csv")
    press(page, "Keep 2 rows")
    expect(page.get_by_text("kept", exact=True)).to_be_visible()


def use_and_undo(page: Page) -> None:
    """Ten times too much is written down, undone, and written down right."""
    open_lot(page, "part A.*MONTH-1")
    for mass in ("2.5 kg", "500 g"):
        drawer = entry(page, "Use some")
        drawer.get_by_label("Mass used").fill(mass)
        drawer.get_by_role("button").click()
        expect(page.get_by_text("g is used.")).to_be_visible()
        if mass == "2.5 kg":
            page.get_by_role("link", name=re.compile("^Undo used")).click()
            page.get_by_label("Why it is undone").fill("the point was forgotten")
            press(page, "Undo this line")
            expect(page.get_by_text("both lines stay in the day book")).to_be_visible()


def set_one_aside(page: Page) -> None:
    open_lot(page, "part B.*MONTH-2")
    drawer = entry(page, "Set it aside")
    drawer.get_by_label("Why it is set aside").fill("the lid was loose")
    drawer.get_by_role("button").click()
    go(page)
    looked_at = page.locator("ol.daybook > li")
    expect(looked_at.filter(has_text="OLD-1").filter(has_text="expired")).to_have_count(1)
    expect(looked_at.filter(has_text="MONTH-2").filter(has_text="the lid was loose")).to_have_count(1)


def count_the_rack(page: Page) -> None:
    """Blind, on a tablet; what differs wants a reason before it is posted."""
    page.set_viewport_size({"width": 820, "height": 1180})
    go(page, "Counts", "Start a count")
    choose(page, "What is counted", PLACE)
    press(page, "Start counting")
    page.get_by_role("link", name="Weigh the next one").click()
    for _ in range(2):
        thing = page.locator("h1").inner_text()
        assert "The book says" not in page.locator("main").inner_text()
        page.get_by_label("The scale says").fill("2.5 kg" if "part A" in thing else "2900")
        press(page, "Keep this weight")
    page.get_by_role("link", name="Look at the differences").click()
    press(page, "Post the differences")
    expect(page.get_by_text("say why", exact=True)).to_be_visible()
    page.get_by_label(re.compile("^Why .* differs$")).fill("a cup was not written down")
    press(page, "Post the differences")
    expect(page.get_by_text("1 difference is posted.")).to_be_visible()
    page.set_viewport_size({"width": 1280, "height": 900})


def take_a_mix(page: Page) -> None:
    go(page, "Materials")
    page.get_by_role("link", name=RUBBER, exact=True).click()
    page.get_by_role("link", name="Take a mix off the shelf").click()
    page.get_by_label(re.compile("^Mass")).fill("400")
    press(page, "See which lots to take")
    expect(page.locator(".mix > li", has_text="Part A")).to_contain_text("200")
    press(page, "Take it off the shelf")
    expect(page.locator("h1")).to_contain_text("400")


def cut_up_a_dead_mold(page: Page) -> None:
    """The demo's worn platinum mold, into a bin of its own."""
    page.get_by_role("link", name="Jobs", exact=True).click()
    page.get_by_role("link", name="Molds", exact=True).click()
    page.locator("ol.daybook > li", has_text="78 of about").get_by_role("link").click()
    page.get_by_role("link", name="Cut up for scrap").click()
    choose(page, "Into which bin", "a new bin")
    page.get_by_label("Mass of the chunks, weighed").fill("2.1 kg")
    page.get_by_label("Cutting and washing took").fill("25 min")
    press(page, "Cut it up")
    expect(page.get_by_text("Measure a few chunks").first).to_be_visible()
    page.get_by_label("Edge of the chunks").fill("12")
    page.get_by_label("Label of the new bin").fill(BIN)
    press(page, "Cut it up")
    expect(page.get_by_text(re.compile(rf"2,100\sg\swent into {BIN}"))).to_be_visible()


def fill_from_scrap(page: Page, studio: RunningStudio) -> None:
    """The bin is proposed to a job with a fill, taken into its plan, and some of it used."""
    page.goto(f"{studio.address}/jobs/{FILLED}/mold/")
    offer = page.locator("[aria-labelledby=part-scrap] tbody tr", has_text=BIN)
    offer.get_by_role("button", name="Take it").click()
    expect(offer).to_contain_text("in the plan")
    offer.get_by_role("link", name=BIN).click()
    drawer = entry(page, "Use some")
    drawer.get_by_label("Mass used").fill("400")
    drawer.get_by_label("For job number").fill(str(FILLED))
    drawer.get_by_role("button").click()
    expect(page.get_by_text("400 g is used.")).to_be_visible()


def print_a_label(page: Page) -> None:
    open_lot(page, "part A.*MONTH-1")
    page.get_by_role("link", name="Print its label").click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Make the PDF").click()
    text = re.sub(r"\s", "", "".join(sheet.extract_text() for sheet in PdfReader(download.value.path()).pages))
    assert "lotMONTH-1" in text
    assert PLACE.replace(" ", "") in text


def shown(page: Page, label: str) -> Decimal:
    return Decimal(re.sub(r"[^\d.]", "", page.locator("dl.pairs > div", has_text=label).locator("dd").inner_text()))


def add_up(page: Page, studio: RunningStudio) -> None:
    """Add up the lines of the day book: the balances to the thousandth of a gram, the worth to the cent."""
    lines = table(page, studio, "movements")
    grams: dict[str, Decimal] = defaultdict(Decimal)
    promised: dict[str, Decimal] = defaultdict(Decimal)
    worth: dict[str, Decimal] = defaultdict(Decimal)
    for line in lines:
        thing = f"lot {line['Lot']}" if line["Lot"] else f"bin {line['Bin']}"
        grams[thing] += number(line["On hand, g"])
        promised[thing] += number(line["Promised, g"])
        worth[line["Material"] or "scrap"] += number(line["Worth before tax"])
    for row in table(page, studio, "lots"):
        assert grams.pop(f"lot {row['Number']}", Decimal(0)) == number(row["On hand, g"]), row
        assert promised.pop(f"lot {row['Number']}", Decimal(0)) == number(row["Promised, g"]), row
    for row in table(page, studio, "scrap"):
        assert grams.pop(f"bin {row['Label']}", Decimal(0)) == number(row["On hand, g"]), row
        assert promised.pop(f"bin {row['Label']}", Decimal(0)) == number(row["Promised, g"]), row
    assert not grams

    # Worked by hand: 3 kg at 25 and 1 kg at 30 of each part make 26.25 a kilogram; 500 g of A are used, 100 g of B are missing,
    # and 400 g are mixed.
    assert worth[RUBBER] == Decimal("210") - Decimal("26.25")
    go(page, "Its worth")
    scrap = worth.pop("scrap", Decimal(0))
    assert shown(page, "Materials") == sum(worth.values(), Decimal(0)).quantize(CENT, ROUND_HALF_UP)
    assert shown(page, "Scrap") == scrap.quantize(CENT, ROUND_HALF_UP)
    expect(page.locator("tbody tr", has_text=RUBBER)).to_contain_text("183.75")
    # Before the first line there was nothing to be worth anything.
    first = datetime.datetime.fromisoformat(lines[0]["When"]).date()
    page.get_by_label("At the end of").fill((first - datetime.timedelta(days=1)).isoformat())
    page.get_by_role("button", name="Show this day").click()
    expect(page.get_by_text("Nothing was on the shelf that day")).to_be_visible()


class TestStockMonth:
    def test_books_balance_to_the_gram_and_the_cent(self, page: Page, running_studio: RunningStudio):
        sign_in(page, running_studio)
        receive_what_was_ordered(page)
        read_a_table_with_mistakes(page)
        use_and_undo(page)
        set_one_aside(page)
        count_the_rack(page)
        take_a_mix(page)
        cut_up_a_dead_mold(page)
        fill_from_scrap(page, running_studio)
        print_a_label(page)
        add_up(page, running_studio)
