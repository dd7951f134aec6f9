"""One pair of hands of test_several_hands: weighs its share of the lines, then posts, in a process of its own."""

import sys
import time

import django

django.setup()

from materials.counting import posting  # noqa: E402
from materials.counting.weighing import weigh  # noqa: E402
from materials.errors import CountClosed  # noqa: E402
from materials.models import Stocktake  # noqa: E402


def main(turn: str, hands: str, start_at: str) -> None:
    """Weigh every line that is this hand's, and post as soon as that is done."""
    stocktake = Stocktake.objects.get()
    lines = list(stocktake.lines.select_related("stocktake"))[int(turn) :: int(hands)]
    time.sleep(max(0.0, float(start_at) - time.time()))
    weighed = 0
    try:
        for line in lines:
            weigh(line=line, counted_g=996, why="", by=None, seen_at=None)
            weighed += 1
        posting.post(stocktake=stocktake, by=None)
    except CountClosed:
        # Another hand was quicker; what is weighed after that does not count.
        pass
    sys.stdout.write(f"{weighed}\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
