"""A studio in US customary units, and one that writes decimal commas: what is typed, shown, printed and sent back."""

import io
import re
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from pypdf import PdfReader

from costing.models import PriceTerms, Quote
from costing.services.quotes import freeze_quote
from jobs.documents import HANDOUT_KIND
from jobs.models import GirthReading, Job, Piece, Plan, SolidReading
from materials.models import Lot, Material, MaterialProperty, Pack, ScrapBin
from studio.access import Role
from studio.documents.outbox import request_document
from studio.documents.rendering import render_document
from studio.models import Account, Document, Person, StudioProfile
from tests.studio.demo_rows import demo_addresses, visit
from tests.studio.paper_forms import Page, press

pytestmark = pytest.mark.django_db
# Density stays in kg/m³: the sheets of US makers state it in metric units as well.
METRIC = re.compile(r"\d[\d.,]*\s?(?:(?:mm|cm|m)[²³]?|kg(?:/m²)?|g(?:/m²)?|°C|L|mL)(?![\w²³/])")
IN_METRES = re.compile(r"\bper (?:m²|kilogram|kg)(?!\w)")
# Words of the demo's own rows, and sentences that give both.
OWN_WORDS = re.compile(
    r"450 g/m²|(?:kit|bag|drum|roll|sack|bale|bottle|jar|can) of [\d.]+ k?g|“12[.,]5 cm”|which in millimetres is \d+ mm"
    r"|\d[\d ×.]* ?mm \([^)]*in[^)]*\)|\d+ °C \(\d+ °F\)|up to 60 kg|30 cm inside|2, 4, 6 mm steps"
    # A speed-up is stated per 10 °C everywhere, and a published source is named in its own words.
    r"|Speed-up per 10 °C|when 10 °C warmer|(?:published|from memory)[^;]*;?"
)


def in_us_units() -> None:
    StudioProfile.objects.update(units="us", locale="en_US", currency="USD", paper="Letter")


def heron() -> Job:
    return Job.objects.select_related("piece", "plan").get(title__startswith="Heron")


def words_of(html: str) -> str:
    """Return what can be read on a page, drawings and their tables with it."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html)).replace("&#x27;", "'")


def pdf_of(document: Document, browser: Client) -> PdfReader:
    assert render_document(document.pk) == "ready", Document.objects.get(pk=document.pk).reason
    return PdfReader(io.BytesIO(visit(browser, f"/documents/{document.public_id}/download/").body))


class TestUsCustomary:
    def test_is_shown_on_every_page(self, demo: dict[Role, Client]) -> None:
        in_us_units()
        found: dict[str, set[str]] = {}
        us: set[str] = set()
        for _name, address in demo_addresses():
            response = visit(demo[Role.OWNER], address)
            # What is frozen in a quote stays as it was frozen.
            if (
                address.startswith(("/quotes/", "/q/"))
                or response.status_code != 200
                or not response.get("Content-Type", "").startswith("text/html")
            ):
                continue
            text = OWN_WORDS.sub("", words_of(response.body.decode()))
            us |= set(re.findall(r"\d (in|ft|lb|oz|°F|ft²|US gal|US qt)(?!\w)", text))
            metric = {match.group() for match in METRIC.finditer(text)} | {match.group() for match in IN_METRES.finditer(text)}
            if metric:
                found[address] = metric
            # A quote that is frozen keeps its own money.
            assert "quote" in address or "price" in address or "€" not in text, address
        assert found == {}
        assert us >= {"in", "ft", "lb", "oz", "°F", "ft²"}

    def test_is_read_from_what_people_type(self, demo: dict[Role, Client]) -> None:
        in_us_units()
        job, browser = heron(), demo[Role.OWNER]
        at = f"/jobs/{job.number}/"
        page = press(
            browser, f"{at}piece/tape/", "Show the figures", {"girths-0-girth": "24 3/4", "girths-1-girth": "2 ft 3 1/2"}
        )
        press(browser, f"{at}piece/tape/", "Keep these readings", {}, page=page)
        girths = [float(row.girth_mm) for row in GirthReading.objects.filter(piece=job.piece)[:2]]
        # exact: NIST SP 811, 1 in = 25.4 mm.
        assert girths == pytest.approx([24.75 * 25.4, 27.5 * 25.4], abs=1e-6)
        press(browser, f"{at}mold/", "Keep this plan", {"wall_mm": "3/8", "fill_volume_l": "2 1/2"})
        press(browser, f"{at}coats/", "Keep this plan", {"temperature_c": "70"})
        press(browser, f"{at}piece/change/", "Keep these changes", {"mass_g": "2 lb 3 oz"})
        plan, piece = Plan.objects.get(job=job), Piece.objects.get(job=job)
        # exact: NIST SP 811, US quart = 0.946352946 L, lb = 453.59237 g; the columns hold 2, 3, 1 and 3 places.
        assert float(plan.wall_mm) == pytest.approx(9.525, abs=0.006)
        assert float(plan.fill_volume_l) == pytest.approx(2.5 * 0.946352946, abs=0.0006)
        assert float(plan.temperature_c) == pytest.approx((70 - 32) / 1.8, abs=0.06)
        assert float(piece.mass_g) == pytest.approx(453.59237 * (2 + 3 / 16), abs=0.001)

    def test_fits_letter_paper_in_both_prints(self, demo: dict[Role, Client]) -> None:
        in_us_units()
        job, owner = heron(), Account.objects.get(role=Role.OWNER)
        # A later version says what the one before, in euros and millimetres, had said.
        Quote.objects.filter(job=job).delete()
        quote = freeze_quote(job=job, by=owner)
        documents = [
            Document.objects.get(kind="quote", subject_id=quote.pk),
            request_document(kind=HANDOUT_KIND, subject_id=job.pk, title="Cure schedule", by=owner),
        ]
        for document in documents:
            pdf = pdf_of(document, demo[Role.OWNER])
            for page in pdf.pages:
                # Letter is 8.5 by 11 in, 72 points to the inch.
                assert (round(page.mediabox.width), round(page.mediabox.height)) == (612, 792)
            text = OWN_WORDS.sub("", re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pdf.pages)))
            assert METRIC.findall(text) == [], document.kind
            assert "€" not in text
            if document.kind == "quote":
                assert f"${quote.gross_total:,.2f}" in text
            else:
                assert "°F" in text
                assert re.search(r"\d (lb|oz)\b", text)


def stored() -> dict[str, Any]:
    """Return every number and word that the forms below show, as it is stored."""
    left_out = {"revision", "updated_at", "changed_at", "changed_by_id", "previous", "id", "pk"}
    found: dict[str, Any] = {}
    for model in (
        Plan,
        Piece,
        GirthReading,
        SolidReading,
        Material,
        MaterialProperty,
        Lot,
        Pack,
        ScrapBin,
        Person,
        StudioProfile,
    ):
        names = [field.attname for field in model._meta.concrete_fields if field.attname not in left_out]
        order = ("piece_id", "position") if "position" in names else ("pk",)
        for number, row in enumerate(model._base_manager.order_by(*order).values(*names)):
            found[f"{model.__name__} {number}"] = row
    return found


def send_back_everything(browser: Client) -> int:
    """Open every form of the app and send it back as it stands; return how many were taken."""
    at = f"/jobs/{heron().number}/"
    forms = [(f"{at}{stage}/", "Keep this plan") for stage in ("mold", "coats", "shell", "castings")]
    forms += [(f"{at}piece/tape/", "Keep these readings"), (f"{at}piece/change/", "Keep these changes")]
    forms += [
        (f"{at}price/", "Keep these terms"),
        (f"{at}tasks/", "Keep these minutes"),
        ("/studio/profile/", "Save the profile"),
    ]
    forms += [(f"/stock/materials/{row.pk}/change/", "Save") for row in Material.objects.order_by("pk")]
    forms += [(f"/stock/packs/{row.pk}/", "Save") for row in Pack.objects.order_by("pk")[:6]]
    forms += [(f"/stock/lots/{row.pk}/change/", "Save") for row in Lot.objects.order_by("pk")[:6]]
    forms += [(f"/stock/scrap/{row.pk}/change/", "Save") for row in ScrapBin.objects.all()]
    forms += [(f"/studio/people/{row.pk}/", "Save") for row in Person.objects.all()]
    for address, button in forms:
        answer = press(browser, address, button)
        faults = [one.text for one in Page(answer.content.decode()).elements if one.attributes.get("class") == "error"]
        assert answer.status_code == 302, (address, faults)
    return len(forms)


class TestSendingBack:
    @pytest.mark.parametrize(("units", "locale"), [("us", "en_US"), ("metric", "de_DE"), ("us", "de_DE"), ("metric", "en_GB")])
    def test_what_was_shown_changes_nothing(self, demo: dict[Role, Client], units: str, locale: str) -> None:
        StudioProfile.objects.update(units=units, locale=locale, currency="USD", labour_rate_per_h=Decimal("27.35"))
        # Values that no US unit writes in few digits.
        Plan.objects.update(wall_mm=Decimal("9.53"), seam_length_mm=Decimal("1873.7"), temperature_c=Decimal("21.3"))
        Piece.objects.update(mass_g=Decimal("14503.217"))
        before = stored()
        assert send_back_everything(demo[Role.OWNER]) > 40
        after = stored()
        assert {key: (before[key], after.get(key)) for key in before if before[key] != after.get(key)} == {}


class TestDecimalCommas:
    def test_are_read_and_shown(self, demo: dict[Role, Client]) -> None:
        StudioProfile.objects.update(locale="de_DE", currency="EUR")
        job, browser = heron(), demo[Role.OWNER]
        at = f"/jobs/{job.number}/"
        press(browser, f"{at}mold/", "Keep this plan", {"wall_mm": "12,5", "fill_volume_l": "1,25"})
        press(browser, f"{at}piece/change/", "Keep these changes", {"mass_g": "14,2 kg"})
        typed = {"labour_rate_per_h": "27,50", "extra_label": "Kiste", "extra_cost": "1.234,50"}
        answer = press(browser, f"{at}price/", "Keep these terms", typed)
        assert answer.status_code == 302
        plan = Plan.objects.get(job=job)
        assert (plan.wall_mm, plan.fill_volume_l) == (Decimal("12.50"), Decimal("1.250"))
        assert Piece.objects.get(job=job).mass_g == 14200
        terms = PriceTerms.objects.get(job=job)
        assert (terms.labour_rate_per_h, terms.extra_cost) == (Decimal("27.50"), Decimal("1234.50"))
        assert 'value="12,5"' in browser.get(f"{at}mold/").content.decode()
        assert 'value="27,50"' in browser.get(f"{at}price/").content.decode()
        quote = freeze_quote(job=job, by=Account.objects.get(role=Role.OWNER))
        whole, _, cents = f"{quote.gross_total:,.2f}".partition(".")
        amount = f"{whole.replace(',', '.')},{cents} €"
        for address in ("/quotes/", f"/quotes/{quote.number}/"):
            assert amount in words_of(browser.get(address).content.decode()).replace("\xa0", " "), address
        pdf = pdf_of(Document.objects.get(kind="quote", subject_id=quote.pk), browser)
        assert amount in re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pdf.pages))

    def test_read_a_point_as_grouping_thousands(self, demo: dict[Role, Client]) -> None:
        StudioProfile.objects.update(locale="de_DE")
        page = press(demo[Role.OWNER], f"/jobs/{heron().number}/piece/tape/", "Show the figures", {"girths-0-girth": "1.250"})
        assert "can be read as 1250 or as 1,250" in words_of(page.content.decode())
