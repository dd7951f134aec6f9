"""Files as they come: every way of writing a table is read, and every hostile one is refused in a sentence."""

import datetime
import io
import random
import time
import tracemalloc
import zipfile
from collections.abc import Callable

import pytest
from openpyxl import Workbook

from materials.errors import FileRefused
from materials.tables.limits import MOST_COLUMNS, MOST_FILE_BYTES, MOST_ROWS, MOST_UNPACKED_BYTES
from materials.tables.reading import read_table

PLAIN = 'Label,Mass\nP1,2.5 kg\nP 2,"1,5 kg"\n'


def book(*rows: list[object]) -> bytes:
    made, file = Workbook(), io.BytesIO()
    for row in rows:
        made.active.append(row)
    made.save(file)
    return file.getvalue()


def changed(content: bytes, **parts: bytes | None) -> bytes:
    """Write an XLSX anew with parts replaced, added (any name), or left out (None)."""
    file = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name not in parts:
                new.writestr(name, old.read(name))
        for name, part in parts.items():
            if part is not None:
                new.writestr(name, part)
    return file.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
HEAD = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'


def refusal(content: bytes) -> str:
    """Return the sentence that a file is refused with; nothing where it is read."""
    try:
        read_table(content)
    except FileRefused as refused:
        return str(refused)
    return ""


class TestReadTable:
    @pytest.mark.parametrize(
        "content",
        [
            PLAIN.encode(),
            PLAIN.encode("utf-8-sig"),
            PLAIN.encode("utf-16"),
            b"\xfe\xff" + PLAIN.encode("utf-16-be"),
            PLAIN.replace("\n", "\r\n").encode(),
            PLAIN.replace("\n", "\r").encode(),
            PLAIN.replace('"', "").replace(",", ";").replace("1;5", "1,5").encode(),
            PLAIN.replace('"', "").replace(",", "\t").replace("1\t5", "1,5").encode(),
            ("\n\n".join(PLAIN.splitlines()[:1]) + "\n" + "\n".join(line + ",,," for line in PLAIN.splitlines()[1:])).encode(),
            book(["Label", "Mass"], ["P1", "2.5 kg"], ["P 2", "1,5 kg"]),
        ],
    )
    def test_reads_every_way_of_writing_a_table(self, content: bytes) -> None:
        table = read_table(content)
        assert table.headings == ("Label", "Mass")
        assert [cells for _number, cells in table.rows] == [("P1", "2.5 kg"), ("P 2", "1,5 kg")]

    def test_counts_rows_as_a_spreadsheet_does(self) -> None:
        assert [number for number, _cells in read_table(b'A,B\n\n"two\nlines",x\n\ny,z\n').rows] == [3, 5]
        assert [number for number, _cells in read_table(book(["A"], [], ["x"])).rows] == [3]

    def test_writes_days_numbers_and_ticks_as_somebody_would_type_them(self) -> None:
        table = read_table(book(["A"], [datetime.datetime(2027, 3, 1), 2.5, 1e-7, 12, True, 0.1 + 0.2, None, "x"]))
        assert table.rows[0][1] == ("2027-03-01", "2.5", "0.0000001", "12", "yes", "0.3", "", "x")

    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"", "no table"),
            (b"\n \n,,\n", "no table"),
            ("Läbel;x\n".encode("latin-1"), "UTF-8"),
            (b"A,B\n\0,1\n", "UTF-8"),
            (b"\xff\xfeA", "UTF-8"),
            (b'A,B\n"never closed,1\n', "quotation mark"),
            (b'A,B\n"' + b"x" * 200_000 + b'",1\n', "endless"),
            (b"A\n" + b"x" * 501 + b"\n", "Row 2 has a cell of more than 500"),
            (b"A," * 50 + b"\n", "columns"),
            ((",".join(f"h{n}" for n in range(MOST_COLUMNS + 1)) + "\n").encode(), "columns"),
            (b"A\n" + b"1\n" * (MOST_ROWS + 1), "rows"),
            (b"A\n" + b"\n" * 100_000 + b"1\n" * (MOST_ROWS + 1), "rows"),
            (b"x" * (MOST_FILE_BYTES + 1), "larger than"),
            (b"%PDF-1.7\n\xe2\xe3", "UTF-8"),
            (b"PK\x03\x04 not an archive", "damaged"),
            (book(["h"] * (MOST_COLUMNS + 1)), "columns"),
            (book(["h"], *([["1"]] * (MOST_ROWS + 1))), "rows"),
            (book(["h"], ["x" * 501]), "more than 500"),
            (changed(book(["h"]), **{"xl/workbook.xml": None}), "damaged"),
            (changed(book(["h"]), **{SHEET: b"<worksheet><broken"}), "damaged"),
            (changed(book(["h"]), **{SHEET: None}), "damaged"),
            (changed(book(["h"]), **{f"xl/media/{n}.png": b"x" for n in range(300)}), "far larger"),
            (changed(book(["h"]), **{"xl/media/zeros": bytes(MOST_UNPACKED_BYTES)}), "far larger"),
        ],
    )
    def test_refuses_in_a_sentence(self, content: bytes, says: str) -> None:
        with pytest.raises(FileRefused, match=says):
            read_table(content)

    def test_reads_no_entity_of_a_sheet(self) -> None:
        bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>' + HEAD
        sheet = bomb + b'<sheetData><row r="1"><c t="inlineStr"><is><t>&b;</t></is></c></row></sheetData></worksheet>'
        with pytest.raises(FileRefused):
            read_table(changed(book(["h"]), **{SHEET: sheet}))


class TestBounds:
    """Hostile archives: nothing of them is unpacked before their own list is looked at, and lies end where they begin."""

    def lying(self) -> bytes:
        """Return an XLSX whose sheet says it is small and unpacks to a hundred times that."""
        content = bytearray(changed(book(["h"]), **{SHEET: HEAD + b"<sheetData>" + b" " * 30_000_000}))
        with zipfile.ZipFile(io.BytesIO(bytes(content))) as archive:
            size = archive.getinfo(SHEET).file_size
        return bytes(content).replace(size.to_bytes(4, "little"), (5000).to_bytes(4, "little"))

    def far_cell(self) -> bytes:
        sheet = (
            HEAD + b'<dimension ref="A1:XFD1048576"/><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>h</t></is></c></row>'
        )
        return changed(
            book(["h"]), **{SHEET: sheet + b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData></worksheet>'}
        )

    def many_strings(self) -> bytes:
        one = b"<si><t>a</t></si>"
        strings = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">' + one * 400_000 + b"</sst>"
        noise = random.Random(1).randbytes(60_000)
        return changed(book(["h"]), **{"xl/sharedStrings.xml": strings, "xl/media/n": noise})

    @pytest.mark.parametrize("made", [lying, far_cell, many_strings])
    def test_of_memory_and_time_hold(self, made: Callable[["TestBounds"], bytes]) -> None:
        content = made(self)
        tracemalloc.start()
        begin = time.process_time()
        says = refusal(content)
        took, peak = time.process_time() - begin, tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert says == "" or says.endswith(".")
        assert peak < 120_000_000
        assert took < 20

    def test_hold_for_thousands_of_damaged_files(self) -> None:
        chance = random.Random(20261126)
        whole = [book(["Label", "Mass"], ["P1", "2.5 kg"]), PLAIN.encode("utf-16"), PLAIN.encode()]
        read = 0
        for turn in range(600):
            content = bytearray(whole[turn % 3])
            for _ in range(chance.randint(1, 12)):
                content[chance.randrange(len(content))] = chance.randrange(256)
            says = refusal(bytes(content[: chance.choice([len(content), chance.randrange(len(content))])]))
            assert says == "" or len(says) > 20
            read += not says
        assert read > 20
