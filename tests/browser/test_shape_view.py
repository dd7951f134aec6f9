"""The turning view in a real browser: it draws, turns, changes its colours, is cut, and needs neither mouse nor graphics card."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.running import RunningStudio, sign_in
from tests.browser.test_every_page import axe_faults, overflow

pytestmark = pytest.mark.browser
STUDIED_WITHIN_MS = 150_000.0
# A piece that was scanned, whose shape the worker studies by itself.
SHAPE = "/jobs/102/piece/shape/"
MOST_LOOKS = 100
# Colours and a sum of what stands on the canvas, made small so that reading is quick.
PIXELS = """() => {
  const [wide, high] = [160, 120];
  const small = new OffscreenCanvas(wide, high).getContext("2d");
  small.drawImage(document.querySelector('[data-part="canvas"]'), 0, 0, wide, high);
  const { data } = small.getImageData(0, 0, wide, high);
  const colours = new Set();
  let [sum, filled] = [0, 0];
  for (let i = 0; i < data.length; i += 4) {
    if (data[i + 3] > 250) {
      filled += 1;
      colours.add((data[i] << 16) | (data[i + 1] << 8) | data[i + 2]);
    }
    for (let j = 0; j < 4; j += 1) sum = (Math.imul(sum, 31) + data[i + j]) | 0;
  }
  return { colours: colours.size, filled, sum };
}"""


@pytest.fixture
def view(signed_in: BrowserContext, embedded_studio: RunningStudio) -> Iterator[Page]:
    """The page of a studied shape, its view drawn; nothing may have been said on the console."""
    page = signed_in.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type in {"error", "warning"} else None)
    # Reading what lies under the pointer waits for the picture, of which the driver tells; that is no fault.
    page.on("pageerror", lambda problem: said.append(str(problem)))
    open_studied(page, embedded_studio)
    yield page
    page.close()
    assert [text for text in said if "GPU stall due to ReadPixels" not in text] == []


def open_studied(page: Page, studio: RunningStudio) -> None:
    """Open the page; until the shape is studied it waits, and then shows it by itself."""
    page.goto(studio.address + SHAPE)
    page.locator("[data-shape][data-drawn]").wait_for(timeout=STUDIED_WITHIN_MS)


def pixels(page: Page) -> dict[str, int]:
    """Read the canvas once what was asked for is drawn."""
    page.evaluate("() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    found: dict[str, int] = page.evaluate(PIXELS)
    return found


def changed(page: Page, before: dict[str, int]) -> dict[str, int]:
    """Read the canvas until it has changed; a busy machine draws late."""
    for _ in range(MOST_LOOKS):
        after = pixels(page)
        if after["sum"] != before["sum"]:
            return after
        page.wait_for_timeout(100)
    raise AssertionError("the canvas stayed as it was")


class TestTurningView:
    def test_draws_turns_colours_and_cuts(self, view: Page) -> None:
        seen = pixels(view)
        assert seen["colours"] > 20
        assert seen["filled"] > 800
        box = view.locator('[data-part="canvas"]').bounding_box()
        assert box is not None
        view.mouse.move(box["x"] + 200, box["y"] + 150)
        view.mouse.down()
        view.mouse.move(box["x"] + 320, box["y"] + 190, steps=3)
        view.mouse.up()
        seen = changed(view, seen)
        for layer in ("Plain", "Slope", "Depth of hollows"):
            view.get_by_role("radio", name=layer).check()
            seen = changed(view, seen)
            expect(view.locator(".shape-controls .legend:visible")).to_have_count(1)
        whole = seen
        view.get_by_role("radio", name="above a level plane").check()
        seen = changed(view, seen)
        view.get_by_label("Height").fill("40")
        assert changed(view, seen)["filled"] < whole["filled"]
        view.get_by_role("radio", name="nothing").check()
        assert pixels(view) == whole

    def test_leads_to_the_section_where_it_is_cut(self, view: Page) -> None:
        view.get_by_role("radio", name="before an upright plane").check()
        view.get_by_label("Facing").fill("180")
        view.get_by_label("From the middle").fill("-12")
        view.get_by_role("link", name="Draw this section").click()
        expect(view.get_by_role("textbox", name="Facing")).to_have_value("180")
        expect(view.get_by_role("textbox", name="Distance from the middle")).to_have_value(re.compile("^-12"))

    def test_cuts_before_a_leaning_plane_and_leads_to_its_section(self, view: Page) -> None:
        view.get_by_role("button", name="Front").click()
        whole = pixels(view)
        view.get_by_role("radio", name="before a leaning plane").check()
        seen = changed(view, whole)
        view.get_by_label("Up", exact=True).fill("60")
        assert changed(view, seen)["filled"] < whole["filled"]
        view.get_by_label("From the middle").fill("-12")
        view.get_by_role("link", name="Draw this section").click()
        expect(view.get_by_role("heading", name="Leaning, facing the front, 60° up, 12 mm behind the middle")).to_be_visible()
        expect(view.get_by_role("textbox", name="Up")).to_have_value("60")

    def test_pulls_a_shell_piece_the_way_one_looks(self, view: Page) -> None:
        view.get_by_role("application").focus()
        view.keyboard.press("ArrowLeft")
        expect(view.locator('[data-part="said"]')).to_contain_text("front right, 24° up")
        view.get_by_role("link", name="Pull a shell piece the way I look").click()
        pull = view.get_by_role("group", name="Pull 1")
        expect(pull.get_by_label("Around")).to_have_value("310")
        expect(pull.get_by_label("Up")).to_have_value("24")

    def test_reads_the_layer_under_the_pointer(self, view: Page) -> None:
        view.get_by_role("radio", name="Slope").check()
        box = view.locator('[data-part="canvas"]').bounding_box()
        assert box is not None
        view.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        expect(view.locator('[data-part="under"]')).to_have_text(re.compile(r"slope \d+°"), timeout=20_000)
        view.mouse.move(box["x"] + 3, box["y"] + 3)
        expect(view.locator('[data-part="under"]')).to_have_text("")

    def test_works_with_keys_alone(self, view: Page) -> None:
        view.get_by_role("button", name="Front").press("Enter")
        expect(view.locator('[data-part="said"]')).to_have_text("Seen from the front.")
        canvas = view.get_by_role("application")
        canvas.focus()
        start = pixels(view)
        for key, words in (("ArrowUp", "10° down"), ("ArrowDown", "front."), ("ArrowRight", "from the front.")):
            view.keyboard.press(key)
            expect(view.locator('[data-part="said"]')).to_contain_text(words)
        nearer = changed(view, start)
        view.keyboard.press("+")
        assert changed(view, nearer)["filled"] > nearer["filled"]
        view.keyboard.press("Shift+ArrowLeft")
        view.keyboard.press("0")
        expect(view.locator('[data-part="said"]')).to_contain_text("front right, 24° up")
        view.keyboard.press("Tab")
        assert view.evaluate("document.activeElement.name") == "layer"

    def test_turns_with_one_finger_and_comes_nearer_with_two(self, view: Page) -> None:
        box = view.locator('[data-part="canvas"]').bounding_box()
        assert box is not None
        (x, y), hand = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2), view.context.new_cdp_session(view)

        def touch(kind: str, *places: tuple[float, float]) -> None:
            points = [{"x": x + across, "y": y + down, "id": number} for number, (across, down) in enumerate(places)]
            hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

        before = pixels(view)
        touch("touchStart", (0, 0))
        touch("touchMove", (60, 20))
        touch("touchEnd")
        turned = changed(view, before)
        assert view.evaluate("scrollY") == 0
        touch("touchStart", (-30, 0), (30, 0))
        touch("touchMove", (-45, 0), (45, 0))
        touch("touchEnd")
        assert changed(view, turned)["filled"] > 1.5 * turned["filled"]

    def test_leaves_the_wheel_to_the_page_until_it_is_worked_in(self, view: Page) -> None:
        box = view.locator('[data-part="canvas"]').bounding_box()
        assert box is not None
        view.mouse.move(box["x"] + 100, box["y"] + 100)
        before = pixels(view)
        view.mouse.wheel(0, 120)
        view.wait_for_timeout(200)
        assert view.evaluate("scrollY") > 0
        assert pixels(view) == before
        view.get_by_role("application").focus()
        view.evaluate("scrollTo(0, 0)")
        view.mouse.wheel(0, -240)
        view.wait_for_timeout(100)
        assert view.evaluate("scrollY") == 0
        changed(view, before)

    def test_comes_back_after_the_picture_was_lost(self, view: Page) -> None:
        before = pixels(view)
        view.evaluate("""() => new Promise((done) => {
          const canvas = document.querySelector('[data-part="canvas"]');
          const lost = canvas.getContext("webgl2").getExtension("WEBGL_lose_context");
          canvas.addEventListener("webglcontextrestored", () => done());
          lost.loseContext();
          setTimeout(() => lost.restoreContext(), 50);
        })""")
        assert pixels(view) == before

    @pytest.mark.parametrize(("width", "scheme"), [(390, "dark"), (820, "light"), (1360, "dark")])
    def test_fits_and_gives_axe_nothing_to_find(self, view: Page, width: int, scheme: Any) -> None:
        view.emulate_media(color_scheme=scheme)
        view.set_viewport_size({"width": width, "height": 844})
        view.get_by_role("radio", name="before an upright plane").check()
        assert overflow(view) == 0
        assert axe_faults(view) == []
        assert pixels(view)["colours"] > 20
        canvas = view.locator('[data-part="canvas"]').bounding_box()
        assert canvas is not None
        assert canvas["height"] < 0.75 * 844

    def test_draws_nothing_while_nothing_changes(self, view: Page) -> None:
        pixels(view)
        drawn = view.locator("[data-shape]").get_attribute("data-drawn")
        view.wait_for_timeout(300)
        assert view.locator("[data-shape]").get_attribute("data-drawn") == drawn


class TestWithoutTurning:
    def test_says_so_and_shows_stills_where_nothing_can_be_drawn(self, page: Page, embedded_studio: RunningStudio) -> None:
        page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
        sign_in(page, embedded_studio)
        page.goto(embedded_studio.address + SHAPE)
        expect(page.locator('[data-part="trouble"]')).to_contain_text("cannot turn")
        expect(page.get_by_role("form", name="The turning view")).to_be_hidden()
        still = page.locator(".stills img").first
        still.scroll_into_view_if_needed()
        expect(still).to_have_js_property("complete", True)
        assert still.evaluate("picture => picture.naturalWidth") == 640
