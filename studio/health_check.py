"""Tell a container's health: an address that must answer, or a file that must have been touched lately. Standard library only."""

import sys
import time
import urllib.request
from pathlib import Path

FRESH_FOR_S = 600


def healthy(what: str) -> bool:
    """Say whether the address answers 200, or the file changed within ten minutes."""
    if what.startswith("http://"):
        try:
            with urllib.request.urlopen(what, timeout=4) as answer:  # noqa: S310 - http only, checked above
                return bool(answer.status == 200)
        except OSError:
            return False
    # The scheduler's store may carry an ending of its database's own.
    path = Path(what)
    files = [file for file in path.parent.glob(f"{path.name}*") if file.is_file()]
    return any(time.time() - file.stat().st_mtime < FRESH_FOR_S for file in files)


if __name__ == "__main__":
    sys.exit(0 if healthy(sys.argv[1]) else 1)
