"""Several hands at once: a link opens one account only, and two owners cannot step down at the same moment."""

import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest

ROOT = Path(__file__).resolve().parents[2]
HANDS = 4
STARTING_S = 6

SET_UP = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from studio.models import Account
from studio.services.invitations import invite
owners = [Account.objects.create_account(email=f"o{n}@studio.example", password=None, name="O", role="owner") for n in range(4)]
print(invite(role="maker", by=owners[0]))
print(",".join(str(owner.pk) for owner in owners))
"""
LOOK = """
import django; django.setup()
from studio.models import Account
print(Account.objects.filter(email__startswith="hand").count(), Account.objects.filter(role="owner").count())
"""


def run(code: str, env: dict[str, str]) -> list[str]:
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def race(what: str, argument: str, env: dict[str, str]) -> Counter[str]:
    start_at = str(time.time() + STARTING_S)
    hands = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.studio.racing", what, argument, str(hand), start_at],
            cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for hand in range(HANDS)
    ]  # fmt: skip
    said: Counter[str] = Counter()
    for hand in hands:
        out, err = hand.communicate(timeout=120)
        assert hand.returncode == 0, err
        said[out.strip()] += 1
    return said


@pytest.fixture
def play(tmp_path: Path) -> Callable[[str], None]:
    def both(url: str) -> None:
        env = {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "studio.settings.base",
            "DATABASE_URL": url,
            "HANDLAID_DATA": str(tmp_path),
            "HANDLAID_SECRET_KEY": "only-for-tests-" + "0" * 50,
        }
        token, owners = run(SET_UP, env)
        assert race("open", token, env) == {"done": 1, "refused": HANDS - 1}
        assert race("step down", owners, env) == {"done": HANDS - 1, "refused": 1}
        assert run(LOOK, env) == ["1", "1"]

    return both


@pytest.fixture
def postgresql_url() -> Iterator[str]:
    url = os.environ["HANDLAID_TEST_DATABASE_URL"]
    name = f"access_{os.getpid()}"
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')  # type: ignore[call-overload]
    try:
        yield urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
    finally:
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')  # type: ignore[call-overload]


class TestManyHands:
    def test_open_one_account_and_leave_one_owner_on_sqlite(self, play: Callable[[str], None], tmp_path: Path) -> None:
        play(f"sqlite:///{tmp_path / 'studio.sqlite3'}")

    @pytest.mark.services
    def test_open_one_account_and_leave_one_owner_on_postgresql(self, play: Callable[[str], None], postgresql_url: str) -> None:
        play(postgresql_url)
