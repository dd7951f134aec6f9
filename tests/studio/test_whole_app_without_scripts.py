"""The main job, from client to quote, with forms alone; and the same sent as a part of a page."""

import re
from typing import Any

import pytest
from django.test import Client

from costing.models import PriceTerms, Quote
from jobs.models import Job, Plan
from materials.models import Material, ScrapBin
from studio.access import Role
from studio.models import Document
from tests.studio.paper_forms import Page, press

pytestmark = pytest.mark.django_db
READINGS = {
    "girths-0-girth": "62,8 cm", "girths-0-along": "150", "girths-1-girth": "70 cm", "girths-1-along": "12 cm",
    "girths-2-girth": "400", "girths-3-girth": "24 3/4 in",
}  # fmt: skip
HTMX = {"HX-Request": "true"}
RESTORED = {**HTMX, "HX-History-Restore-Request": "true"}


def open_whole(browser: Client, address: str) -> str:
    """Open a page and return it, seeing that it is whole and good."""
    page = browser.get(address)
    assert page.status_code == 200, address
    html = page.content.decode()
    assert "</html>" in html
    return html


def with_materials(changes: dict[str, str]) -> dict[str, str]:
    """Put a material's number where its starter key stands."""
    numbers = dict(Material.objects.values_list("starter_key", "pk"))
    return {name: str(numbers.get(value, value)) for name, value in changes.items()}


class TestMainJob:
    def test_is_done_with_forms_alone(self, demo: dict[Role, Client]) -> None:
        browser = demo[Role.OWNER]
        answer = press(browser, "/jobs/clients/add/", "Add the client", {"name": "Orangery of Lower Slatting"})
        assert answer.status_code == 302
        client_page = answer["Location"]
        pk = client_page.rstrip("/").rsplit("/", 1)[1]
        answer = press(
            browser, f"/jobs/add/?client={pk}", "Add the job", {"title": "Urn for the terrace", "piece_name": "Garden urn"}
        )
        assert answer.status_code == 302
        job = Job.objects.get(title="Urn for the terrace")
        assert job.client.name == "Orangery of Lower Slatting"
        at = f"/jobs/{job.number}/"
        assert "Urn for the terrace" in open_whole(browser, client_page)

        self.measure(browser, at)
        job.piece.refresh_from_db()
        assert job.piece.measured_by == "tape"
        # exact: NIST SP 811, 1 in = 25.4 mm; 24 3/4 in = 628.65 mm.
        assert [float(row.girth_mm) for row in job.piece.girths.order_by("position")] == pytest.approx([628, 700, 628.65, 400])

        for stage, changes in (
            ("mold", {"rubber": "tin-25a", "thickener": "thixotropic-liquid", "wall_mm": "9", "surface": "gypsum"}),
            ("coats", {"temperature_c": "21"}),
            ("shell", {"shell_matrix": "laminating-polyester", "shell_reinforcement": "chopped-strand-mat-450"}),
            ("castings", {"resin": "polyurethane-fast", "castings": "5"}),
        ):
            answer = press(browser, f"{at}{stage}/", "Keep this plan", with_materials(changes))
            assert answer.status_code == 302, (stage, Page(answer.content.decode()).text)
            assert "The plan is kept." in open_whole(browser, answer["Location"])
        assert Plan.objects.get(job=job).castings == 5

        answer = press(browser, f"{at}price/", "Show the price with these", {"labour_rate_per_h": "41"})
        assert answer.status_code == 200
        assert "Nothing is kept yet" in answer.content.decode()
        assert not PriceTerms.objects.filter(job=job).exists()
        answer = press(browser, f"{at}price/", "Keep these terms", {}, page=answer)
        assert answer.status_code == 302
        assert PriceTerms.objects.get(job=job).labour_rate_per_h == 41

        answer = press(browser, f"{at}quote/", "Freeze and number quote", {"scope": "We lay a mold on your urn."})
        assert answer.status_code == 302, Page(answer.content.decode()).text
        page = open_whole(browser, answer["Location"])
        quote = Quote.objects.get(job=job)
        assert f"Quote {quote.number}" in page
        assert f"{quote.gross_total:,.2f}" in page
        assert Document.objects.filter(kind="quote", subject_id=quote.pk).count() == 1

        answer = press(browser, f"{at}days/", "Print the cure-schedule handout", {})
        assert answer.status_code == 302
        assert Document.objects.filter(subject_id=job.pk, title__startswith="Cure schedule").exists()

    def measure(self, browser: Client, at: str) -> None:
        """Type readings, add a row, move it up, see the figures, and keep them."""
        address = f"{at}piece/tape/"
        page = browser.get(address)
        first = {name: value for name, value in READINGS.items() if not name.startswith("girths-3")}
        page = press(browser, address, "Add a girth", first, page=page)
        assert "</html>" in page.content.decode()
        assert not Job.objects.get(number=int(at.split("/")[2])).piece.girths.exists()
        page = press(browser, address, "Add a girth", {"girths-3-girth": READINGS["girths-3-girth"]}, page=page)
        form = Page(page.content.decode()).form(having="girths-3-girth")
        assert form.values["girths-0-girth"] == "62,8 cm"
        moved = next(found for found in form.buttons if found.attributes.get("value") == "up-girths-3")
        page = browser.post(address, {**form.values.dict(), moved.attributes["name"]: "up-girths-3"})
        form = Page(page.content.decode()).form(having="girths-3-girth")
        assert form.values["girths-2-girth"] == "24 3/4 in"
        assert form.values["girths-3-girth"] == "400"
        page = browser.post(address, {**form.values.dict(), "action": "remove-girths-4"})
        page = press(browser, address, "Show the figures", {"girths-2-along": "80"}, page=page)
        assert "What these readings give" in page.content.decode()
        answer = press(browser, address, "Keep these readings", {}, page=page)
        assert answer.status_code == 302, Page(answer.content.decode()).text
        assert "The readings are kept" in open_whole(browser, answer["Location"])


def parts(number: int) -> list[tuple[str, str, dict[str, str]]]:
    """Return what pages send while somebody types: page, address it goes to, and what is changed."""
    at = f"/jobs/{number}/"
    return [
        (f"{at}piece/tape/", f"{at}piece/tape/", {"girths-0-girth": "800", "action": "show"}),
        (f"{at}piece/tape/", f"{at}piece/tape/", {"action": "add-girths"}),
        (f"{at}piece/tape/", f"{at}piece/tape/", {"action": "add-solids"}),
        *((f"{at}{stage}/", f"{at}{stage}/", {"action": "show"}) for stage in ("mold", "coats", "shell", "castings")),
        (f"{at}price/", f"{at}price/try/", {"margin_percent": "33"}),
        (f"{at}quote/", f"{at}quote/try/", {"castings": "3"}),
    ]


class TestParts:
    def test_of_pages_come_alone_and_say_so_to_caches(self, demo: dict[Role, Client]) -> None:
        browser = demo[Role.OWNER]
        number = Job.objects.get(title__startswith="Heron").number
        for page, address, changes in parts(number):
            first = browser.get(page)
            form = Page(first.content.decode()).form(having="baseline" if "quote" not in page else "scope")
            typed = {**form.values.dict(), **changes}
            answer = browser.post(address, typed, headers=HTMX)
            assert answer.status_code == 200, (address, changes)
            html = answer.content.decode()
            assert "<html" not in html, address
            assert "<main" not in html, address
            assert re.match(r"\s*<\w+ [^>]*id=", html), (address, html[:80])
            # The part takes the place of the one with the same name on the page.
            assert Page(html).elements[0].attributes["id"] in {
                element.attributes.get("id") for element in Page(first.content.decode()).elements
            }
            assert "HX-Request" in answer["Vary"], address
            whole = browser.post(address, typed)
            assert "</html>" in whole.content.decode(), address
            assert "HX-Request" in whole["Vary"], address

    @pytest.mark.parametrize("address", ["/jobs/", "/jobs/clients/", "/quotes/", "/stock/", "/stock/materials/"])
    def test_of_lists_come_alone_and_whole_when_restored_from_history(self, demo: dict[Role, Client], address: str) -> None:
        part, whole = (demo[Role.OWNER].get(address, headers=headers) for headers in (HTMX, RESTORED))
        assert "</html>" in whole.content.decode()
        for answer in (part, whole):
            assert "HX-Request" in answer["Vary"]
            assert answer.status_code == 200

    def test_of_every_page_are_whole_when_restored_from_history(self, demo: dict[Role, Client]) -> None:
        number = Job.objects.get(title__startswith="Heron").number
        stages = ("", "piece/", "piece/tape/", "mold/", "coats/", "shell/", "castings/", "tasks/", "days/", "price/", "quote/")
        for address in (*(f"/jobs/{number}/{stage}" for stage in stages), "/days/", "/quotes/1001/", "/studio/rates/"):
            answer: Any = demo[Role.OWNER].get(address, headers=RESTORED)
            assert "</html>" in answer.content.decode(), address
            assert "HX-Request" in answer["Vary"], address


class TestShelf:
    def test_is_kept_with_forms_alone(self, demo: dict[Role, Client]) -> None:
        browser, kept = demo[Role.MAKER], ScrapBin.objects.get(label="P1")
        before = kept.on_hand_g
        answer = press(browser, f"/stock/scrap/{kept.pk}/", "Put it in", {"fill-mass_g": "1 kg 250 g", "fill-why": "cuttings"})
        assert answer.status_code == 302
        kept.refresh_from_db()
        assert kept.on_hand_g == before + 1250
