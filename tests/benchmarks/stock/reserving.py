"""Many processes reserve from the same lots at once: nothing is oversold, and nobody is shown a fault of locks.

Started with the database in DATABASE_URL: python -m tests.benchmarks.stock.reserving CALLS HANDS
"""

import json
import os
import random
import secrets
import sys
import time

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connections  # noqa: E402

from materials import ledger  # noqa: E402
from materials.errors import NotEnough  # noqa: E402
from materials.models import Lot, Material, Movement  # noqa: E402

LOTS, EACH_G = 5, 10


def hand(number: int, calls: int, lots: list[int], stamp: str, pipe: int) -> None:
    """Reserve from lots drawn by lot, and tell what came of it."""
    draw, told = random.Random(number), {"reserved": 0, "refused": 0, "faults": 0, "slowest_ms": 0.0}
    for turn in range(calls):
        begun = time.perf_counter()
        try:
            lot = Lot.objects.get(pk=draw.choice(lots))
            ledger.reserve(of=lot, mass_g=EACH_G, key=f"{stamp}-{number}-{turn}", by=None, job_number=number + 1)
            told["reserved"] += 1
        except NotEnough:
            told["refused"] += 1
        except Exception as fault:
            told["faults"] += 1
            sys.stderr.write(f"{fault!r}\n")
        told["slowest_ms"] = max(told["slowest_ms"], round((time.perf_counter() - begun) * 1000, 1))
    os.write(pipe, (json.dumps(told) + "\n").encode())
    os._exit(0)


def main() -> None:
    calls, hands = int(sys.argv[1]), int(sys.argv[2])
    call_command("migrate", verbosity=0)
    stamp = secrets.token_hex(6)
    material = Material.objects.create(name=f"Rubber {stamp}", kind="rubber")
    lots = []
    # There is enough for half of the calls.
    for number in range(LOTS):
        lot = Lot.objects.create(material=material)
        ledger.receive(of=lot, mass_g=calls // 2 // LOTS * EACH_G, key=f"{stamp}-in-{number}", by=None)
        lots.append(lot.pk)
    out, into = os.pipe()
    connections.close_all()
    begun, children = time.perf_counter(), []
    for number in range(hands):
        child = os.fork()
        if child == 0:
            hand(number, calls // hands, lots, stamp, into)
        children.append(child)
    os.close(into)
    for child in children:
        os.waitpid(child, 0)
    seconds = time.perf_counter() - begun
    told = b""
    while more := os.read(out, 65536):
        told += more
    each = [json.loads(line) for line in told.decode().splitlines()]
    rows = list(Lot.objects.filter(pk__in=lots))
    lines = Movement.objects.filter(lot__in=lots, kind="reserve").count()
    answer = {
        "calls": sum(one["reserved"] + one["refused"] for one in each),
        "reserved": sum(one["reserved"] for one in each),
        "refused": sum(one["refused"] for one in each),
        "faults": sum(one["faults"] for one in each),
        "lines": lines,
        "oversold_g": float(max(sum(row.reserved_g for row in rows) - sum(row.on_hand_g for row in rows), 0)),
        "acknowledged_not_written": sum(one["reserved"] for one in each) - lines,
        "unbalanced": sum(row.pk in lots for row in ledger.unbalanced()),
        "seconds": round(seconds, 1),
        "slowest_ms": max(one["slowest_ms"] for one in each),
        "hands_that_told": len(each),
    }
    sys.stdout.write(json.dumps(answer) + "\n")


if __name__ == "__main__":
    main()
