"""Kill a writer in the middle of its work, many times, and look whether all that it acknowledged is there, and nothing by halves.

Started with the database in DATABASE_URL: python -m tests.benchmarks.stock.killing ROUNDS [lie]
Each round a child writes families of two lines (the A and the B of a mix) and acknowledges each after it was written, with
the number drawn for the round; an acknowledgement of another round would be seen. The parent kills it with signal 9 at a
moment drawn by lot. With `lie` the child acknowledges before it writes: a harness that lets that pass proves nothing.
"""

import json
import os
import random
import secrets
import signal
import sys
import time
from decimal import Decimal

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connections  # noqa: E402

from materials import ledger  # noqa: E402
from materials.models import Lot, Material, Movement  # noqa: E402

LONGEST_WAIT_S = 60.0


def shelf() -> list[int]:
    """Make a kit that a whole run does not empty."""
    material = Material.objects.create(name=f"Rubber {secrets.token_hex(4)}", kind="rubber")
    numbers = []
    for part in ("A", "B"):
        lot = Lot.objects.create(material=material, component=part, unit_cost_per_kg=20)
        ledger.receive(of=lot, mass_g=100_000_000, key=f"in-{lot.pk}", by=None)
        numbers.append(lot.pk)
    return numbers


def write_on(lots: list[int], stamp: str, pipe: int, *, lie: bool) -> None:
    """Write families of lines until somebody ends this."""
    turn = 0
    while True:
        key = f"{stamp}-{turn}"
        if lie:
            os.write(pipe, f"{key}\n".encode())
        takes = [ledger.Take(of=Lot.objects.get(pk=pk), mass_g=Decimal(1)) for pk in lots]
        ledger.issue_together(takes=takes, key=key, by=None)
        if not lie:
            os.write(pipe, f"{key}\n".encode())
        turn += 1


def one_round(lots: list[int], draw: random.Random, *, lie: bool) -> tuple[str, list[str], float]:
    """Let a child write, kill it, and return the round's number, what was acknowledged, and how old the last word was."""
    stamp = secrets.token_hex(8)
    out, into = os.pipe()
    connections.close_all()
    child = os.fork()
    if child == 0:
        os.close(out)
        write_on(lots, stamp, into, lie=lie)
        os._exit(1)
    os.close(into)
    told, last, wanted = b"", time.monotonic(), draw.randint(1, 6)
    begun = last
    while told.count(b"\n") < wanted and time.monotonic() - begun < LONGEST_WAIT_S:
        told += os.read(out, 65536)
        last = time.monotonic()
    time.sleep(draw.uniform(0, 0.02))
    os.kill(child, signal.SIGKILL)
    age = time.monotonic() - last
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the child ended by itself"
    while more := os.read(out, 65536):
        told += more
    os.close(out)
    # A word that was cut off by the kill is no acknowledgement.
    return stamp, told.decode().split("\n")[:-1], age


def main() -> None:
    rounds, lie = int(sys.argv[1]), "lie" in sys.argv[2:]
    call_command("migrate", verbosity=0)
    lots, draw = shelf(), random.Random()
    told = {"rounds": 0, "acknowledged": 0, "lost": 0, "halves": 0, "unacknowledged": 0, "stale": 0, "oldest_word_ms": 0.0}
    for _ in range(rounds):
        stamp, acks, age = one_round(lots, draw, lie=lie)
        keys = Movement.objects.filter(idempotency_key__startswith=stamp).values_list("idempotency_key", flat=True)
        lines: dict[str, int] = {}
        for key in keys:
            lines[key.rpartition(".")[0]] = lines.get(key.rpartition(".")[0], 0) + 1
        told["rounds"] += 1
        told["acknowledged"] += len(acks)
        told["stale"] += sum(not ack.startswith(stamp) for ack in acks) + (not acks)
        told["lost"] += sum(lines.get(ack, 0) == 0 for ack in acks)
        told["halves"] += sum(count != 2 for count in lines.values())
        told["unacknowledged"] += len(lines.keys() - set(acks))
        told["oldest_word_ms"] = max(told["oldest_word_ms"], round(age * 1000, 1))
    mine = [lot for lot in ledger.unbalanced() if lot.pk in lots]
    told["unbalanced"] = len(mine) + len(ledger.unbalanced_books())
    sys.stdout.write(json.dumps(told) + "\n")


if __name__ == "__main__":
    main()
