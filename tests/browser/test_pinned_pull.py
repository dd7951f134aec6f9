"""From a scan to a pull that somebody fixes in the turning view: the plan and its price follow."""

import math
import re
import struct
from itertools import pairwise
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.browser.running import RunningStudio
from tests.browser.test_main_job import add_job, money_in, plan_mold, plan_shell_and_castings, stage

pytestmark = pytest.mark.browser

WITHIN_MS = 150_000.0
SIDES = 40
# Radius and height: a knob whose head overhangs its neck, so that a pull that leans up wants fill below the head. [mm]
PROFILE = ((45.0, 0.0), (45.0, 12.0), (18.0, 30.0), (18.0, 45.0), (50.0, 70.0), (50.0, 85.0), (15.0, 110.0))


def turned_stl() -> bytes:
    """Return the knob as binary STL, closed."""
    around = [(math.cos(2 * math.pi * n / SIDES), math.sin(2 * math.pi * n / SIDES)) for n in range(SIDES)]
    rings = [[(radius * x, radius * y, height) for x, y in around] for radius, height in PROFILE]
    foot, tip = (0.0, 0.0, PROFILE[0][1]), (0.0, 0.0, PROFILE[-1][1])
    triangles = []
    for n, m in pairwise([*range(SIDES), 0]):
        triangles += [(foot, rings[0][m], rings[0][n]), (tip, rings[-1][n], rings[-1][m])]
        for low, high in pairwise(rings):
            triangles += [(low[n], low[m], high[m]), (low[n], high[m], high[n])]
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *(value for corner in three for value in corner), 0) for three in triangles)
    return b"knob".ljust(80) + struct.pack("<I", len(triangles)) + body


def title(page: Page, label: str) -> Locator:
    """The figure of the title block under a label, or under one that begins with it: a price may not be whole."""
    words = page.get_by_text(re.compile(rf"^{label}\b"))
    return page.locator("#about .titleblock-figures > div", has=words).locator("summary").first


def shown(page: Page, label: str) -> str:
    return " ".join(title(page, label).locator("> .value").inner_text().split())


def measured(page: Page, folder: Path) -> None:
    """Add a job and send its scan; answer what the file does not say."""
    add_job(page, "Stair knob", "Lantern Yard Joinery")
    scan = folder / "knob.stl"
    scan.write_bytes(turned_stl())
    stage(page, "Piece")
    page.get_by_role("link", name="send a 3D scan").click()
    page.locator("input[type=file]").set_input_files(str(scan))
    page.get_by_role("button", name="Send the scan").click()
    expect(page.get_by_role("radio", name="millimetres")).to_be_checked(timeout=WITHIN_MS)
    page.get_by_role("button", name="Measure it").click()
    page.get_by_role("link", name="See the takeoff").click(timeout=WITHIN_MS)


def test_a_pull_is_fixed_in_the_turning_view_and_plan_and_price_follow(
    signed_in: BrowserContext, embedded_studio: RunningStudio, tmp_path: Path
) -> None:
    page = signed_in.new_page()
    page.goto(f"{embedded_studio.address}/jobs/")
    measured(page, tmp_path)
    plan_mold(page)
    plan_shell_and_castings(page)

    page.goto(re.sub(r"/castings/.*", "/piece/shape/", page.url))
    # A page that shows nothing of the shape yet loads itself when the study is done.
    page.locator("[data-shape][data-drawn]").wait_for(timeout=WITHIN_MS)
    expect(page.locator("#study-state [data-tone=done]")).to_be_visible(timeout=WITHIN_MS)
    page.reload()
    page.locator("[data-shape][data-drawn]").wait_for()
    rubber, price = shown(page, "Rubber"), shown(page, "Price")

    page.get_by_role("application").focus()
    for _ in range(3):
        page.keyboard.press("ArrowDown")
    expect(page.locator('[data-part="said"]')).to_have_text("Seen from the front right, 54° up.")
    page.get_by_role("link", name="Pull a shell piece the way I look").click()
    expect(page.get_by_text("The way you looked stands in pull 1: to the front right, 55° up.")).to_be_visible()
    assert shown(page, "Price") == price
    page.get_by_role("button", name="Keep these").click()

    page.wait_for_url(re.compile(r"/shell/$"))
    expect(page.locator("#study-state")).to_contain_text("Look again")
    assert shown(page, "Price") == price
    expect(page.locator("#study-state [data-tone=done]")).to_be_visible(timeout=WITHIN_MS)
    expect(page.locator("#ways tr[aria-current] th")).to_have_text("2 pieces, with pulls that are fixed")
    expect(page.locator("#ways tr[aria-current]")).to_contain_text("to the front right, 55° up (300°, 54°, fixed)")
    for label, before in (("Rubber", rubber), ("Price", price)):
        expect(title(page, label).locator("s")).to_have_text(before)
        assert shown(page, label) != before
    # What must be filled below the head costs rubber, and rubber costs money.
    assert money_in(shown(page, "Price") + ".00") > money_in(price + ".00")
    after = shown(page, "Price")
    page.reload()
    assert shown(page, "Price") == after
    page.close()
