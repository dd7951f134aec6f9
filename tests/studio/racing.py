"""One hand of the race in test_access_races: run in a process of its own, told what to try and when to start."""

import sys
import time

import django

django.setup()

from django.db import transaction  # noqa: E402

from studio.access import Role  # noqa: E402
from studio.errors import StudioError  # noqa: E402
from studio.services.accounts import change_role  # noqa: E402
from studio.services.invitations import open_account  # noqa: E402

HELD_OPEN_S = 0.5  # long enough that hands which do not wait for each other all decide before any has written
SECRET = "seven clay pots by the canal"


def main(what: str, argument: str, hand: str, start_at: str) -> None:
    """Try once, at the moment when all hands try."""
    time.sleep(max(0.0, float(start_at) - time.time()))
    try:
        with transaction.atomic():
            if what == "open":
                open_account(token=argument, name=f"Hand {hand}", email=f"hand{hand}@studio.example", password=SECRET)
            else:
                change_role(account_id=int(argument.split(",")[int(hand)]), role=Role.MAKER)
            time.sleep(HELD_OPEN_S)
    except StudioError:
        sys.stdout.write("refused\n")
    else:
        sys.stdout.write("done\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
