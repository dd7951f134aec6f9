"""What the owner hides from makers is nowhere to be found; each role changes what its rights say and nothing else."""

import io
import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from pypdf import PdfReader

from costing.engine.estimate import make_estimate
from costing.inputs import brief_of, planned, terms_of, terms_values
from costing.models import PriceTerms, Quote
from costing.views.sheet import shown_figures
from jobs.documents import HANDOUT_KIND
from jobs.models import Job, Plan
from materials.models import Lot, Material, Pack, ScrapBin
from studio.access import Role
from studio.models import Document, Invitation, Person, Station, StudioProfile
from studio.web.formats import money_text
from studio.web.quantities import show
from studio.web.working import shown_of
from tests.studio.demo_rows import demo_addresses, visit

pytestmark = pytest.mark.django_db
# Words that name money; "price" stands in a title block with a dash in place of the figure.
WORDS = re.compile(r"\b(?:margin|markup|overhead|labour rate|cost before tax|price before tax|per hour)\b")
SIGN = "€"


def hide_money() -> None:
    StudioProfile.objects.update(money_hidden_from_makers=True)


def amounts() -> Iterator[str]:
    """Go through the amounts of the demo that are long enough to be told from other numbers."""
    profile = StudioProfile.objects.current()
    for quote in Quote.objects.prefetch_related("lines"):
        numbers = [quote.net_total, quote.tax_total, quote.gross_total, quote.deposit, *(line.net for line in quote.lines.all())]
        for number in numbers:
            yield money_text(number, quote.currency, profile.locale, False)
        estimate = make_estimate(brief_of(planned(quote.job), terms_values(terms_of(quote.job), profile), profile))
        for figure in shown_figures(estimate):
            if figure.unit.startswith("money"):
                yield str(shown_of(figure, profile))
    for pack in Pack.objects.all():
        yield money_text(pack.price, profile.currency, profile.locale, False)
    for lot in Lot.objects.exclude(unit_cost_per_kg=0):
        yield str(show(lot.unit_cost_per_kg, "money/kg", profile))


def text_of(response: Any) -> str:
    """Return what a person could read of an answer: its words with plain spaces, and a PDF's."""
    if response.get("Content-Type", "").startswith("application/pdf"):
        return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(response.body)).pages)
    return re.sub(r"<[^>]*>", "", response.body.decode(errors="replace")).replace("\xa0", " ").replace("&euro;", SIGN)


class TestHiddenMoney:
    def test_is_on_no_page_and_in_no_file_of_a_maker(self, demo: dict[Role, Client]) -> None:
        hide_money()
        hidden = {amount.replace("\xa0", " ") for amount in amounts()}
        assert len(hidden) > 100
        assert all(SIGN in amount for amount in hidden)
        found: dict[str, list[str]] = {}
        seen = files = 0
        for name, address in demo_addresses():
            # Whoever has a client's link reads the price that the client reads; no page shows a maker the link.
            if name.startswith("costing:client_"):
                continue
            for options in ({}, {"headers": {"HX-Request": "true"}}):
                response = visit(demo[Role.MAKER], address, **options)
                files += response.get("Content-Type") == "application/pdf"
                if response.status_code != 200:
                    continue
                seen += 1
                text = text_of(response)
                told = [amount for amount in hidden if amount in text] + WORDS.findall(text.lower())
                told += [SIGN] if SIGN in text else []
                if told:
                    found[address] = told
        assert found == {}
        assert seen > 80
        assert files == 2  # the handout, asked for as a page and as a part

    def test_is_seen_by_this_search_where_it_is_shown(self, demo: dict[Role, Client]) -> None:
        shown = {amount.replace("\xa0", " ") for amount in amounts()}
        lot = Lot.objects.exclude(unit_cost_per_kg=0).first()
        price = f"/jobs/{Quote.objects.get(number=1001).job.number}/price/"
        for address, least in (("/quotes/", 1), ("/quotes/1001/", 1), (f"/stock/lots/{lot.pk}/", 1), (price, 20)):
            text = text_of(visit(demo[Role.OWNER], address))
            assert sum(amount in text for amount in shown) >= least, address

    def test_is_refused_with_403(self, demo: dict[Role, Client]) -> None:
        hide_money()
        maker, quote = demo[Role.MAKER], Quote.objects.get(number=1001)
        number = quote.job.number
        document = Document.objects.get(kind="quote", subject_id=quote.pk)
        for address in (
            f"/jobs/{number}/price/", f"/jobs/{number}/quote/", "/quotes/", "/quotes/1001/", "/quotes/1001/1/",
            f"/documents/{document.public_id}/", f"/documents/{document.public_id}/download/",
        ):  # fmt: skip
            assert visit(maker, address).status_code == 403, address
        for address in (f"/jobs/{number}/price/try/", "/quotes/1001/1/print/", f"/documents/{document.public_id}/retry/"):
            assert maker.post(address, {}).status_code == 403, address
        assert not Document.objects.filter(kind="quote").exclude(pk__in=[document.pk]).filter(requested_by__role="maker").exists()
        handout = Document.objects.get(kind=HANDOUT_KIND)
        assert visit(maker, f"/documents/{handout.public_id}/download/").status_code == 200

    def test_stays_as_it_was_when_a_maker_sends_it_all_the_same(self, demo: dict[Role, Client]) -> None:
        hide_money()
        lot = Lot.objects.exclude(unit_cost_per_kg=0).first()
        page = demo[Role.MAKER].get(f"/stock/lots/{lot.pk}/change/")
        sent = {bound.html_name: bound.value() for bound in page.context["form"] if bound.value() not in (None, False)}
        assert "unit_cost_per_kg" not in sent
        sent |= {"unit_cost_per_kg": "0.01", "note": "dented"}
        assert demo[Role.MAKER].post(f"/stock/lots/{lot.pk}/change/", sent).status_code == 302
        cost, lot = lot.unit_cost_per_kg, Lot.objects.get(pk=lot.pk)
        assert (lot.unit_cost_per_kg, lot.note) == (cost, "dented")


def tries(number: int) -> dict[str, tuple[str, dict[str, str]]]:
    """Return one change of each kind: its address and what is sent."""
    plan = Plan.objects.get(job__number=number)
    return {
        "jobs": (f"/jobs/{number}/piece/change/", {"name": "Changed piece", "surface": "gypsum", "note": ""}),
        "stock": ("/stock/scrap/add/", {
            "label": "Bin 77", "chemistry": "platinum_silicone", "chunk_edge_mm": "20", "density_kg_m3": "1100",
            "kept_since_on": "2026-01-02", "key": "k" * 20,
        }),
        "materials": ("/stock/materials/add/", {
            "name": "A new wax", "kind": "release", "chemistry": "other", "mix_basis": "one_part",
        }),
        "quotes": (f"/jobs/{number}/price/keep/", {"margin_percent": "31", "revision": "0", "extra_label": ""}),
        "studio": ("/studio/stations/new/", {"name": "Bench 77", "kind": "bench", "places": "1", "note": ""}),
        "accounts": ("/studio/accounts/invite/", {"name": "Guest 77", "email": "g@studio.example", "role": "maker"}),
        "plan": (f"/jobs/{number}/shell/", {
            "revision": str(plan.revision), "shell_kind": "laminate", "shell_layers": "2", "shell_thickness_mm": "8",
            "shell_pieces": "5", "shell_flange_percent": "10", "action": "keep",
        }),
    }  # fmt: skip


MAY = {
    Role.OWNER: {"jobs", "stock", "materials", "quotes", "studio", "accounts", "plan"},
    Role.MAKER: {"jobs", "stock", "plan"},
    Role.OFFICE: {"jobs", "quotes", "plan"},
}


class TestRoles:
    @pytest.mark.parametrize("role", list(Role))
    def test_change_what_their_rights_say(self, demo: dict[Role, Client], role: Role) -> None:
        number = Job.objects.get(title__startswith="Heron").number

        def counts() -> dict[str, Any]:
            return {
                "jobs": Job.objects.get(number=number).piece.name,
                "stock": ScrapBin.objects.count(),
                "materials": Material.objects.count(),
                "quotes": list(PriceTerms.objects.values("margin_percent")),
                "studio": (Station.objects.count(), Person.objects.count()),
                "accounts": Invitation.objects.count(),
                "plan": Plan.objects.get(job__number=number).shell_pieces,
            }

        before = counts()
        statuses = {what: demo[role].post(address, sent).status_code for what, (address, sent) in tries(number).items()}
        done = {what for what, status in statuses.items() if status in {201, 302}}
        assert done == MAY[role], statuses
        assert {what for what, status in statuses.items() if status == 403} == set(statuses) - MAY[role]
        after = counts()
        assert {what for what in before if before[what] != after[what]} == MAY[role]
