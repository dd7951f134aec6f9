import copy
from pathlib import Path
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory
from django_htmx.middleware import HtmxMiddleware

from studio.web.htmx import render_page, wants_partial

FRESH = {"HX-Request": "true"}
RESTORED = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
BOOSTED = {"HX-Request": "true", "HX-Boosted": "true"}


def request(headers: dict[str, str] | None = None) -> HttpRequest:
    made = RequestFactory().get("/", headers=headers or {})
    HtmxMiddleware(lambda _: HttpResponse())(made)
    return made


class TestWantsPartial:
    @pytest.mark.parametrize(
        ("headers", "wanted"),
        [({}, False), (FRESH, True), (RESTORED, False), (BOOSTED, False)],
        ids=["a plain request", "a part", "history restored", "a boosted link"],
    )
    def test_decides_by_the_request(self, headers: dict[str, str], wanted: bool) -> None:
        assert wants_partial(request(headers)) is wanted

    def test_is_false_without_the_middleware(self) -> None:
        assert wants_partial(RequestFactory().get("/")) is False


class TestRenderPage:
    @pytest.fixture(autouse=True)
    def _template(self, settings: Any, tmp_path: Path) -> None:
        (tmp_path / "page.html").write_text(
            "{% load partials %}whole {% partialdef part inline %}part {{ word }}{% endpartialdef %}"
        )
        changed = copy.deepcopy(settings.TEMPLATES)
        changed[0]["DIRS"] = [tmp_path]
        changed[0]["OPTIONS"]["context_processors"] = []
        settings.TEMPLATES = changed

    def test_renders_the_whole_page(self) -> None:
        response = render_page(request(), "page.html", {"word": "one"}, partial="part")
        assert response.content == b"whole part one"

    def test_renders_the_part_alone_when_asked(self) -> None:
        response = render_page(request(FRESH), "page.html", {"word": "one"}, partial="part", status=422)
        assert response.content == b"part one"
        assert response.status_code == 422

    def test_renders_the_whole_page_where_there_is_no_part(self) -> None:
        assert render_page(request(FRESH), "page.html", {"word": "one"}).content == b"whole part one"

    def test_tells_caches_of_the_difference(self) -> None:
        assert "HX-Request" in render_page(request(), "page.html")["Vary"]
