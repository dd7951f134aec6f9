"""What people type is text everywhere: on pages, in parts of pages and in prints; it is never markup and never a template."""

import io
import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from pypdf import PdfReader

from costing.models import Quote
from jobs.documents import HANDOUT_KIND, render_handout
from jobs.models import Job
from materials.models import ExpectedDelivery, Lot, Material, Pack, ScrapBin
from studio.access import Role
from studio.documents import press as the_press
from studio.documents.press import RefusedAddressError, asset
from studio.documents.rendering import render_document
from studio.models import Document, Person, Skill, Station, StudioProfile
from tests.studio.demo_rows import demo_addresses, visit
from tests.studio.paper_forms import Element, Page, press

pytestmark = pytest.mark.django_db
PAYLOADS = [
    "<script>alert(1)</script>", '"><img src=x onerror=alert(2)>', "'><svg onload=alert(3)>", "</title><script>alert(4)</script>",
    "</textarea><script>alert(5)</script>", "<iframe src=//evil.example></iframe>", '" onfocus=alert(6) autofocus="',
    "' onmouseover='alert(7)", "<a href=javascript:alert(8)>x</a>", "<base href=//evil.example/>",
    "<meta http-equiv=refresh content=0>", "<link rel=stylesheet href=//evil.example/a.css>", "<style>body{display:none}</style>",
    "<form action=//evil.example><button>x", "</option></select><img src=y>", "</svg><script>alert(9)</script>",
    "]]><script>alert(10)</script>", "<!--<script>alert(11)</script>", "--><img src=z>", "&lt;script&gt;alert(12)",
    "&#60;script&#62;alert(13)", "\\u003cscript\\u003e", "{{7*7}}{{ request.user.email }}",
    "{% debug %}{% include 'base.html' %}", "${7*7}#{7*7}<%= 7*7 %>", "\u202egnp.exe\u202c", "a\u2028b\u2029c",
    "x' OR '1'='1", "{0.__class__} %s %(name)s %n",
    "<img src=x hx-get=//evil.example hx-trigger=load>",
]  # fmt: skip
# Files of the program, the logo, and the stills of a piece, which the studio draws itself.
KNOWN_SRC = re.compile(
    r"^(?:/static/|/studio/logo/|/jobs/\d+/piece/shape/stills/[a-z-]+\.png$|/jobs/\d+/piece/photographs/\d+\.jpg$|/q/[\w-]+/pictures/\d+/$)"
)
OWN = re.compile(r"^(?:/|#|\?|$|mailto:|tel:)(?!/)")
SCRIPT_HOLDERS = {"hx-on", "onerror", "onload", "style", "srcdoc", "autofocus"}


def live(page: Page) -> Iterator[str]:
    """Name what on a page could run or fetch and is not the studio's own."""
    for element in page.elements:
        for name, value in element.attributes.items():
            if name.startswith(("on", "hx-on")) or name in SCRIPT_HOLDERS:
                yield f"<{element.tag} {name}={value!r}>"
            if name in {"href", "src", "action", "formaction", "hx-post", "hx-get", "data"} and not OWN.match(value):
                yield f"<{element.tag} {name}={value!r}>"
        if element.tag in {"iframe", "object", "embed", "base", "style", "applet"}:
            yield f"<{element.tag}>"
        # A block of data does not run.
        if element.tag == "script" and element.text.strip() and element.attributes.get("type") != "application/json":
            yield f"<script>{element.text}"
        if element.tag == "meta" and element.attributes.get("http-equiv"):
            yield "<meta http-equiv>"
        if element.tag == "img" and not KNOWN_SRC.match(element.attributes.get("src", "")):
            yield f"<img {element.attributes}>"


def long(turn: int) -> str:
    return "\n".join(PAYLOADS[turn * 10 : turn * 10 + 10])


def type_everywhere(browser: Client, turn: int) -> dict[str, str]:
    """Put another payload into each text field, through the forms; return what stands where."""
    heron = Job.objects.select_related("piece", "client").get(title__startswith="Heron")
    at, pk = f"/jobs/{heron.number}/", heron.client_id
    lot, kept = Lot.objects.order_by("pk").first(), ScrapBin.objects.order_by("pk").first()
    material, pack = Material.objects.order_by("pk").first(), Pack.objects.order_by("pk").first()
    person, station = Person.objects.order_by("pk").first(), Station.objects.order_by("pk").first()
    forms = [
        (f"/jobs/clients/{pk}/change/", "Keep these changes", ["name", "contact", "phone"], ["address", "note"]),
        (f"{at}change/", "Keep these changes", ["title", "piece_name"], ["note"]),
        (f"{at}piece/change/", "Keep these changes", ["name"], ["note"]),
        (f"/stock/materials/{material.pk}/change/", "Save", ["name", "family"], ["note"]),
        (f"/stock/packs/{pack.pk}/", "Save", ["label", "supplier"], []),
        (f"/stock/lots/{lot.pk}/change/", "Save", ["supplier", "supplier_lot", "kit_code", "note"], []),
        (f"/stock/lots/{lot.pk}/", "Write down its place", ["move-place"], []),
        (f"/stock/scrap/{kept.pk}/change/", "Save", ["label", "family", "colour", "origin", "place"], []),
        (f"/studio/people/{person.pk}/", "Save", ["name", "note"], []),
        (f"/studio/stations/{station.pk}/", "Save", ["name", "note"], []),
        (f"/studio/skills/{Skill.objects.earliest('pk').pk}/", "Save", ["name", "note"], []),
        (f"/stock/expected/{ExpectedDelivery.objects.earliest('pk').pk}/", "Keep this", ["supplier", "note"], []),
        ("/account/", "Save the name", ["name"], []),
        ("/studio/profile/", "Save the profile", ["name", "phone", "registration", "tax_name"], ["address", "quote_terms"]),
        (f"{at}price/", "Keep these terms", ["extra_label"], []),
        (f"{at}quote/", "Freeze and number quote", [], ["scope", "exclusions", "ownership", "terms"]),
    ]
    typed: dict[str, str] = {}
    number = turn * 10
    for address, button, short_fields, long_fields in forms:
        page = browser.get(address)
        html = Page(page.content.decode())
        form, most = html.form(saying=button), limits(html)
        changes = dict.fromkeys(long_fields, long(turn))
        for name in short_fields:
            wheel = [*PAYLOADS[number % len(PAYLOADS) :], *PAYLOADS]
            changes[name] = next(one for one in wheel if len(one) <= most.get(name, 120))
            number += 1
        if "extra_label" in changes:
            changes["extra_cost"] = "10"
        answer = press(browser, address, button, changes, page=page)
        assert answer.status_code == 302, (address, [element.text for element in errors(answer)], sorted(form.names))
        typed |= {f"{address} {name}": value for name, value in changes.items()}
    return typed


def limits(page: Page) -> dict[str, int]:
    found = [element.attributes for element in page.elements]
    return {one["name"]: int(one["maxlength"]) for one in found if "name" in one and "maxlength" in one}


def errors(answer: Any) -> list[Element]:
    return [element for element in Page(answer.content.decode()).elements if element.attributes.get("class") == "error"]


def flat(text: str) -> str:
    return re.sub(r"\s+", "", text)


class TestTypedText:
    @pytest.mark.parametrize("turn", range(3))
    def test_is_text_on_every_page(self, demo: dict[Role, Client], turn: int) -> None:
        browser = demo[Role.OWNER]
        type_everywhere(browser, turn)
        found: dict[str, list[str]] = {}
        read = ""
        for _name, address in demo_addresses():
            response = visit(browser, address)
            assert response.status_code < 500, address
            if response.get("Content-Type", "").startswith("text/html"):
                page = Page(response.body.decode())
                found[address] = list(live(page))
                read += page.text + " ".join(" ".join(one.attributes.values()) for one in page.elements)
        assert {address: what for address, what in found.items() if what} == {}
        assert len(found) > 60
        for payload in PAYLOADS[turn * 10 : turn * 10 + 10]:
            assert flat(payload) in flat(read), payload

    def test_would_be_noticed_if_it_came_alive(self) -> None:
        noticed = [one for one in PAYLOADS if list(live(Page(f'<p title="{one}">{one}</p>')))]
        assert len(noticed) >= 18
        assert list(live(Page('<a href="/jobs/">Jobs</a><img src="/static/a.svg"><script src="/static/x.js"></script>'))) == []


class TestPrints:
    def test_hold_it_as_text(self, demo: dict[Role, Client]) -> None:
        type_everywhere(demo[Role.OWNER], 0)
        quote = Quote.objects.order_by("-pk").first()
        job = quote.job
        Job.objects.filter(pk=job.pk).update(title=f"{job.title} \x01\x1b\x85\u2028\ufffe")
        document = Document.objects.get(kind="quote", subject_id=quote.pk)
        assert render_document(document.pk) == "ready", Document.objects.get(pk=document.pk).reason
        body = visit(demo[Role.OWNER], f"/documents/{document.public_id}/download/").body
        text = flat(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(body)).pages))
        for payload in PAYLOADS[:10]:
            assert flat(payload) in text, payload
        handout = render_handout(Document(kind=HANDOUT_KIND, subject_id=quote.job_id, title="Cure schedule"))
        text = flat(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(handout.content)).pages))
        assert flat(job.title) in text
        assert not any(sign in text for sign in "\x01\x1b\x85\u2028\ufffe")

    def test_fetch_nothing_even_where_markup_were_let_through(self, monkeypatch: Any) -> None:
        asked: list[str] = []

        def listening(url: str, job: Any) -> Any:
            asked.append(url)
            return asset(url, job)

        monkeypatch.setattr(the_press, "asset", listening)
        monkeypatch.setattr("socket.create_connection", lambda *args, **kwargs: pytest.fail("a print opened a connection"))
        hostile = [
            "http://127.0.0.1:9/a.png", "https://evil.example/a.png", "file:///etc/passwd", "//evil.example/a.png", "ftp://e/a.png",
            "data:image/svg+xml,<svg/>", "/etc/passwd", "../../manage.py", "studio://static/../settings/base.py",
            "studio://static/%2e%2e/%2e%2e/manage.py", "studio://image/other", "jar:file:///a", "blob:x", "javascript:1",
        ]  # fmt: skip
        markup = "".join(
            f'<img src="{url}"><link rel=stylesheet href="{url}"><p style="background:url({url})">x</p>'
            f'<object data="{url}"></object><a rel=attachment href="{url}">file</a><style>@import url({url})</style>'
            for url in hostile
        )
        job = the_press.PressJob(
            html=f"<html lang=en><title>x</title><body>{markup}</body></html>", paper="A4", pdf_variant="pdf/ua-1",
            identifier=b"0" * 16, static_folders=("/nowhere",), stylesheets=(),
        )  # fmt: skip
        pdf = PdfReader(io.BytesIO(the_press.press(job)))
        assert list(pdf.attachments) == []
        assert any("evil.example" in url for url in asked)
        for url in {url for url in asked if not url.startswith("studio://font/")}:
            with pytest.raises(RefusedAddressError):
                asset(url, job)


class TestProfile:
    def test_never_reaches_a_header(self, demo: dict[Role, Client]) -> None:
        browser = demo[Role.OWNER]
        heron = Job.objects.get(title__startswith="Heron")
        for crlf in ("a\r\nSet-Cookie: x=1", "a\nLocation: //evil.example", "\r\n\r\n<script>", 'x"; filename="y.exe'):
            press(browser, f"/jobs/{heron.number}/change/", "Keep these changes", {"title": crlf, "piece_name": "x"})
            for _name, address in [*demo_addresses()][::7]:
                response = visit(browser, address)
                assert response.status_code < 500
                assert "x=1" not in str(response.cookies)
                assert "evil" not in str(response.headers)
                assert "y.exe" not in str(response.headers)
        assert StudioProfile.objects.count() == 1
