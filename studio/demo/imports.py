"""The demo's table that was sent and waits to be looked at, with a mistake in it."""

from materials.tables.coming import read_in
from studio.models import Account

TABLE = (
    "Material;Part;Mass;Received on;Supplier's lot;Place\n"
    "{rubber};part A;5 kg;2026-03-02;HR-5001;shelf 1\n"
    "{rubber};part B;0,5 kg;2026-03-02;HR-5002;shelf 1\n"
    "{rubber};;many;2026-03-02;HR-5003;shelf 2\n"
)


def add_import(by: Account, rubber: str) -> None:
    """Read a small table in, and keep nothing of it yet."""
    content = TABLE.format(rubber=rubber).encode()
    read_in(kind="lots", file_name="spring delivery.csv", content=content, by=by, sees_money=True)
