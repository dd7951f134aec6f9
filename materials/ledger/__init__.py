"""The only door through which a mass on the shelf, or what it is worth, changes.

Each function writes one movement, or a family of them, and moves the balance of its lot or scrap bin and the book that it is
costed in, in the same transaction: the rows are locked first, always in the same order, the balance is swapped only where it
still is what was read, and CHECKs in the database stand behind both. Each takes an idempotency key: the same key with the
same payload writes once and answers with the first line, with another payload it is refused. Masses are grams to three
places, values money to four, rounded half up; `materials.valuing` says by which rules.

Who writes several lines in a transaction of their own calls `hold` first with all lots and bins that it will touch, and lets
`patiently` run the transaction, or is made `patient` itself.
"""

from materials.ledger.balances import balances_from_movements, reserved_for, unbalanced, used_at_cost, used_from
from materials.ledger.books import unbalanced_books
from materials.ledger.holding import hold
from materials.ledger.methods import choose_cost_method
from materials.ledger.moves import adjust_by_count, cut, discard, issue, receive, release, reserve, return_
from materials.ledger.patience import patient, patiently
from materials.ledger.together import Take, family_key, issue_together, move
from materials.ledger.undoing import reverse, reverse_together
from materials.ledger.writing import lines_of_keys

__all__ = [
    "Take",
    "adjust_by_count",
    "balances_from_movements",
    "choose_cost_method",
    "cut",
    "discard",
    "family_key",
    "hold",
    "issue",
    "issue_together",
    "lines_of_keys",
    "move",
    "patient",
    "patiently",
    "receive",
    "release",
    "reserve",
    "reserved_for",
    "return_",
    "reverse",
    "reverse_together",
    "unbalanced",
    "unbalanced_books",
    "used_at_cost",
    "used_from",
]
