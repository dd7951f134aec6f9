"""Claims: one UPDATE takes a row, a token keeps it, a lease loses it."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from studio.documents import claims
from studio.documents.claims import MOST_ATTEMPTS, claim, fail, no_worker_is_left, release, report_step
from studio.documents.files import finish
from studio.documents.registry import RenderedFile
from studio.models import Document

PAGE = RenderedFile(b"%PDF-1.7 a page", "application/pdf", "Handout.pdf")


def make(**values: Any) -> Document:
    return Document.objects.create(**{"kind": "slow", "subject_id": 1, "title": "A print", **values})


def taken(document: Document) -> Document:
    claimed = claim(document.pk)
    assert claimed is not None
    return claimed


@pytest.mark.django_db
class TestClaim:
    def test_takes_a_queued_row_once(self) -> None:
        document = make()
        first = taken(document)
        assert (first.state, first.attempts) == ("rendering", 1)
        assert first.token is not None
        assert claim(document.pk) is None

    def test_takes_over_after_the_lease_and_not_before(self, settings: Any) -> None:
        document = make()
        with time_machine.travel("2026-03-02 09:00:00+00:00", tick=False) as clock:
            first = taken(document)
            clock.shift(settings.DOCUMENT_LEASE_S - 1)
            assert claim(document.pk) is None
            clock.shift(1)
            second = taken(document)
        assert second.token != first.token
        assert second.attempts == 2

    def test_gives_up_after_too_many_renderers_died(self) -> None:
        document = make(state="rendering", attempts=MOST_ATTEMPTS, lease_until_at=timezone.now() - timedelta(seconds=1))
        assert claim(document.pk) is None
        document.refresh_from_db()
        assert document.state == "failed"
        assert "Try again" in document.reason

    def test_refuses_rows_that_are_done_or_gone(self) -> None:
        assert claim(make(state="failed", reason="why").pk) is None
        assert claim(make(state="ready", stored_name="a.pdf", size_bytes=1).pk) is None
        assert claim(987654) is None

    def test_by_a_renderer_that_is_too_late_changes_nothing(self) -> None:
        document = make()
        late = taken(document)
        Document.objects.filter(pk=document.pk).update(lease_until_at=timezone.now() - timedelta(seconds=1))
        current = taken(document)
        assert not finish(late, RenderedFile(b"%PDF stale", "application/pdf", "stale.pdf"))
        assert not report_step(late, "still here")
        fail(late, "late")
        release(late, after=timedelta())
        document.refresh_from_db()
        assert (document.state, document.token) == ("rendering", current.token)
        assert finish(current, PAGE)


@pytest.mark.django_db
class TestReportStep:
    def test_shows_the_step_and_lengthens_the_lease(self) -> None:
        document = taken(make())
        with time_machine.travel(timezone.now() + timedelta(seconds=60)):
            assert report_step(document, "laying out pages")
        before = document.lease_until_at
        document.refresh_from_db()
        assert document.step == "laying out pages"
        assert before is not None
        assert document.lease_until_at is not None
        assert document.lease_until_at > before


@pytest.mark.django_db
class TestNoWorkerIsLeft:
    def test_lets_the_next_sweep_take_everything_unfinished(self) -> None:
        rendering, queued = taken(make()), make(due_at=timezone.now() + timedelta(hours=1))
        no_worker_is_left()
        rendering.refresh_from_db()
        queued.refresh_from_db()
        assert rendering.lease_until_at is not None
        assert rendering.lease_until_at <= timezone.now()
        assert queued.due_at <= timezone.now()


class TestLease:
    def test_outlives_every_limit_of_a_print_and_redis_outlives_it(self, settings: Any) -> None:
        from studio.settings.queue import VISIBILITY_TIMEOUT_S

        limits = [settings.DOCUMENT_PRESS_LIMIT_S, settings.DOCUMENT_TIME_LIMIT_S, settings.DOCUMENT_TIME_LIMIT_S + 10]
        assert limits == sorted(limits)
        assert limits[-1] < settings.DOCUMENT_LEASE_S < VISIBILITY_TIMEOUT_S
        assert claims.MOST_ATTEMPTS == 5
