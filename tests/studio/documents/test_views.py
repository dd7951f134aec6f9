"""Pages of documents: how far one is, its file, asking again; who may open which."""

import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from django.db import DatabaseError, connection
from django.test import Client, RequestFactory
from django.urls import reverse

from studio.access import Right, Role
from studio.documents import registry
from studio.documents.registry import RenderedFile, register
from studio.models import Document, StudioProfile
from studio.views.health import health

HTMX = {"HTTP_HX_REQUEST": "true"}
SignedIn = Callable[[Role], Client]


@pytest.fixture(autouse=True)
def own_kinds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "_kinds", {})
    register("quote", lambda _: RenderedFile(b"%PDF again", "application/pdf", "Quote 7.pdf"), right=Right.SEE_MONEY)


def make(**values: Any) -> Document:
    return Document.objects.create(**{"kind": "quote", "subject_id": 1, "title": "Quote 7", **values})


def ready(folder: Path, content: bytes = b"%PDF quote") -> Document:
    document = make(
        state="ready",
        stored_name=f"{uuid.uuid4()}.pdf",
        size_bytes=len(content),
        file_name="Quote 7.pdf",
        content_type="application/pdf",
    )
    folder.mkdir(parents=True, exist_ok=True)
    (folder / document.stored_name).write_bytes(content)
    return document


def let_go(answer: Any) -> None:
    """Close the file of an answer, and not the test's own database connection as `close()` would."""
    for close in answer._resource_closers:
        close()


def address(name: str, document: Document) -> str:
    return reverse(f"studio:documents_{name}", args=[document.public_id])


class TestDocumentsStatus:
    def test_part_asks_again_until_the_work_is_done(self, owner_client: Client, documents_folder: Path) -> None:
        for state in ("queued", "rendering"):
            assert b'hx-trigger="every 1s"' in owner_client.get(address("status", make(state=state)), **HTMX).content
        for done in (ready(documents_folder), make(state="failed", reason="No coats yet.")):
            assert b"hx-trigger" not in owner_client.get(address("status", done), **HTMX).content

    def test_shows_the_step_and_a_way_to_refresh_without_scripts(self, owner_client: Client) -> None:
        document = make(state="rendering", step="laying out pages")
        body = owner_client.get(address("status", document)).content.decode()
        assert "laying out pages" in body
        assert "<html" in body
        assert f'href="{address("status", document)}">Refresh' in body

    def test_shows_the_reason_and_a_button_after_a_failure(self, owner_client: Client) -> None:
        body = owner_client.get(address("status", make(state="failed", reason="No <coats> yet."))).content.decode()
        assert "No &lt;coats&gt; yet." in body
        assert "Try again" in body

    def test_varies_by_htmx_and_is_not_cached(self, owner_client: Client) -> None:
        answer = owner_client.get(address("status", make()))
        assert "HX-Request" in answer.headers["Vary"]
        assert "no-store" in answer.headers["Cache-Control"]


class TestDocumentsDownload:
    def test_sends_an_attachment_that_can_do_nothing_in_the_site(self, owner_client: Client, documents_folder: Path) -> None:
        answer = owner_client.get(address("download", ready(documents_folder)))
        assert b"".join(answer.streaming_content) == b"%PDF quote"
        let_go(answer)
        assert answer.headers["Content-Disposition"] == 'attachment; filename="Quote 7.pdf"'
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert "sandbox" in answer.headers["Content-Security-Policy"]
        assert answer.headers["Content-Type"] == "application/pdf"

    def test_of_an_unfinished_document_leads_to_its_page(self, owner_client: Client) -> None:
        document = make()
        answer = owner_client.get(address("download", document))
        assert (answer.status_code, answer.headers["Location"]) == (302, address("status", document))

    def test_of_a_lost_file_is_not_found(self, owner_client: Client, documents_folder: Path) -> None:
        document = ready(documents_folder)
        (documents_folder / document.stored_name).unlink()
        assert owner_client.get(address("download", document)).status_code == 404


class TestDocumentsRetry:
    def test_queues_a_failed_document_and_answers_its_part(
        self, owner_client: Client, django_capture_on_commit_callbacks: Any
    ) -> None:
        document = make(state="failed", reason="No coats yet.", attempts=5)
        with django_capture_on_commit_callbacks(execute=True):
            answer = owner_client.post(address("retry", document), **HTMX)
        assert b"waits for the worker" in answer.content
        document.refresh_from_db()
        assert document.state == "ready"

    def test_leads_back_to_the_page_without_htmx(self, owner_client: Client) -> None:
        document = make(state="failed", reason="No coats yet.")
        assert owner_client.post(address("retry", document)).headers["Location"] == address("status", document)

    def test_needs_a_post(self, owner_client: Client) -> None:
        assert owner_client.get(address("retry", make())).status_code == 405


class TestWhoMayOpenADocument:
    @pytest.mark.parametrize("name", ["status", "download"])
    def test_a_maker_from_whom_money_is_hidden_may_not_open_a_quote(
        self, signed_in: SignedIn, documents_folder: Path, name: str
    ) -> None:
        document = ready(documents_folder)
        maker = signed_in(Role.MAKER)
        allowed = maker.get(address(name, document))
        assert allowed.status_code == 200
        let_go(allowed)
        StudioProfile.objects.update(money_hidden_from_makers=True)
        assert maker.get(address(name, document)).status_code == 403

    def test_nobody_without_signing_in(self, db: None, client: Client) -> None:
        for name in ("status", "download"):
            assert client.get(address(name, make())).status_code == 302
        assert client.post(address("retry", make(state="failed", reason="x"))).status_code == 302

    def test_an_unknown_document_or_kind_is_not_found(self, owner_client: Client) -> None:
        assert owner_client.get(reverse("studio:documents_status", args=[uuid.uuid4()])).status_code == 404
        assert owner_client.get(address("status", make(kind="unknown"))).status_code == 404


@pytest.mark.django_db
class TestHealth:
    def test_answers_without_signing_in(self, client: Client) -> None:
        answer = client.get("/health/")
        assert (answer.status_code, answer.content) == (200, b"ok\n")

    def test_says_when_the_database_is_away(self, rf: RequestFactory) -> None:
        with patch.object(connection, "cursor", side_effect=DatabaseError("gone")):
            assert health(rf.get("/health/")).status_code == 503

    def test_is_never_well_without_its_database(self, client: Client) -> None:
        client.raise_request_exception = False
        with patch.object(connection, "cursor", side_effect=DatabaseError("gone")):
            assert client.get("/health/").status_code >= 500
