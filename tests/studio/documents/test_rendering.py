"""Rendering one row: every way in which it can end."""

from typing import Any

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.db import OperationalError, connection

from studio.access import Right
from studio.documents import registry
from studio.documents.errors import DocumentError
from studio.documents.registry import RenderedFile, register
from studio.documents.rendering import render_document
from studio.figures import WorkingError
from studio.models import Document


@pytest.fixture(autouse=True)
def own_kinds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "_kinds", {})


def ask(renderer: Any) -> Document:
    register("test", renderer, right=Right.SEE_JOBS)
    return Document.objects.create(kind="test", subject_id=1, title="A print")


def raising(problem: Exception) -> Any:
    def render(_: Document) -> RenderedFile:
        raise problem

    return render


@pytest.mark.django_db
class TestRenderDocument:
    def test_ends_ready_and_is_skipped_the_second_time(self) -> None:
        calls: list[int] = []

        def render(document: Document) -> RenderedFile:
            calls.append(document.pk)
            return RenderedFile(b"%PDF", "application/pdf", "a.pdf")

        document = ask(render)
        assert render_document(document.pk) == "ready"
        assert render_document(document.pk) == "skipped"
        assert calls == [document.pk]

    @pytest.mark.parametrize(
        "problem",
        [
            DocumentError("The plan has no coats yet; plan them first."),
            WorkingError("The plan has no coats yet; plan them first."),
        ],
    )
    def test_shows_a_named_error_as_the_reason(self, problem: Exception) -> None:
        document = ask(raising(problem))
        assert render_document(document.pk) == "failed"
        document.refresh_from_db()
        assert (document.state, document.reason) == ("failed", "The plan has no coats yet; plan them first.")

    def test_says_a_fault_of_the_program_without_its_inner_words(self) -> None:
        document = ask(raising(RuntimeError("secret detail")))
        assert render_document(document.pk) == "failed"
        document.refresh_from_db()
        assert "RuntimeError" in document.reason
        assert "secret detail" not in document.reason

    def test_says_that_it_took_too_long(self) -> None:
        document = ask(raising(SoftTimeLimitExceeded()))
        assert render_document(document.pk) == "failed"
        document.refresh_from_db()
        assert "too long" in document.reason

    def test_gives_the_row_back_when_the_database_is_locked(self) -> None:
        document = ask(raising(OperationalError("database is locked")))
        assert render_document(document.pk) == "released"
        document.refresh_from_db()
        assert (document.state, document.token) == ("queued", None)

    def test_fails_a_kind_that_nobody_renders(self) -> None:
        document = Document.objects.create(kind="unknown", subject_id=1, title="A print")
        assert render_document(document.pk) == "failed"
        document.refresh_from_db()
        assert "unknown" in document.reason


@pytest.mark.django_db(transaction=True)
class TestTransactions:
    def test_are_closed_while_the_renderer_works(self) -> None:
        seen: list[bool] = []

        def render(_: Document) -> RenderedFile:
            seen.append(connection.in_atomic_block)
            return RenderedFile(b"%PDF", "application/pdf", "a.pdf")

        assert render_document(ask(render).pk) == "ready"
        assert seen == [False]
