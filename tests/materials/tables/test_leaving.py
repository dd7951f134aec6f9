"""Tables that are taken out: complete, safe to open, by right, and bounded in memory however long they are."""

import csv
import io
import re
import tracemalloc
import zipfile
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from openpyxl import load_workbook

from materials import ledger
from materials.documents.stock_book import MORE, stock_book
from materials.models import Lot, Movement
from materials.tables import leaving
from materials.tables.cells import plain_text, safe_text
from materials.tables.csv_files import csv_pieces
from materials.tables.leaving import tables
from studio.access import Role
from studio.documents.files import path_of
from studio.documents.rendering import render_document
from studio.models import Document, StudioProfile
from tests.factories import LotFactory, MaterialFactory, PackFactory, ScrapBinFactory
from tests.materials.pages import address
from tests.studio.demo_rows import visit

NASTY = ["=1+1", "+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "  =1", "＝1", "＋1", "－1", "＠x", "\n=1"]
HARMLESS = ["plain", "a=b", "3 % of B", "x-1", "'quoted'", "ünïcode", ""]


class TestSafeText:
    @pytest.mark.parametrize("text", NASTY)
    def test_is_never_taken_for_a_formula(self, text: str) -> None:
        assert safe_text(text) == f"'{text}"
        assert plain_text(safe_text(text)) == text

    @pytest.mark.parametrize("text", HARMLESS)
    def test_leaves_other_text_as_it_is(self, text: str) -> None:
        assert safe_text(text) == text
        assert plain_text(text) == text


def rows_in(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline="")))


@pytest.mark.django_db
class TestCsv:
    def test_holds_every_table_in_full(self, owner_client: Client) -> None:
        rubber = MaterialFactory(name='Rubber; "soft", 20', properties={"density_kg_m3": 1100})
        PackFactory(material=rubber)
        lot = LotFactory(material=rubber, supplier_lot="=cmd|' /C calc'!A0", place="@here", holding="1000.125")
        scrap = ScrapBinFactory(label="-P1", holding=500)
        ledger.issue(of=lot, mass_g=Decimal("0.125"), key="u1", by=None, why="+cup")
        found = {key: rows_in(visit(owner_client, address("files_csv", key)).body) for key in tables()}
        assert set(found) == {
            "materials", "packs", "properties", "lots", "movements", "scrap", "expected", "counts", "molds",
        }  # fmt: skip
        (row,) = found["lots"]
        assert (row["Material"], row["Supplier's lot"], row["Place"]) == (rubber.name, "'=cmd|' /C calc'!A0", "'@here")
        assert (row["On hand, g"], row["Cost before tax per kg"]) == ("1000.000", "22.0000")
        assert found["scrap"][0]["Label"] == "'-P1"
        assert [(line["On hand, g"], line["Why"]) for line in found["movements"]][-1] == ("-0.125", "'+cup")
        assert found["properties"][0]["Value"] == "1100.0"
        assert len(found["movements"]) == Movement.objects.count() == 3
        assert scrap.pk == int(found["scrap"][0]["Number"])
        # Whatever stands in any cell, only numbers begin with a sign that a formula could begin with.
        for rows in found.values():
            for cell in (cell for row in rows for cell in row.values() if cell):
                assert not cell.startswith(("=", "+", "-", "@")) or re.fullmatch(r"-\d+(\.\d+)?", cell), cell

    def test_leaves_money_out_for_those_who_may_not_see_it(self, signed_in) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(money_hidden_from_makers=True)
        LotFactory(unit_cost_per_kg=Decimal("77.7777"), holding=5)
        PackFactory(price=Decimal("4321.99"))
        maker = signed_in(Role.MAKER)
        for key in tables():
            body = visit(maker, address("files_csv", key)).body.decode()
            assert not re.search(r"77\.7777|4321\.99|[Cc]ost|[Pp]rice before|[Ww]orth", body), key
        maker.post(address("files_book"))
        assert Document.objects.get().kind == "stock-book"

    def test_shows_moments_by_the_clock_of_the_studio(self, owner_client: Client) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(time_zone="Asia/Kathmandu")
        (line,) = Movement.objects.filter(lot=LotFactory(holding=5))
        (row,) = rows_in(visit(owner_client, address("files_csv", "movements")).body)
        assert row["When"] == f"{line.happened_at.astimezone(ZoneInfo('Asia/Kathmandu')):%Y-%m-%d %H:%M:%S}"

    def test_takes_no_more_memory_for_many_lines_than_for_few(self, monkeypatch) -> None:
        monkeypatch.setattr(leaving, "CHUNK_ROWS", 100)
        lot = LotFactory(holding=5)
        (line,) = Movement.objects.filter(lot=lot)

        def peak() -> tuple[int, int]:
            tracemalloc.start()
            size = sum(len(piece) for piece in csv_pieces(tables()["movements"], sees_money=True))
            most = tracemalloc.get_traced_memory()[1]
            tracemalloc.stop()
            return size, most

        def grow(start: int, many: int) -> None:
            copies = []
            for number in range(start, start + many):
                line.pk, line.idempotency_key = None, f"grown-{number}"
                copies.append(Movement(**{f.attname: getattr(line, f.attname) for f in line._meta.concrete_fields}))
            Movement.objects.bulk_create(copies, batch_size=500)

        grow(0, 600)
        few_size, few = peak()
        grow(600, 1800)
        many_size, many = peak()
        assert many_size > 2.8 * few_size
        assert many < 1.25 * few

    def test_answers_an_unknown_table_with_a_page(self, owner_client: Client) -> None:
        assert owner_client.get("/stock/files/none.csv").status_code == 404


@pytest.mark.django_db
class TestStockBook:
    def test_types_text_as_text_and_numbers_as_numbers(self, owner_client: Client) -> None:
        lot = LotFactory(supplier_lot="=1+1", place="#N/A", note="bell\x07", holding="1000.125")
        owner_client.post(address("files_book"))
        document = Document.objects.get()
        assert render_document(document.pk)
        document.refresh_from_db()
        content = path_of(document).read_bytes()
        book = load_workbook(io.BytesIO(content))
        assert book.sheetnames == [table.name for table in tables().values()]
        heading, row = list(book["Lots"].iter_rows())
        cells = {head.value: cell for head, cell in zip(heading, row, strict=True)}
        assert (cells["Supplier's lot"].value, cells["Supplier's lot"].data_type) == ("=1+1", "s")
        assert (cells["Place"].value, cells["Place"].data_type) == ("#N/A", "s")
        assert cells["Note"].value == "bell"
        assert cells["On hand, g"].value == pytest.approx(1000.125)
        assert cells["Number"].value == lot.pk
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            sheets = [name for name in archive.namelist() if name.startswith("xl/worksheets/")]
            assert len(sheets) == len(tables())
            assert not any(b"<f>" in archive.read(name) or b"<f " in archive.read(name) for name in sheets)

    def test_says_where_a_long_table_goes_on(self) -> None:
        LotFactory.create_batch(4)
        book = load_workbook(io.BytesIO(stock_book([tables()["lots"]], sees_money=False, most_rows=3)))
        column = [row[0].value for row in book["Lots"].iter_rows()]
        assert column == ["Number", *Lot.objects.order_by("pk").values_list("pk", flat=True)[:3], MORE]
