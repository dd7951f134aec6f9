"""Several people freeze at once, on a database of their own: no number is given twice, none is skipped."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest

ROOT = Path(__file__).resolve().parents[2]
HANDS, OWN_JOBS, TURNS = 3, 2, 6

SET_UP = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.costing.rows import make_job
print(*[make_job(title=f"Job {n}", resin=None).number for n in range(%d)])
"""
LOOK = """
import django, json; django.setup()
from costing.models import Quote
from studio.models import Document
rows = list(Quote.objects.order_by("number", "version").values_list("number", "version", "state"))
print(json.dumps([rows, Document.objects.filter(kind="quote").count()]))
"""


def run(code: str, env: dict[str, str]) -> str:
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.split("\n")[-2]


def play(url: str, folder: Path) -> None:
    """Let each hand freeze two jobs of its own and one that all share, in turns."""
    env = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "studio.settings.base",
        "DATABASE_URL": url,
        "HANDLAID_DATA": str(folder),
        "HANDLAID_SECRET_KEY": "only-for-tests-" + "0" * 50,
    }
    shared, *own = run(SET_UP % (1 + HANDS * OWN_JOBS), env).split()
    hands = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.costing.freezing", str(TURNS), shared, *own[hand * OWN_JOBS : (hand + 1) * OWN_JOBS]],
            cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for hand in range(HANDS)
    ]  # fmt: skip
    told: list[tuple[int, int]] = []
    for hand in hands:
        out, err = hand.communicate(timeout=300)
        assert hand.returncode == 0, err
        told += [(number, version) for number, version in json.loads(out.splitlines()[-1])]
    rows, documents = json.loads(run(LOOK, env))
    assert len(set(told)) == len(told) == HANDS * TURNS == documents
    assert sorted(told) == [(number, version) for number, version, _ in rows]
    numbers = sorted({number for number, _ in told})
    assert numbers == list(range(1001, 1001 + 1 + HANDS * OWN_JOBS))
    for number in numbers:
        states = [state for found, _, state in rows if found == number]
        versions = [version for found, version, _ in rows if found == number]
        assert versions == list(range(1, len(versions) + 1))
        assert states == ["superseded"] * (len(states) - 1) + ["offered"]


class TestManyHands:
    def test_take_each_number_once_on_sqlite(self, tmp_path: Path) -> None:
        play(f"sqlite:///{tmp_path / 'studio.sqlite3'}", tmp_path)

    @pytest.fixture
    def postgresql_url(self) -> Iterator[str]:
        url = os.environ["HANDLAID_TEST_DATABASE_URL"]
        name = f"quotes_{os.getpid()}"
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}"')
        try:
            yield urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
        finally:
            with psycopg.connect(url, autocommit=True) as connection:
                connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')

    @pytest.mark.services
    def test_take_each_number_once_on_postgresql(self, tmp_path: Path, postgresql_url: str) -> None:
        play(postgresql_url, tmp_path)
