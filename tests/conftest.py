"""What every test may use: accounts signed in by role, Chromium, and a fresh data folder."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from jobs.geometry.mesh_child import kernels_are_ready, ready_to_measure
from studio.access import Role
from studio.models import Account
from tests.factories import AccountFactory
from tests.scans import npm_missing

# Playwright runs an event loop in the thread that also uses the database.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
CHROMIUM_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

# What takes long to set up is set up by one of the processes alone, which runs all tests that want it.
TOGETHER = ("tests/browser/", "tests/studio/test_whole_app", "tests/studio/test_demo")
GROUPS = {"tests/studio/test_demo": "tests/studio/test_whole_app"}


def chromium_path() -> str | None:
    """Find the browser: the one named in HANDLAID_CHROMIUM, or the system's own."""
    named = os.environ.get("HANDLAID_CHROMIUM")
    return named or next((path for name in CHROMIUM_NAMES if (path := shutil.which(name))), None)


@pytest.hookimpl(tryfirst=True)
def pytest_sessionstart(session: pytest.Session) -> None:
    """Before the workers of a spread run start, compile the kernels once, so that none of them waits for another."""
    spread = getattr(session.config.option, "numprocesses", None) and not hasattr(session.config, "workerinput")
    if spread and not kernels_are_ready():
        session.config.get_terminal_writer().line("Compiling what measures meshes, once for this version of the program.")
        ready_to_measure()


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Spread single tests over the processes, but keep together those that share what takes long to set up."""
    if config.getoption("dist") != "loadgroup":
        return None
    from xdist.scheduler import LoadScopeScheduling

    class Together(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            start = next((start for start in TOGETHER if nodeid.startswith(start)), nodeid)
            return GROUPS.get(start, start)

    return Together(config, log)


def touches_rows(item: pytest.Item) -> bool:
    """Say whether a test uses the database of the test run."""
    fixtures = set(getattr(item, "fixturenames", ()))
    return item.get_closest_marker("django_db") is not None or bool({"db", "transactional_db"} & fixtures)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Skip what this machine cannot run, and say why; in CI nothing may be missing."""
    if os.environ.get("HANDLAID_TEST_ON") == "postgresql":
        config.hook.pytest_deselected(items=[item for item in items if not touches_rows(item)])
        items[:] = [item for item in items if touches_rows(item)]
    reasons = {
        "browser": None if chromium_path() else "no Chromium found: install your system's chromium package to run these",
        "services": None
        if os.environ.get("HANDLAID_TEST_DATABASE_URL") and os.environ.get("HANDLAID_TEST_REDIS_URL")
        else "set HANDLAID_TEST_DATABASE_URL and HANDLAID_TEST_REDIS_URL to test on PostgreSQL and Redis",
        "scans": npm_missing(),
    }
    for marker, reason in reasons.items():
        wanted = [item for item in items if item.get_closest_marker(marker)]
        if reason and wanted and os.environ.get("CI"):
            raise pytest.UsageError(f"{len(wanted)} {marker} tests cannot run in CI: {reason}")
        for item in wanted if reason else []:
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Drive the system's Chromium; Playwright's own download is not used."""
    return {**browser_type_launch_args, "executable_path": chromium_path(), "args": CHROMIUM_ARGUMENTS}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """Give every page a size, a language and a time zone of its own, whatever the machine has."""
    return {
        **browser_context_args,
        "viewport": {"width": 1280, "height": 900},
        "locale": "en-GB",
        "timezone_id": "Europe/London",
        "reduced_motion": "reduce",
    }


@pytest.fixture(autouse=True)
def documents_folder(tmp_path: Path, settings: Any) -> Path:
    """Keep each test's documents and uploads apart."""
    settings.DOCUMENTS_DIR = tmp_path / "files" / "documents"
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": tmp_path / "files"}},
    }
    return Path(settings.DOCUMENTS_DIR)


@pytest.fixture
def account(db: None) -> Account:
    """Return the owner's account."""
    return AccountFactory(role=Role.OWNER)


@pytest.fixture
def signed_in(db: None) -> Callable[[Role], Client]:
    """Return a function that makes a client signed in with a role."""

    def make(role: Role = Role.OWNER) -> Client:
        client = Client()
        client.force_login(AccountFactory(role=role), backend="django.contrib.auth.backends.ModelBackend")
        return client

    return make


@pytest.fixture
def owner_client(signed_in: Callable[[Role], Client]) -> Client:
    """Return a client signed in as the owner."""
    return signed_in(Role.OWNER)
