"""A stocktake through its pages, from the start to paper."""

import io
from decimal import Decimal

import pytest
from django.test import Client
from pypdf import PdfReader

from materials.counting.weighing import start_stocktake
from materials.documents import RESULT_KIND, SHEET_KIND
from materials.models import Movement, Stocktake
from studio.documents.files import path_of
from studio.documents.rendering import render_document
from studio.models import Document, StudioProfile
from tests.factories import LotFactory, MaterialFactory, ScrapBinFactory
from tests.materials.pages import address, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def lots():
    rubber = MaterialFactory(name="Plain rubber")
    return [LotFactory(material=rubber, place=place, holding=1000) for place in ("shelf 1", "shelf 1", "shelf 2")]


def started(**fields) -> Stocktake:
    return start_stocktake(**{"name": "March", "place": "", "blind": True, "by": None, **fields})


def line_at(stocktake: Stocktake, lot) -> str:
    return address("count_line", stocktake.pk, stocktake.lines.get(lot=lot).pk)


class TestCounting:
    def test_goes_from_one_container_to_the_next_and_posts(self, owner_client: Client, lots) -> None:
        assert "Nothing was counted yet" in text_of(owner_client.get(address("counts_list")).content)
        owner_client.post(address("counts_start"), {"name": "March", "place": "shelf 1", "blind": "on"})
        stocktake = Stocktake.objects.get()
        weigh = address("count_weigh", stocktake.pk)
        first = owner_client.get(weigh)["Location"]
        page = text_of(owner_client.get(first).content)
        assert "1000 g" not in page
        assert "1,000 g" not in page
        # 2 lb 3 oz less a container of 100 g is 892.233 g (1 lb = 453.59237 g exactly; standard: international pound).
        answer = owner_client.post(first, {"scale_g": "2 lb 3 oz", "container_g": "100 g", "why": "spilt"})
        second = owner_client.get(answer["Location"])["Location"]
        assert second != first
        answer = owner_client.post(second, {"scale_g": "1 kg"})
        assert owner_client.get(answer["Location"])["Location"] == address("count_show", stocktake.pk)
        review = address("count_review", stocktake.pk)
        assert "−107.767" in text_of(owner_client.get(review).content)
        line = stocktake.lines.get(why="spilt")
        owner_client.post(review, {f"why-{line.pk}": "spilt on Tuesday", "post": "1"})
        assert list(Movement.objects.filter(kind="adjust").values_list("mass_g", "why")) == [
            (Decimal("-107.767"), "spilt on Tuesday")
        ]
        assert "posted" in text_of(owner_client.get(address("counts_list")).content)

    def test_shows_the_book_where_it_is_not_hidden(self, owner_client: Client, lots) -> None:
        stocktake = started(blind=False)
        assert "The book says 1000 g" in text_of(owner_client.get(line_at(stocktake, lots[0])).content).replace(
            '<span class="unit">', ""
        ).replace("</span>", "").replace('<span class="number">', "").replace("1,000", "1000")

    def test_keeps_what_was_typed_beside_what_another_weighed(self, owner_client: Client, lots) -> None:
        stocktake = started()
        at = line_at(stocktake, lots[0])
        stale = {"scale_g": "990", "why": "mine", "seen": ""}
        owner_client.post(at, {"scale_g": "980"})
        answer = owner_client.post(at, stale)
        assert answer.status_code == 422
        page = text_of(answer.content)
        assert "weighed this meanwhile: 980 g. You typed 990 g." in page
        assert 'value="mine"' in page
        again = answer.context["form"]
        owner_client.post(at, {**stale, "seen": again["seen"].value()})
        assert stocktake.lines.get(lot=lots[0]).counted_g == 990

    def test_asks_for_reasons_and_keeps_those_that_are_there(self, owner_client: Client, lots) -> None:
        stocktake = started()
        for lot in lots[:2]:
            owner_client.post(line_at(stocktake, lot), {"scale_g": "500"})
        first, second = (stocktake.lines.get(lot=lot) for lot in lots[:2])
        typed = {f"why-{first.pk}": "leak", f"why-{second.pk}": "", "post": "1"}
        answer = owner_client.post(address("count_review", stocktake.pk), typed)
        assert answer.status_code == 422
        assert "Say why it differs" in text_of(answer.content)
        first.refresh_from_db()
        assert first.why == "leak"
        assert not Movement.objects.filter(kind="adjust").exists()

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"scale_g": "-1"}, "must"),
            ({"scale_g": ""}, "The scale says"),
            ({"scale_g": "5", "container_g": "6"}, "cannot weigh more"),
            ({"scale_g": "1e400"}, ""),
            ({"scale_g": "5\x00"}, ""),
        ],
    )
    def test_refuses_nonsense_and_keeps_it(self, owner_client: Client, lots, typed, says: str) -> None:
        stocktake = started()
        answer = owner_client.post(line_at(stocktake, lots[0]), {"why": "a note", **typed})
        assert answer.status_code == 422
        assert says in text_of(answer.content)
        assert 'value="a note"' in text_of(answer.content)
        assert not stocktake.lines.filter(counted_g__isnull=False).exists()


class TestCodes:
    def test_jump_to_a_line_or_offer_to_add_what_is_missing(self, owner_client: Client, lots) -> None:
        stocktake, scrap = started(place="shelf 1"), ScrapBinFactory(holding=300)
        weigh = address("count_weigh", stocktake.pk)
        found = owner_client.get(weigh, {"code": f"https://studio.example/c/l{lots[1].pk}"})
        assert found["Location"] == line_at(stocktake, lots[1])
        page = owner_client.get(weigh, {"code": f"b{scrap.pk}"})
        assert (page.status_code, "is not on this list" in text_of(page.content)) == (422, True)
        owner_client.post(address("count_add", stocktake.pk), {"code": f"B{scrap.pk}"})
        assert stocktake.lines.filter(scrap_bin=scrap).exists()
        for wrong in ("l99999", "m1", "https://elsewhere.example/x", "l0", "\x00", "l" + "9" * 400):
            assert owner_client.get(weigh, {"code": wrong}).status_code == 422

    def test_open_the_thing_and_the_line_while_somebody_counts(self, owner_client: Client, lots) -> None:
        lot, scrap = lots[0], ScrapBinFactory()
        assert owner_client.get(f"/c/l{lot.pk}")["Location"] == address("lot_show", lot.pk)
        assert owner_client.get(f"/c/b{scrap.pk}")["Location"] == address("scrap_show", scrap.pk)
        assert [owner_client.get(f"/c/{code}").status_code for code in ("l999", "z1", "none")] == [404] * 3
        owner_client.post(address("counts_start"), {"name": "March", "place": ""})
        stocktake = Stocktake.objects.get()
        assert owner_client.get(f"/c/l{lot.pk}")["Location"] == line_at(stocktake, lot)
        owner_client.post(line_at(stocktake, lot), {"scale_g": "1 kg"})
        assert owner_client.get(f"/c/l{lot.pk}")["Location"] == address("lot_show", lot.pk)

    def test_ask_to_sign_in_first(self, client: Client, lots) -> None:
        assert client.get(f"/c/l{lots[0].pk}")["Location"] == f"/sign-in/?next=/c/l{lots[0].pk}"


class TestWays:
    def test_drop_and_undo_have_their_way_back(self, owner_client: Client, lots) -> None:
        stocktake = started()
        owner_client.post(line_at(stocktake, lots[0]), {"scale_g": "996"})
        owner_client.post(address("count_drop", stocktake.pk))
        assert owner_client.post(address("count_drop", stocktake.pk)).status_code == 422
        owner_client.post(address("count_bring_back", stocktake.pk))
        owner_client.post(address("count_review", stocktake.pk), {"post": "1"})
        owner_client.post(address("count_unpost", stocktake.pk))
        lots[0].refresh_from_db()
        assert lots[0].on_hand_g == 1000
        owner_client.post(address("count_line_forget", stocktake.pk, stocktake.lines.get(lot=lots[0]).pk))
        assert not stocktake.lines.filter(counted_g__isnull=False).exists()


class TestPaper:
    def test_has_a_blank_sheet_and_the_result(self, owner_client: Client, lots) -> None:
        stocktake = started()
        owner_client.post(line_at(stocktake, lots[0]), {"scale_g": "950 g", "why": "a spill"})
        owner_client.post(address("count_sheet_print", stocktake.pk))
        owner_client.post(address("count_result_print", stocktake.pk))
        texts = {}
        for document in Document.objects.all():
            assert render_document(document.pk)
            document.refresh_from_db()
            texts[document.kind] = " ".join(
                page.extract_text() for page in PdfReader(io.BytesIO(path_of(document).read_bytes())).pages
            )
        assert StudioProfile.objects.current().paper == "A4"
        # Blind: the book stands nowhere on the sheet for the hand.
        assert "1,000" not in texts[SHEET_KIND]
        assert "1000" not in texts[SHEET_KIND]
        assert all(f"L{lot.pk}" in texts[SHEET_KIND] for lot in lots)
        assert "a spill" in texts[RESULT_KIND]
        assert "1 of 3 weighed" in texts[RESULT_KIND]
