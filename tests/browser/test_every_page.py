"""Every page as the owner finds it: nothing for axe to find, nothing cut, nothing blocked, on phone, tablet and desktop."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from urllib.parse import urljoin, urlsplit

import pytest
from axe_playwright_python.base import AXE_FILE_PATH
from django.urls import Resolver404, resolve
from playwright.sync_api import Page

from tests.browser.running import RunningStudio, sign_in

pytestmark = pytest.mark.browser

PHONE, TABLET, DESKTOP = 390, 820, 1360
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# Files are no pages.
FILES = {"studio:documents_download", "studio:logo_show"}
ENOUGH_OF_A_KIND = 2


@dataclass
class Crawl:
    """Pages found by following links, a few of each kind."""

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
        # The first job has a plan and the last has nothing: both matter, so a few of each kind are visited.
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


def faults_of(page: Page, path: str) -> list[str]:
    """Look at one page in three widths, light and dark."""
    faults = []
    for width, scheme, with_axe in ((DESKTOP, "light", True), (TABLET, "light", False), (PHONE, "dark", True)):
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        if overflow(page) > 0:
            faults.append(f"{path} at {width} px is {overflow(page)} px too wide")
        if with_axe:
            faults += [f"{path} at {width} px, {scheme}: {fault}" for fault in axe_faults(page)]
    return faults


class TestEveryPage:
    def test_has_nothing_for_axe_nothing_cut_and_nothing_blocked(self, page: Page, embedded_studio: RunningStudio):
        sign_in(page, embedded_studio)
        refused: list[str] = []
        page.on("console", lambda said: refused.append(f"{page.url}: {said.text}") if said.type == "error" else None)
        crawl = Crawl(embedded_studio.address, ["/jobs/102/", "/jobs/"])
        crawl.seen.update(crawl.waiting)
        faults = []
        for path in crawl.pages():
            answer = page.goto(embedded_studio.address + path)
            assert answer is not None
            if answer.status != 200:
                faults.append(f"{path} answered {answer.status}")
                continue
            faults += faults_of(page, path)
            for href in page.eval_on_selector_all("a[href]", "links => links.map(link => link.getAttribute('href'))"):
                crawl.offer(href, path)
        assert not faults + refused, "\n".join(faults + refused)
        assert len(crawl.kinds) >= 35, f"only these pages were found: {sorted(crawl.kinds)}"
