"""Several people in one stocktake at once, on a database of their own: each weight and each posting once."""

import subprocess
import sys
import time
from pathlib import Path

from tests.materials.test_ledger_concurrency import ROOT, environment, run

HANDS, LOTS = 3, 30
SET_UP = f"""
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from materials import ledger
from materials.counting.weighing import start_stocktake
from materials.models import Lot, Material
rubber = Material.objects.create(name="Rubber", kind="rubber")
for number in range({LOTS}):
    ledger.receive(of=Lot.objects.create(material=rubber), mass_g=1000, key=f"delivery-{{number}}", by=None)
start_stocktake(name="March", place="", blind=True, by=None)
print("ready")
"""
LOOK = """
import django; django.setup()
from materials.ledger import unbalanced
from materials.models import Movement, Stocktake, StocktakeLine
assert unbalanced() == []
assert Stocktake.objects.get().posted_at is not None
weighed = StocktakeLine.objects.filter(counted_g__isnull=False)
assert not weighed.filter(movement=None).exists()
print(weighed.count(), Movement.objects.filter(kind="adjust", mass_g=-4).count())
"""


class TestSeveralHands:
    def test_weigh_and_post_at_once_and_nothing_is_written_twice(self, tmp_path: Path) -> None:
        env = environment(f"sqlite:///{tmp_path / 'studio.sqlite3'}", tmp_path)
        assert run(SET_UP, env) == "ready"
        start_at = str(time.time() + 3)
        hands = [
            subprocess.Popen(
                [sys.executable, "-m", "tests.materials.counting.hand", str(turn), str(HANDS), start_at],
                cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
            )
            for turn in range(HANDS)
        ]  # fmt: skip
        told = [hand.communicate(timeout=60) for hand in hands]
        assert [hand.returncode for hand in hands] == [0] * HANDS, [error for _out, error in told]
        weighed, posted = run(LOOK, env).split()
        assert int(weighed) == int(posted) == sum(int(out) for out, _error in told)
        assert int(weighed) >= LOTS // HANDS
