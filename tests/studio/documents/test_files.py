"""Files of documents: whole or absent, one for each row."""

import hashlib
import os
import time
from pathlib import Path
from unittest.mock import patch

import pytest

from studio.documents.claims import claim
from studio.documents.files import LEFTOVER_AGE_S, finish, path_of, remove_leftovers
from studio.documents.registry import RenderedFile
from studio.models import Document

PAGE = RenderedFile(b"%PDF-1.7 a page", "application/pdf", "Handout 12.pdf")


@pytest.fixture
def claimed(db: None) -> Document:
    row = Document.objects.create(kind="slow", subject_id=1, title="A print")
    taken = claim(row.pk)
    assert taken is not None
    return taken


class TestFinish:
    def test_writes_the_file_under_a_name_of_ours(self, claimed: Document, documents_folder: Path) -> None:
        assert finish(claimed, PAGE)
        claimed.refresh_from_db()
        assert claimed.state == "ready"
        assert [path.name for path in documents_folder.iterdir()] == [f"{claimed.public_id}.pdf"]
        assert path_of(claimed).read_bytes() == PAGE.content
        assert claimed.sha256 == hashlib.sha256(PAGE.content).hexdigest()
        assert claimed.size_bytes == len(PAGE.content)

    def test_keeps_no_path_out_of_a_file_name(self, claimed: Document) -> None:
        assert finish(claimed, RenderedFile(b"x", "application/pdf", "../../etc/passwd"))
        claimed.refresh_from_db()
        assert claimed.file_name == "passwd"

    def test_leaves_no_file_when_the_claim_was_lost(self, claimed: Document, documents_folder: Path) -> None:
        Document.objects.update(token=None)
        assert not finish(claimed, PAGE)
        assert list(documents_folder.iterdir()) == []

    def test_leaves_the_row_to_be_taken_again_when_the_disk_refuses(self, claimed: Document, documents_folder: Path) -> None:
        with patch.object(Path, "replace", side_effect=OSError("disk full")), pytest.raises(OSError, match="disk full"):
            finish(claimed, PAGE)
        claimed.refresh_from_db()
        assert claimed.state == "rendering"
        assert list(documents_folder.iterdir()) == []

    def test_over_an_earlier_crash_leaves_one_file(self, claimed: Document, documents_folder: Path) -> None:
        (documents_folder).mkdir(parents=True, exist_ok=True)
        (documents_folder / f"{claimed.public_id}.pdf").write_bytes(b"%PDF from the renderer that was killed")
        assert finish(claimed, PAGE)
        assert len(list(documents_folder.iterdir())) == 1
        claimed.refresh_from_db()
        assert path_of(claimed).read_bytes() == PAGE.content


class TestRemoveLeftovers:
    def test_removes_old_temporary_files_only(self, documents_folder: Path) -> None:
        documents_folder.mkdir(parents=True)
        old, young, done = (documents_folder / name for name in (".a.part", ".b.part", "c.pdf"))
        for path in (old, young, done):
            path.write_bytes(b"x")
        for path in (old, done):
            os.utime(path, (time.time() - LEFTOVER_AGE_S - 10,) * 2)
        assert remove_leftovers() == 1
        assert sorted(path.name for path in documents_folder.iterdir()) == [".b.part", "c.pdf"]
