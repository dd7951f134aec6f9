import io
import json
import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from pypdf import PdfReader

from costing.errors import CostingError, QuoteTooLong
from costing.inputs import planned
from costing.models import Quote
from costing.printing import file_name, print_context, profile_when_frozen, render_quote
from costing.services.offer import suggested_offer
from costing.services.quotes import freeze_quote
from costing.ubl import quotation_xml
from jobs.models import Job, Plan
from studio.models import Account, Document, StudioProfile
from tests.costing.leaks import leaks
from tests.factories import QuoteFactory

A4_POINTS, LETTER_POINTS = (595, 842), (612, 792)


def rendered(quote: Quote) -> bytes:
    return render_quote(Document(kind="quote", subject_id=quote.pk, title=str(quote))).content


def words_of(pdf: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))


@pytest.fixture
def quote(job: Job, account: Account) -> Quote:
    StudioProfile.objects.current()
    StudioProfile.objects.update(name="Hollowell Casting Studio", address="4 Lime Kiln Lane", quote_terms="Paid within 14 days.")
    return freeze_quote(job=job, by=account)


@pytest.mark.django_db
class TestRenderQuote:
    def test_prints_all_that_a_client_needs(self, quote: Quote) -> None:
        words = words_of(rendered(quote))
        total = f"€{quote.gross_total:,.2f}"
        for said in (
            "Hollowell Casting Studio",
            "4 Lime Kiln Lane",
            "Orchard House",
            "Nether Wallop",
            "Quote 1001",
            "Valid until",
            str(quote.valid_until_on.year),
            "Total before VAT",
            total,
            f"€{quote.deposit:,.2f}",
            f"€{quote.balance:,.2f}",
            "Castings at other quantities",
            "Not in the price",
            "Ownership and storage",
            "0.7 % smaller",
            "safety data sheet",
            "Paid within 14 days.",
            "page 1 of",
        ):
            assert said in words, said

    def test_is_archival_and_tagged_and_carries_the_quote_for_the_books(self, quote: Quote) -> None:
        reader = PdfReader(io.BytesIO(rendered(quote)))
        catalog = reader.trailer["/Root"].get_object()
        told = catalog["/Metadata"].get_object().get_data().decode()
        # standard: ISO 19005-3, 6.6.4 (part and conformance), 6.7 (tags, language), 6.2.3 (output intent), 6.8 (files).
        assert re.search(r'pdfaid:part="3"', told)
        assert re.search(r'pdfaid:conformance="A"', told)
        assert catalog["/MarkInfo"]["/Marked"]
        assert "/StructTreeRoot" in catalog
        assert catalog["/Lang"]
        assert catalog["/OutputIntents"][0].get_object()["/S"] == "/GTS_PDFA1"
        fonts = [font.get_object() for page in reader.pages for font in page["/Resources"]["/Font"].values()]
        descriptors = [font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object() for font in fonts]
        assert descriptors
        assert all({"/FontFile2", "/FontFile3"} & set(descriptor) for descriptor in descriptors)
        assert catalog["/AF"][0].get_object()["/AFRelationship"] == "/Alternative"
        assert reader.attachments["quotation-1001-version-1.xml"] == [quotation_xml(quote)]

    def test_prints_lines_that_add_up_to_its_total(self, quote: Quote) -> None:
        words = words_of(rendered(quote))
        found = re.search(r"Total before VAT €([\d,]+\.\d\d) VAT 20 % €([\d,]+\.\d\d) Total €([\d,]+\.\d\d)", words)
        assert found is not None
        net, tax, gross = (Decimal(amount.replace(",", "")) for amount in found.groups())
        assert net + tax == gross == quote.gross_total
        nets = [line.net for line in quote.lines.all()]
        assert sum(nets) == net
        for amount in nets:
            assert f"€{amount:,.2f}" in words

    def test_shows_nothing_inner(self, quote: Quote) -> None:
        pdf = rendered(quote)
        words = words_of(pdf).lower()
        for inner in ("margin", "markup", "overhead", "labour", "cost", "hours", "per hour", "class 3"):
            assert not re.search(rf"\b{inner}\b", words), inner
        # A fifth of the price is margin, and the tax is a fifth of it as well: that sum is the client's own.
        words = words.replace(f"vat 20 % €{quote.tax_total:,.2f}", "")
        for figure in quote.inner["figures"]:
            if figure["key"] in {"cost", "material", "labour", "overhead", "margin-money", "mold-cost"}:
                assert f"{figure['value']:,.2f}" not in words, figure["key"]

    # Everything that leaves the studio is made from `content`; what only the studio may see lies in `inner` alone.
    def test_content_holds_nothing_inner(self, quote: Quote) -> None:
        assert set(quote.content) == {
            "form", "studio", "client", "job", "money", "units", "paper", "piece", "making", "size", "lead_time", "breaks",
            "payments", "exclusions", "ownership", "to_know", "cautions", "pictures",
        }  # fmt: skip
        assert all(set(item) == {"quantity", "unit_price", "net"} for item in quote.content["breaks"])
        assert set(quote.content["money"]) == {"places", "locale", "tax_name"}
        assert leaks(json.dumps(quote.content), quote) == []

    def test_is_tagged_and_titled(self, quote: Quote) -> None:
        reader = PdfReader(io.BytesIO(rendered(quote)))
        root: Any = reader.trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"]
        assert root["/Lang"] == "en"
        assert reader.metadata is not None
        assert "Quote 1001" in str(reader.metadata.title)

    @pytest.mark.parametrize(("paper", "points"), [("A4", A4_POINTS), ("Letter", LETTER_POINTS)])
    def test_fits_the_studios_paper(self, job: Job, account: Account, paper: str, points: tuple[int, int]) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(paper=paper)
        box = PdfReader(io.BytesIO(rendered(freeze_quote(job=job, by=account)))).pages[0].mediabox
        assert (round(box.width), round(box.height)) == points

    def test_stays_the_same_when_plan_and_profile_change(self, quote: Quote) -> None:
        before = rendered(quote)
        Plan.objects.update(wall_mm=25, castings=99)
        StudioProfile.objects.update(name="Other", currency="USD", locale="de_DE", units="us", paper="Letter", tax_name="MwSt")
        assert rendered(Quote.objects.get(pk=quote.pk)) == before

    def test_writes_inches_for_a_studio_that_measures_in_them(self, job: Job, account: Account) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(units="us", locale="en_US", currency="USD", paper="Letter")
        words = words_of(rendered(freeze_quote(job=job, by=account)))
        assert re.search(r"Size [\d. ×]+ in", words)
        assert not re.search(r"\bmm\b", words)

    def test_prints_hostile_words_as_words(self, job: Job, account: Account) -> None:
        offer = suggested_offer(planned(job), StudioProfile.objects.current())
        bad = '<script>x</script><img src="file:///etc/passwd"><link rel=stylesheet href="http://elsewhere.example/a.css">'
        words = words_of(rendered(freeze_quote(job=job, offer=replace(offer, scope=bad), by=account)))
        assert "<script>x</script>" in words

    def test_of_a_mold_alone_has_no_castings(self, job: Job, account: Account) -> None:
        Plan.objects.filter(job=job).update(resin=None)
        words = words_of(rendered(freeze_quote(job=job, by=account)))
        assert "Castings at other quantities" not in words
        assert "Size of the castings" not in words
        assert "Mold of finial" in words


@pytest.mark.django_db
class TestPrintBounds:
    def test_refuses_more_lines_than_can_be_laid_out(self, job: Job) -> None:
        quote = QuoteFactory(job=job, lines=1_000)
        with pytest.raises(QuoteTooLong, match="more than 1000 lines"):
            print_context(quote, profile_when_frozen(quote))

    def test_says_when_the_quote_is_gone(self, db: None) -> None:
        with pytest.raises(CostingError, match="is gone"):
            render_quote(Document(kind="quote", subject_id=999, title="x"))

    def test_names_versions_apart(self, job: Job) -> None:
        assert file_name(QuoteFactory(job=job, number=7, version=2)) == "quote-7-version-2.pdf"

    def test_prints_a_quote_frozen_in_an_older_form(self, job: Job) -> None:
        quote = QuoteFactory(job=job, number=7, content={}, lines=3)
        assert "€103.00" in words_of(rendered(Quote.objects.get(pk=quote.pk)))
