"""Several hands at once on a database of their own: nothing is oversold, nothing is written twice."""

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
HANDS, GROUPS, TURNS = 4, 2, 100  # two hands share each group's keys, so each key comes twice: 400 calls, 200 reservations
ON_HAND_G, EACH_G = 1000, 10

SET_UP = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from materials import ledger
from materials.models import Lot, Material
lot = Lot.objects.create(material=Material.objects.create(name="Rubber", kind="rubber"))
ledger.receive(of=lot, mass_g={mass}, key="delivery", by=None)
print(lot.pk)
"""
LOOK = """
import django; django.setup()
from materials import ledger
from materials.models import Lot, Movement
lot = Lot.objects.get()
assert ledger.balances_from_movements(of=lot) == (lot.on_hand_g, lot.reserved_g)
print(lot.on_hand_g, lot.reserved_g, Movement.objects.filter(kind="reserve").count())
"""


def environment(url: str, folder: Path) -> dict[str, str]:
    return {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "studio.settings.base",
        "DATABASE_URL": url,
        "HANDLAID_DATA": str(folder),
        "HANDLAID_SECRET_KEY": "only-for-tests-" + "0" * 50,
    }


def run(code: str, env: dict[str, str]) -> str:
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.split("\n")[-2]


def play(url: str, folder: Path) -> None:
    env = environment(url, folder)
    lot = run(SET_UP.format(mass=ON_HAND_G), env)
    hands = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.materials.reserving", lot, str(hand % GROUPS), str(TURNS)],
            cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for hand in range(HANDS)
    ]  # fmt: skip
    told = []
    for hand in hands:
        out, err = hand.communicate(timeout=300)
        assert hand.returncode == 0, err
        told.append(json.loads(out.splitlines()[-1]))
    on_hand, reserved, lines = run(LOOK, env).split()
    assert float(on_hand) == ON_HAND_G
    assert float(reserved) == ON_HAND_G
    assert int(lines) == ON_HAND_G // EACH_G
    # Each reserved key was acknowledged to both hands that share it, unless the second came first to an empty lot: never.
    assert sum(one["reserved"] for one in told) == 2 * int(lines)
    assert sum(one["reserved"] + one["refused"] for one in told) == HANDS * TURNS


@pytest.fixture
def postgresql_url() -> Iterator[str]:
    url = os.environ["HANDLAID_TEST_DATABASE_URL"]
    name = f"ledger_{os.getpid()}"
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    try:
        yield urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
    finally:
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def kill(url: str, folder: Path) -> None:
    """Kill a writer several times; then let it acknowledge before it writes, which must be seen as lost."""
    env = environment(url, folder)
    told = [json.loads(run_module("tests.benchmarks.stock.killing", words, env)) for words in (["5"], ["5", "lie"])]
    assert told[0]["acknowledged"] >= 5
    assert [told[0][name] for name in ("lost", "halves", "stale", "unbalanced")] == [0, 0, 0, 0]
    assert told[1]["lost"] > 0
    assert told[1]["halves"] == 0


def run_module(name: str, words: list[str], env: dict[str, str]) -> str:
    done = subprocess.run(
        [sys.executable, "-m", name, *words], cwd=ROOT, env=env, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()[-1]


class TestKilledWriters:
    def test_lose_nothing_that_they_acknowledged_on_sqlite(self, tmp_path: Path) -> None:
        kill(f"sqlite:///{tmp_path / 'studio.sqlite3'}", tmp_path)

    @pytest.mark.services
    def test_lose_nothing_that_they_acknowledged_on_postgresql(self, tmp_path: Path, postgresql_url: str) -> None:
        kill(postgresql_url, tmp_path)


class TestManyHands:
    def test_never_oversell_on_sqlite(self, tmp_path: Path) -> None:
        play(f"sqlite:///{tmp_path / 'studio.sqlite3'}", tmp_path)

    @pytest.mark.services
    def test_never_oversell_on_postgresql(self, tmp_path: Path, postgresql_url: str) -> None:
        play(postgresql_url, tmp_path)
