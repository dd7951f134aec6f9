"""What tests of the whole app share: the demo studio's rows, loaded once and put back into each test."""

from pathlib import Path
from typing import Any

import pytest
from django.core.cache import caches
from django.test import Client

from studio.access import Role
from studio.models import Account
from tests.studio.demo_rows import DemoRows, put_demo, take_demo


@pytest.fixture(scope="session")
def taken_demo(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> DemoRows:
    """Return the rows and files of the demo studio; the database stays empty."""
    with django_db_blocker.unblock():
        return take_demo(tmp_path_factory.mktemp("demo"))


@pytest.fixture
def demo(db: None, taken_demo: DemoRows, tmp_path: Path) -> dict[Role, Client]:
    """Put the demo studio into the database; return a browser signed in for each role."""
    put_demo(taken_demo, tmp_path / "files")
    # What earlier tests tried of secret addresses counts for none of the next.
    caches["default"].clear()
    browsers = {}
    for role in Role:
        browsers[role] = Client(raise_request_exception=False)
        browsers[role].force_login(Account.objects.get(role=role), backend="django.contrib.auth.backends.ModelBackend")
    return browsers
