"""Looking changes nothing; changing wants the forgery token."""

import hashlib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client

from studio.access import Role
from studio.models import Account
from tests.studio.addresses import VIEWS
from tests.studio.demo_rows import demo_addresses, own_models, visit

pytestmark = pytest.mark.django_db
# What a signed-in account's own session notes (seen at, sign-in) is not of the studio's rows.
TOUCHED_BY_SIGNING_IN = {"studio.Account": {"last_login"}}


def fingerprint(rows: list[dict[str, Any]]) -> str:
    return hashlib.sha256(repr([sorted(row.items()) for row in rows]).encode()).hexdigest()


def state() -> dict[str, tuple[int, str]]:
    """Return each table's count and the hash of all its values, and the files with theirs."""
    found = {}
    for model in own_models():
        left_out = TOUCHED_BY_SIGNING_IN.get(model._meta.label, set())
        names = [field.attname for field in model._meta.concrete_fields if field.attname not in left_out]
        rows = list(model._base_manager.order_by("pk").values(*names))
        found[model._meta.label] = (len(rows), fingerprint(rows))
    files = sorted(path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file())
    hashes = hashlib.sha256(b"".join(hashlib.sha256(path.read_bytes()).digest() for path in files)).hexdigest()
    return {**found, "files": (len(files), hashes)}


class TestLooking:
    @pytest.mark.parametrize("role", list(Role))
    def test_at_every_row_changes_nothing(self, demo: dict[Role, Client], role: Role) -> None:
        before = state()
        assert before["jobs.Job"][0] == 14
        assert before["files"][0] >= 4
        seen: Counter[int] = Counter()
        crashed = []
        manners: list[dict[str, Any]] = [{}, {"headers": {"HX-Request": "true"}}] if role is Role.OWNER else [{}]
        for _name, address in demo_addresses(each=2):
            for options in manners:
                status = visit(demo[role], address, **options).status_code
                seen[status] += 1
                crashed += [address] if status >= 500 else []
        assert crashed == []
        assert set(seen) <= {200, 302, 403, 404, 405, 410}
        assert seen[200] > 60
        assert state() == before

    def test_would_be_noticed_if_it_changed_something(self, demo: dict[Role, Client]) -> None:
        before = state()
        Account.objects.filter(role=Role.MAKER).update(name="Somebody else")
        assert state() != before


class TestForms:
    def test_sent_without_the_forgery_token_are_refused_and_change_nothing(self, demo: dict[Role, Client]) -> None:
        strict = Client(enforce_csrf_checks=True, raise_request_exception=False)
        strict.force_login(Account.objects.get(role=Role.OWNER), backend="django.contrib.auth.backends.ModelBackend")
        before, refused = state(), {}
        for name, address in demo_addresses():
            statuses = {
                getattr(strict, method)(address, {"action": "keep", "to": "agreed", "token": "x"}, **options).status_code
                for method, options in (
                    ("post", {}),
                    ("post", {"headers": {"HX-Request": "true", "X-CSRFToken": "x" * 32}}),
                    ("post", {"headers": {"Origin": "https://elsewhere.example"}}),
                )
            }
            refused[name] = statuses
        assert {name: found for name, found in refused.items() if not found <= {403, 405}} == {}
        takes_posts = {name for name, found in refused.items() if found == {403}}
        assert len(takes_posts) > 60
        assert {"jobs:scan_add", "studio:sign_in", "studio:sign_out", "costing:price_keep", "materials:lot_use"} <= takes_posts
        assert set(refused) == set(VIEWS)
        assert state() == before

    def test_are_refused_in_words_that_say_what_to_do(self, demo: dict[Role, Client]) -> None:
        strict = Client(enforce_csrf_checks=True)
        strict.force_login(Account.objects.get(role=Role.OWNER), backend="django.contrib.auth.backends.ModelBackend")
        answer = strict.post("/jobs/add/", {"title": "Garden lion"})
        assert answer.status_code == 403
        assert "form" in answer.content.decode()
        assert "<h1" in answer.content.decode()
