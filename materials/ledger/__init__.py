"""The only door through which a mass on the shelf changes.

Each function writes one movement and moves the balance of its lot or scrap bin in the same transaction: the row is locked
first, the balance is swapped only where it still is what was read, and CHECKs in the database stand behind both. Each
takes an idempotency key: the same key with the same payload writes once and answers with the first line, with another
payload it is refused. Masses are grams to three places, rounded half up.
"""

from materials.ledger.balances import balances_from_movements, reserved_for, unbalanced, used_from
from materials.ledger.moves import adjust_by_count, discard, issue, receive, release, reserve, return_, reverse

__all__ = [
    "adjust_by_count",
    "balances_from_movements",
    "discard",
    "issue",
    "receive",
    "release",
    "reserve",
    "reserved_for",
    "return_",
    "reverse",
    "unbalanced",
    "used_from",
]
