"""The price by hand: ways held against each other, one taken, quoted with options, accepted by a client, and what follows."""

import io
import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from xml.etree import ElementTree

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from pypdf import PdfReader

from tests.browser.running import RunningStudio, sign_in, wait_for_the_study
from tests.browser.test_days import go_to_days, see_what_is_found
from tests.browser.test_every_page import PHONE, axe_faults, overflow
from tests.browser.test_main_job import money_in, stage

pytestmark = pytest.mark.browser

# The demo's leaf capital: an enquiry with a whole plan and no quote.
JOB = 107
WHO = "Abigail Thorne"
PRINTED_MS = 60_000
CENT = Decimal("0.01")
# What the client may add, how many of it, and its price each.
WASH, CRATE = ("Lead-coloured wash on each casting", "30", "18"), ("Crate for the journey", "1", "145")
HOUR, SLIDER = "An hour with overhead costs", "An hour with overhead, by sliding"
BASIC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"
# The studio's own reckoning; a client has no use for any of these words.
INNER_WORDS = re.compile(
    r"\b(margin|markup|overhead|labour|hours?|our cost|costs us|break-even|contingency|profit)\b", re.IGNORECASE
)


@dataclass(frozen=True)
class Way:
    """A row of the table of ways, as the page says it."""

    name: str
    hours: Decimal
    spend: Decimal
    cost: Decimal
    cheapest: bool


def figure_in(place: Locator) -> Decimal:
    """Read the number that counts now, not one before it that is struck through, and nothing of its working."""
    return Decimal(re.sub(r"[^\d.]", "", place.locator("summary .number").first.inner_text()))


def ways_on(page: Page) -> list[Way]:
    return [
        Way(
            name=row.locator("th").inner_text().partition(" ")[2],
            hours=figure_in(row.locator("td[data-label=Hours]")),
            spend=figure_in(row.locator("td[data-label=Material]")),
            cost=figure_in(row.locator("td[data-label=Cost]")),
            cheapest=row.get_by_text("cheapest", exact=True).count() == 1,
        )
        for row in page.locator("table.alternatives tbody tr").all()
    ]


def move_the_rate(page: Page, rate: str, *, sliding: bool) -> list[Way]:
    """Slide or type what an hour costs, and return the ways as the answer ranks them."""
    field = page.get_by_role("slider", name=SLIDER) if sliding else page.get_by_label(HOUR, exact=True)
    field.fill(rate)
    expect(page.get_by_label(HOUR, exact=True)).to_have_value(rate)
    expect(page.locator("#ways figcaption").first).to_contain_text(f"an hour counted at €{int(rate):,}.00/h")
    return ways_on(page)


def compare_the_ways(page: Page) -> None:
    """Hold the words, the ranking and the mark of the cheapest against what the table says of hours and spend."""
    stage(page, "Alternatives")
    now = ways_on(page)
    assert len(now) >= 3
    pair = page.locator(".ways-words .said", has_text="worth it below").first
    slow, quick = re.match(r"(.*?) against (.*?):", pair.inner_text()).groups()  # type: ignore[union-attr]
    even = figure_in(pair.locator("[data-figure$=break-even]"))
    low, high = int(even) // 2, int(even) + 40
    ranked = {rate: move_the_rate(page, str(rate), sliding=True) for rate in (low, high)}
    ranked[9000] = move_the_rate(page, "9000", sliding=False)
    for rate, ways in ranked.items():
        assert [way.cost for way in ways] == sorted(way.cost for way in ways)
        assert [way.name for way in ways if way.cheapest] == [ways[0].name]
        for way in ways:
            # Hours of a hundred and more are shown whole.
            assert abs(way.spend + way.hours * rate - way.cost) <= Decimal("0.51") * rate, way
        cost = {way.name: way.cost for way in ways}
        assert (cost[slow] < cost[quick]) == (rate < even), f"{slow} and {quick} at {rate}, even at {even}"
    assert [way.name for way in ranked[low]] != [way.name for way in ranked[high]]
    assert ranked[low][0].name == min(now, key=lambda way: way.spend).name
    assert ranked[9000][0].name == min(now, key=lambda way: way.hours).name != ranked[low][0].name
    page.get_by_role("link", name="Back to what counts now").click()
    expect(page.locator("#ways")).not_to_contain_text("These figures follow what you set")
    assert ways_on(page) == now


def take_the_cheapest(page: Page) -> None:
    name = next(way.name for way in ways_on(page) if way.cheapest)
    page.get_by_role("button", name=f"Take this : {name}", exact=True).click()
    expect(page.get_by_text(f"“{name}” is the plan in use now.")).to_be_visible()
    row = page.locator("table.alternatives tbody tr", has_text="in use").first
    expect(row.get_by_text("cheapest", exact=True)).to_be_visible()


def inner_figures(page: Page) -> set[str]:
    """Read from the price page what no client may see, as it is written there."""
    stage(page, "Price")
    asked = page.locator("#price-figures")
    amounts = asked.locator("td[data-label^='Costs us'] > .figure > summary .number").all_inner_texts()
    pairs = asked.locator("dl.pairs > div")
    for label in ("Cost", "Margin in the price", "Markup on the cost", "An hour with overhead"):
        found = pairs.filter(has=page.locator("dt", has_text=re.compile(f"^{label}$"))).locator("dd > .figure > summary .number")
        expect(found).to_have_count(1)
        amounts.append(found.inner_text())
    for part in ("A Material", "B Labour", "C Overhead", "D Margin"):
        amounts.append(
            asked.locator("tr", has=page.get_by_role("rowheader", name=part)).locator("summary .number").first.inner_text()
        )
    rate = page.get_by_label("Labour rate", exact=True).get_attribute("placeholder") or ""
    amounts.append(rate.rpartition(" ")[2].removesuffix("/h"))
    amounts.append(
        page.locator(".titleblock-figures > div", has_text="Hours").locator("summary .number").first.inner_text() + " h"
    )
    bare = {amount.replace("€", "").strip() for amount in amounts}
    assert len(bare) >= 10, bare
    assert "" not in bare, amounts
    return bare


def write_the_quote(page: Page) -> None:
    page.get_by_role("link", name="Write the quote").click()
    page.get_by_role("button", name="Add options").click()
    for text, quantity, price in (WASH, CRATE):
        page.get_by_label("What the client may add").fill(text)
        page.get_by_label("Quantity", exact=True).fill(quantity)
        page.get_by_label("Price of each, before tax").fill(price)
        page.get_by_role("button", name="Add this option").click()
        expect(page.get_by_role("rowheader", name=text)).to_be_visible()
    page.get_by_role("link", name="Back to the quote").click()
    page.get_by_role("button", name="Freeze and number quote").click()
    page.wait_for_url(re.compile(r"/quotes/\d+/\d+/$"))
    for place in (".titleblock-figures dd", "main table.ruled td.num:not([data-label=Quantity])"):
        cells = page.locator(place)
        assert cells.count() >= 3
        assert page.locator(place).filter(has_not=page.locator("details.figure")).all_inner_texts() == []
    expect(page.get_by_role("link", name=re.compile("Open Quote"))).to_be_visible(timeout=PRINTED_MS)


def link_for_the_client(page: Page) -> str:
    page.get_by_role("button", name="Make a link for the client").click()
    address = page.get_by_role("textbox", name="The link").input_value()
    assert len(address.rstrip("/").rpartition("/")[2]) >= 43, "256 bits are 43 letters of base 64"
    return address


def looks_right(client: Page) -> None:
    for scheme in ("light", "dark"):
        client.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        assert axe_faults(client) == [], f"{client.url} in the {scheme}"
    # Still in the dark: the ink of a drawing is light there, so it must not lie on white.
    grounds = client.eval_on_selector_all(".client-pictures svg", "all => all.map(one => getComputedStyle(one).backgroundColor)")
    assert set(grounds) <= {"rgba(0, 0, 0, 0)"}
    client.emulate_media(color_scheme="light")
    assert overflow(client) <= 0


def shows_nothing_inner(client: Page, inner: set[str]) -> None:
    for text in (client.locator("main").inner_text(), client.content()):
        plain = text.replace("\u00a0", " ")
        assert [amount for amount in inner if re.search(rf"(?<![\d.,]){re.escape(amount)}(?![\d]|[.,]\d)", plain)] == []
    assert INNER_WORDS.findall(client.locator("main").inner_text()) == []


def nets_on(client: Page) -> list[Decimal]:
    return [money_in(cell) for cell in client.locator("table.client-lines tbody td[data-label^=Before]").all_inner_texts()]


def with_tax(client: Page, nets: list[Decimal]) -> Decimal:
    """Add up amounts with the tax that the page names, rounded half up on each line."""
    said = re.search(r"VAT\s([\d.]+)\s%", client.locator("#price").inner_text())
    assert said, client.locator("#price").inner_text()
    share = Decimal(said.group(1)) / 100
    return sum((net + (net * share).quantize(CENT, ROUND_HALF_UP) for net in nets), Decimal(0))


def total_on(client: Page) -> Decimal:
    return money_in(client.locator("table.client-totals tfoot td").inner_text())


def check_the_print(page: Page, link: Locator, number: str, total: Decimal, kept: Path) -> None:
    """Download the print and read it: its total and the one in the document for the client's books are the page's."""
    with page.expect_download() as coming:
        link.click()
    coming.value.save_as(kept)
    reader = PdfReader(io.BytesIO(kept.read_bytes()))
    text = " ".join("\n".join(sheet.extract_text() for sheet in reader.pages).split())
    assert re.search(rf"Total\s(?:with VAT\s)?€{total:,.2f}", text), text
    assert WASH[0] in text
    (content,) = reader.attachments[f"quotation-{number}-version-1.xml"]
    payable = ElementTree.fromstring(content).find(f".//{BASIC}PayableAmount")
    assert payable is not None
    assert payable.text is not None
    assert Decimal(payable.text) == total


def accept_with_one_option(client: Page, inner: set[str]) -> Decimal:
    """Tick an option, accept what the total then is, and return it."""
    offered, nets = total_on(client), nets_on(client)
    assert offered == with_tax(client, nets)
    row = client.locator(".client-options li", has_text=WASH[0])
    option = money_in(row.locator("> .num").inner_text())
    assert option == Decimal(WASH[1]) * Decimal(WASH[2])
    with client.expect_response(re.compile(r"option=")):
        row.get_by_role("checkbox").check()
    expect(client.locator("table.client-totals caption")).to_have_text("Total with 1 option")
    agreed = total_on(client)
    assert agreed == with_tax(client, [*nets, option]) > offered
    client.get_by_role("button", name="Accept this quote").click()
    looks_right(client)
    shows_nothing_inner(client, inner)
    assert money_in(client.locator("table.client-lines tfoot").inner_text()) == agreed
    client.get_by_label("Your name").fill(WHO)
    client.get_by_role("checkbox", name=re.compile("^I agree to quote")).check()
    client.get_by_role("button", name=re.compile("^Accept, total")).click()
    client.wait_for_url(re.compile(r"/q/[^/]+/$"))
    return agreed


def tells_what_was_agreed(client: Page, agreed: Decimal, inner: set[str]) -> None:
    said = client.locator("section.message")
    expect(said).to_contain_text(f"Accepted by {WHO}")
    expect(said).to_contain_text(f"€{agreed:,.2f}, with {WASH[0]}.")
    assert total_on(client) == agreed
    assert client.get_by_role("checkbox").count() == client.get_by_role("button").count() == 0
    looks_right(client)
    shows_nothing_inner(client, inner)


def stock_and_payment_follow(page: Page, agreed: Decimal) -> None:
    """Look at the quote's page: who accepted what, and the deposit asked for and printed; then at what the job reserves."""
    expect(page.locator(".titleblock-title")).to_contain_text("accepted")
    expect(page.locator("main")).to_contain_text(f"Accepted by {WHO}")
    block = page.locator(".titleblock-figures > div", has_text="Agreed, with tax")
    assert figure_in(block) == agreed
    payments = page.locator("section.entry")
    assert sum(money_in(heading) for heading in payments.locator("h3").all_inner_texts()) == agreed
    deposit = payments.filter(has_text="Deposit")
    expect(deposit).to_contain_text("asked for")
    expect(deposit.get_by_role("link", name=re.compile("^Open"))).to_be_visible(timeout=PRINTED_MS)

    page.get_by_role("link", name="Open the job’s reservations").click()
    expect(page.locator(".titleblock-title")).to_contain_text("agreed")
    rows = page.locator("table", has=page.get_by_role("columnheader", name="Reserved")).locator("tbody tr")
    states = [
        (row.locator("td[data-label=Reserved]").inner_text(), row.locator("td[data-label=Short]").inner_text())
        for row in rows.all()
    ]
    assert any(re.match(r"[\d.,]+\s(g|kg)", held) for held, _ in states), states
    assert all(held.strip() != "none" or "short" in short for held, short in states), states


def days_follow(page: Page) -> None:
    go_to_days(page)
    see_what_is_found(page)
    expect(page.get_by_text("What is different:").locator("..")).to_contain_text(f"Job {JOB} is agreed")
    ends = page.get_by_role("table", name="Each job's end before and after")
    row = ends.locator("tr", has=page.get_by_role("link", name=re.compile(f"^{JOB} ")))
    expect(row.locator("td[data-label='End in these days']")).to_have_text(re.compile(r"\d\d:\d\d"))


class TestQuoteAccepted:
    def test_a_way_is_taken_quoted_and_accepted_and_stock_days_and_payment_follow(
        self, page: Page, browser: Browser, embedded_studio: RunningStudio, tmp_path: Path
    ):
        sign_in(page, embedded_studio)
        wait_for_the_study(page, embedded_studio, JOB)
        page.goto(f"{embedded_studio.address}/jobs/{JOB}/")
        compare_the_ways(page)
        take_the_cheapest(page)
        inner = inner_figures(page)
        write_the_quote(page)
        quote = page.url
        number = quote.split("/")[-3]
        address = link_for_the_client(page)

        phone = browser.new_context(
            viewport={"width": PHONE, "height": 844}, locale="en-GB", timezone_id="Europe/London", reduced_motion="reduce"
        )
        client = phone.new_page()
        client.goto(address)
        looks_right(client)
        shows_nothing_inner(client, inner)
        offered = total_on(client)
        check_the_print(client, client.get_by_role("link", name="Download this quote"), number, offered, tmp_path / "client.pdf")
        agreed = accept_with_one_option(client, inner)
        tells_what_was_agreed(client, agreed, inner)
        client.goto(address)
        tells_what_was_agreed(client, agreed, inner)
        phone.close()

        page.goto(quote)
        check_the_print(page, page.get_by_role("link", name=re.compile("Open Quote")), number, offered, tmp_path / "studio.pdf")
        stock_and_payment_follow(page, agreed)
        days_follow(page)
