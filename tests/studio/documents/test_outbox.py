"""Asking for documents: the row first, the task after the commit, the sweep for what was lost."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta
from typing import Any
from unittest.mock import patch

import pytest
from django.db import transaction
from django.utils import timezone

from studio.documents import tasks
from studio.documents.outbox import latest_document, push, request_document, retry_document, sweep
from studio.models import Account, Document

Commits = Callable[..., AbstractContextManager[list[Callable[[], Any]]]]
BROKER_IS_DOWN = patch.object(tasks.render, "apply_async", side_effect=ConnectionError("nobody listens"))


@pytest.fixture
def pushed() -> Any:
    """Collect what is pushed instead of running it."""
    seen: list[int] = []
    with patch.object(tasks.render, "apply_async", side_effect=lambda args, **_: seen.append(args[0])):
        yield seen


def make(**values: Any) -> Document:
    return Document.objects.create(**{"kind": "slow", "subject_id": 1, "title": "A print", **values})


@pytest.mark.django_db
class TestRequestDocument:
    def test_stands_queued_and_is_pushed_after_the_commit(
        self, account: Account, pushed: list[int], django_capture_on_commit_callbacks: Commits
    ) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            document = request_document(kind="slow", subject_id=7, title="Handout", by=account)
            assert pushed == []
        assert pushed == [document.pk]
        document.refresh_from_db()
        assert (document.state, document.subject_id, document.requested_by) == ("queued", 7, account)

    def test_leaves_nothing_when_the_caller_rolls_back(self, pushed: list[int]) -> None:
        with transaction.atomic():
            request_document(kind="slow", subject_id=7, title="Handout", by=None)
            transaction.set_rollback(True)
        assert not Document.objects.exists()
        assert pushed == []

    def test_succeeds_while_the_broker_is_down_and_is_due_at_once(self, django_capture_on_commit_callbacks: Commits) -> None:
        with BROKER_IS_DOWN, django_capture_on_commit_callbacks(execute=True):
            document = request_document(kind="slow", subject_id=7, title="Handout", by=None)
        document.refresh_from_db()
        assert document.state == "queued"
        assert document.due_at <= timezone.now()

    def test_cuts_a_title_that_is_too_long_for_its_column(self) -> None:
        assert len(request_document(kind="slow", subject_id=1, title="x" * 500, by=None).title) == 200


@pytest.mark.django_db
class TestSweep:
    def test_pushes_a_queued_row_whose_task_was_lost_and_once_only(self, pushed: list[int]) -> None:
        lost = make(due_at=timezone.now() - timedelta(seconds=1))
        assert sweep() == 1
        assert sweep() == 0
        assert pushed == [lost.pk]

    def test_leaves_a_row_alone_that_was_pushed_just_now(self, pushed: list[int]) -> None:
        make(due_at=timezone.now() + timedelta(seconds=10))
        assert sweep() == 0
        assert pushed == []

    def test_pushes_a_row_whose_lease_ran_out(self, pushed: list[int]) -> None:
        now = timezone.now()
        make(state="rendering", lease_until_at=now + timedelta(seconds=60))
        stuck = make(state="rendering", lease_until_at=now - timedelta(seconds=1))
        assert sweep() == 1
        assert pushed == [stuck.pk]

    def test_leaves_finished_rows_alone(self, pushed: list[int]) -> None:
        past = timezone.now() - timedelta(days=1)
        make(state="ready", stored_name="a.pdf", size_bytes=1, due_at=past)
        make(state="failed", reason="because", due_at=past)
        assert sweep() == 0
        assert pushed == []

    def test_stops_at_the_first_refusal_of_a_broker_that_is_down(self) -> None:
        for _ in range(3):
            make(due_at=timezone.now() - timedelta(seconds=1))
        with BROKER_IS_DOWN as refused:
            assert sweep() == 0
        assert refused.call_count == 1


@pytest.mark.django_db
class TestRetryDocument:
    def test_queues_a_failed_document_afresh(self, pushed: list[int], django_capture_on_commit_callbacks: Commits) -> None:
        document = make(state="failed", reason="no paper", attempts=5, finished_at=timezone.now())
        with django_capture_on_commit_callbacks(execute=True):
            assert retry_document(document)
        document.refresh_from_db()
        assert (document.state, document.reason, document.attempts, document.finished_at) == ("queued", "", 0, None)
        assert pushed == [document.pk]

    def test_does_nothing_to_a_document_that_is_not_failed(self, pushed: list[int]) -> None:
        document = make(state="queued")
        assert not retry_document(document)
        assert pushed == []


@pytest.mark.django_db
class TestLatestDocument:
    def test_is_the_newest_of_its_kind_and_subject(self) -> None:
        now = timezone.now()
        make(created_at=now - timedelta(hours=1))
        newest = make(created_at=now)
        make(kind="other")
        make(subject_id=2)
        assert latest_document(kind="slow", subject_id=1) == newest
        assert latest_document(kind="slow", subject_id=99) is None


@pytest.mark.django_db
class TestPush:
    def test_says_whether_the_broker_took_it(self, pushed: list[int]) -> None:
        document = make()
        assert push(document.pk)
        with patch.object(tasks.render, "apply_async", side_effect=OSError("disk full")):
            assert not push(document.pk)
