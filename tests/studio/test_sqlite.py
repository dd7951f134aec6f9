"""SQLite: the pragmas hold on real connections, faulty versions get the safe journal, writers wait for one another."""

import sqlite3
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError
from django.db.backends.sqlite3.base import DatabaseWrapper

from studio.sqlite import connection_options, journal_mode

# Lifts pytest-django's guard on connections; these tests make their own.
pytestmark = pytest.mark.django_db


def connect(path: Path) -> DatabaseWrapper:
    settings: dict[str, Any] = {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(path),
        "OPTIONS": connection_options(),
        "ATOMIC_REQUESTS": False,
        "AUTOCOMMIT": True,
        "CONN_MAX_AGE": 0,
        "CONN_HEALTH_CHECKS": False,
        "TIME_ZONE": None,
    }
    return DatabaseWrapper(settings, alias="file")


@pytest.fixture
def database(tmp_path: Path) -> Iterator[DatabaseWrapper]:
    made = connect(tmp_path / "studio.sqlite3")
    yield made
    made.close()


def value(database: DatabaseWrapper, pragma: str) -> Any:
    with database.cursor() as cursor:
        return cursor.execute(f"PRAGMA {pragma}").fetchone()[0]


class TestJournalMode:
    # published: sqlite.org, "Write-Ahead Logging", on the WAL-reset bug: versions 3.7.0 to 3.51.2 have it; 3.44.6, 3.50.7
    # and 3.51.3 carry the fix.
    @pytest.mark.parametrize(
        ("version", "mode"),
        [
            ((3, 7, 0), "DELETE"),
            ((3, 40, 1), "DELETE"),
            ((3, 44, 5), "DELETE"),
            ((3, 44, 6), "WAL"),
            ((3, 45, 0), "DELETE"),
            ((3, 50, 6), "DELETE"),
            ((3, 50, 7), "WAL"),
            ((3, 51, 0), "DELETE"),
            ((3, 51, 2), "DELETE"),
            ((3, 51, 3), "WAL"),
            ((3, 53, 4), "WAL"),
        ],
    )
    def test_is_wal_only_where_resetting_the_log_is_safe(self, version: tuple[int, ...], mode: str) -> None:
        assert journal_mode(version) == mode

    def test_reads_the_version_of_this_machine(self) -> None:
        assert journal_mode() == journal_mode(sqlite3.sqlite_version_info)


class TestConnection:
    def test_holds_every_pragma_on_a_real_file(self, database: DatabaseWrapper) -> None:
        assert value(database, "journal_mode") == journal_mode().lower()
        assert value(database, "synchronous") == 2  # published: sqlite.org, PRAGMA synchronous: 2 is FULL
        assert value(database, "foreign_keys") == 1
        assert value(database, "busy_timeout") == 20_000
        assert value(database, "mmap_size") == 0

    def test_holds_them_on_the_next_connection_too(self, database: DatabaseWrapper) -> None:
        value(database, "synchronous")
        database.close()
        assert value(database, "synchronous") == 2
        assert value(database, "foreign_keys") == 1

    def test_refuses_a_row_without_its_parent(self, database: DatabaseWrapper) -> None:
        with database.cursor() as cursor:
            cursor.execute("CREATE TABLE lot (id INTEGER PRIMARY KEY)")
            cursor.execute("CREATE TABLE movement (lot_id INTEGER NOT NULL REFERENCES lot (id))")
            with pytest.raises(IntegrityError):
                cursor.execute("INSERT INTO movement VALUES (1)")

    def test_takes_the_write_lock_at_the_start_of_a_transaction(self, database: DatabaseWrapper, tmp_path: Path) -> None:
        with database.cursor() as cursor:
            cursor.execute("CREATE TABLE lot (id INTEGER PRIMARY KEY)")
        database.set_autocommit(False, force_begin_transaction_with_broken_autocommit=True)
        with database.cursor() as cursor:
            cursor.execute("SELECT * FROM lot")
        other = sqlite3.connect(tmp_path / "studio.sqlite3", timeout=0, isolation_level=None)
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")
        other.close()
        database.rollback()
        database.set_autocommit(True)


class TestWritersAtOnce:
    def test_all_succeed_and_lose_no_update(self, tmp_path: Path) -> None:
        path = tmp_path / "studio.sqlite3"
        first = connect(path)
        with first.cursor() as cursor:
            cursor.execute("CREATE TABLE tally (n INTEGER)")
            cursor.execute("INSERT INTO tally VALUES (0)")
        first.close()
        problems: list[Exception] = []

        def add() -> None:
            own = connect(path)
            try:
                for _ in range(10):
                    own.set_autocommit(False, force_begin_transaction_with_broken_autocommit=True)
                    with own.cursor() as cursor:
                        seen = cursor.execute("SELECT n FROM tally").fetchone()[0]
                        cursor.execute("UPDATE tally SET n = %s", [seen + 1])
                    own.commit()
                    own.set_autocommit(True)
            except Exception as problem:
                problems.append(problem)
            finally:
                own.close()

        threads = [threading.Thread(target=add) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert problems == []
        last = sqlite3.connect(path)
        assert last.execute("SELECT n FROM tally").fetchone() == (40,)
        last.close()
