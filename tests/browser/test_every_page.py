"""Every page as the owner finds it: nothing for axe to find, nothing cut, nothing blocked, on phone, tablet and desktop."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal
from urllib.parse import urljoin, urlsplit

import pytest
from axe_playwright_python.base import AXE_FILE_PATH
from django.urls import Resolver404, resolve
from playwright.sync_api import Page

from tests.browser.running import RunningStudio, sign_in, wait_for_the_study

pytestmark = pytest.mark.browser

PHONE, TABLET, DESKTOP = 390, 820, 1360
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# Files are no pages.
FILES = {
    "studio:documents_download", "studio:logo_show", "jobs:buying_csv", "materials:files_csv", "materials:files_template",
    "costing:quote_ubl", "jobs:photo_show",
}  # fmt: skip
# One of each kind that links lead to, and these, which show the same kinds empty or in another state.
ENOUGH_OF_A_KIND = 1
# A scanned piece, whose shape the worker studies by itself.
STUDIED = 102
# A count that is not posted yet, whose things can be weighed.
COUNTING = "/stock/counts/2/"
BESIDES = ["/jobs/101/", "/jobs/104/", "/jobs/104/piece/", "/jobs/104/mold/", "/jobs/103/price/", "/jobs/104/days/", COUNTING]


@dataclass
class Crawl:
    """Pages found by following links, one of each kind."""

    base: str
    waiting: list[str]
    seen: set[str] = field(default_factory=set)
    kinds: dict[str, int] = field(default_factory=dict)

    def offer(self, href: str, page_path: str) -> None:
        path = urlsplit(urljoin(self.base + page_path, href)).path
        if urlsplit(urljoin(self.base + page_path, href)).netloc != urlsplit(self.base).netloc or path in self.seen:
            return
        try:
            kind = resolve(path).view_name
        except Resolver404:
            return
        if kind in FILES or self.kinds.get(kind, 0) >= ENOUGH_OF_A_KIND:
            return
        self.kinds[kind] = self.kinds.get(kind, 0) + 1
        self.seen.add(path)
        self.waiting.append(path)

    def pages(self) -> Iterator[str]:
        while self.waiting:
            yield self.waiting.pop(0)


def axe_faults(page: Page) -> list[str]:
    page.evaluate(AXE_FILE_PATH.read_text())
    found = page.evaluate(
        "rules => axe.run(document, {runOnly: {type: 'tag', values: rules}, resultTypes: ['violations']})", RULES
    )
    return [
        f"{fault['id']}: {fault['help']} at {', '.join(node['target'][0] for node in fault['nodes'][:3])}"
        for fault in found["violations"]
    ]


def overflow(page: Page) -> int:
    return int(page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


def faults_of(page: Page, path: str, width: int) -> list[str]:
    """Look at the page that is open, and at its width on a tablet as well."""
    faults = [f"{path} at {width} px: {fault}" for fault in axe_faults(page)]
    for across in (width, TABLET):
        page.set_viewport_size({"width": across, "height": 900})
        if overflow(page) > 0:
            faults.append(f"{path} at {across} px is {overflow(page)} px too wide")
    page.set_viewport_size({"width": width, "height": 900})
    return faults


class TestEveryPage:
    @pytest.mark.parametrize(("width", "scheme"), [(DESKTOP, "light"), (PHONE, "dark")])
    def test_has_nothing_for_axe_nothing_cut_and_nothing_blocked(
        self, page: Page, embedded_studio: RunningStudio, width: int, scheme: Literal["light", "dark"]
    ):
        sign_in(page, embedded_studio)
        wait_for_the_study(page, embedded_studio, STUDIED)
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        refused: list[str] = []
        page.on("console", lambda said: refused.append(f"{page.url}: {said.text}") if said.type == "error" else None)
        crawl = Crawl(embedded_studio.address, ["/jobs/102/", "/jobs/", *BESIDES])
        crawl.seen.update(crawl.waiting)
        faults = []
        for path in crawl.pages():
            answer = page.goto(embedded_studio.address + path)
            assert answer is not None
            if answer.status != 200:
                faults.append(f"{path} answered {answer.status}")
                continue
            faults += faults_of(page, path, width)
            for href in page.eval_on_selector_all("a[href]", "links => links.map(link => link.getAttribute('href'))"):
                crawl.offer(href, path)
        assert not faults + refused, "\n".join(faults + refused)
        assert {"jobs:shape_show", "jobs:sections_show"} <= set(crawl.kinds)
        assert len(crawl.kinds) >= 35, f"only these pages were found: {sorted(crawl.kinds)}"
