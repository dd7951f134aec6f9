"""Connection options for SQLite: durable, and safe on versions with the write-ahead-log reset fault."""

import sqlite3
from typing import Any

# Versions in this closed range can lose committed pages when a write-ahead log is reset; two of them carry the fix.
FAULTY_FROM, FAULTY_TO = (3, 7, 0), (3, 51, 2)
MENDED = {(3, 44, 6), (3, 50, 7)}


def journal_mode(version: tuple[int, ...] = sqlite3.sqlite_version_info) -> str:
    """Return WAL where this SQLite resets its log safely, DELETE otherwise."""
    version = tuple(version[:3])
    if FAULTY_FROM <= version <= FAULTY_TO and version not in MENDED:
        return "DELETE"
    return "WAL"


def connection_options() -> dict[str, Any]:
    """Return Django's OPTIONS for SQLite."""
    return {
        "timeout": 20,
        "transaction_mode": "IMMEDIATE",
        "init_command": f"PRAGMA journal_mode={journal_mode()}; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    }
