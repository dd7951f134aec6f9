"""One hand among several: reserve from a lot many times in a process of its own, and print what came of it.

Started by test_ledger_concurrency with the database in DATABASE_URL: python -m tests.materials.reserving LOT GROUP TIMES
"""

import json
import sys

import django

django.setup()

from materials import ledger  # noqa: E402
from materials.errors import NotEnough  # noqa: E402
from materials.models import Lot  # noqa: E402


def main() -> None:
    lot_pk, group, times = (int(word) for word in sys.argv[1:])
    came = {"reserved": 0, "refused": 0}
    for turn in range(times):
        try:
            ledger.reserve(of=Lot.objects.get(pk=lot_pk), mass_g=10, key=f"{group}-{turn}", by=None, job_number=group + 1)
            came["reserved"] += 1
        except NotEnough:
            came["refused"] += 1
    sys.stdout.write(json.dumps(came))


if __name__ == "__main__":
    main()
