"""The database's own guard of the ledger: a movement is never changed and never deleted.

Row triggers, so that emptying a whole test database by TRUNCATE still works on PostgreSQL. A migration that rebuilds the
movements' table on SQLite drops its triggers with the old table and must call `guard` again; a test watches over that.
"""

from django.db.backends.base.base import BaseDatabaseWrapper

TABLE = "materials_movement"
SENTENCE = "A line of the stock ledger is never changed or deleted; reverse it by a new line."

_SQLITE = [
    f"CREATE TRIGGER {TABLE}_no_update BEFORE UPDATE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END",
    f"CREATE TRIGGER {TABLE}_no_delete BEFORE DELETE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END",
]
_SQLITE_LIFT = [f"DROP TRIGGER IF EXISTS {TABLE}_no_update", f"DROP TRIGGER IF EXISTS {TABLE}_no_delete"]
_POSTGRESQL = [
    f"CREATE OR REPLACE FUNCTION {TABLE}_refuse() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
    f"CREATE TRIGGER {TABLE}_append_only BEFORE UPDATE OR DELETE ON {TABLE} FOR EACH ROW EXECUTE FUNCTION {TABLE}_refuse()",
]
_POSTGRESQL_LIFT = [
    f"DROP TRIGGER IF EXISTS {TABLE}_append_only ON {TABLE}",
    f"DROP FUNCTION IF EXISTS {TABLE}_refuse()",
]


def guard(connection: BaseDatabaseWrapper) -> None:
    """Put the triggers on the movements' table."""
    _run(connection, _SQLITE if connection.vendor == "sqlite" else _POSTGRESQL)


def lift(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers off: only for emptying a whole database and for taking the migration back."""
    _run(connection, _SQLITE_LIFT if connection.vendor == "sqlite" else _POSTGRESQL_LIFT)


def _run(connection: BaseDatabaseWrapper, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
