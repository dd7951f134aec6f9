"""Several windows accept one quote in the same moment, on a database of their own: one is heard."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest

from tests.costing.test_numbering_concurrency import ROOT, run

HANDS = 3
SET_UP = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.costing.rows import make_job
from tests.factories import LotFactory
from jobs.models import Plan
from costing.services.quotes import freeze_quote
from costing.services.links import make_link
from costing.models import QuoteLink
job = make_job(resin=None)
LotFactory(material=Plan.objects.get(job=job).rubber, component="whole", holding=90_000)
make_link(quote=freeze_quote(job=job, by=None), by=None)
print(QuoteLink.objects.get().pk)
"""
LOOK = """
import django, json; django.setup()
from costing.models import PaymentRequest, Quote, QuoteAnswer
from jobs.models import Job, Timetable
from materials.models import Movement
print(json.dumps([
    list(QuoteAnswer.objects.values_list("name", flat=True)), Quote.objects.get().state, Job.objects.get().state,
    PaymentRequest.objects.exclude(asked_on=None).count(), Movement.objects.filter(kind="reserve").count(),
    Timetable.objects.count(),
]))
"""


def play(url: str, folder: Path) -> None:
    env = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "studio.settings.base",
        "DATABASE_URL": url,
        "HANDLAID_DATA": str(folder),
        "HANDLAID_SECRET_KEY": "only-for-tests-" + "0" * 50,
    }
    link = run(SET_UP, env)
    start_at = str(time.time() + 4)
    windows = {
        name: subprocess.Popen(
            [sys.executable, "-m", "tests.costing.client.answering", link, name, start_at],
            cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for name in (f"Window {n}" for n in range(HANDS))
    }  # fmt: skip
    told = {}
    for name, window in windows.items():
        out, err = window.communicate(timeout=120)
        assert window.returncode == 0, err
        told[name] = out
    heard = [name for name, words in told.items() if words == "accepted"]
    assert len(heard) == 1, told
    assert all("already; a second answer was not taken" in words for name, words in told.items() if name not in heard)
    assert json.loads(run(LOOK, env)) == [heard, "accepted", "agreed", 1, 1, 1]


class TestManyWindows:
    def test_are_answered_once_on_sqlite(self, tmp_path: Path) -> None:
        play(f"sqlite:///{tmp_path / 'studio.sqlite3'}", tmp_path)

    @pytest.fixture
    def postgresql_url(self) -> Iterator[str]:
        url = os.environ["HANDLAID_TEST_DATABASE_URL"]
        name = f"answers_{os.getpid()}"
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}"')
        try:
            yield urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
        finally:
            with psycopg.connect(url, autocommit=True) as connection:
                connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')

    @pytest.mark.services
    def test_are_answered_once_on_postgresql(self, tmp_path: Path, postgresql_url: str) -> None:
        play(postgresql_url, tmp_path)
