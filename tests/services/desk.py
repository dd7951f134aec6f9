"""The web side of a house under test: reads a command a line, answers a line of JSON. Run as a program."""

import json
import os
import sys
from collections.abc import Callable

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.services.process_settings")
django.setup()

from django.db import connection, transaction  # noqa: E402

from studio.documents.files import folder  # noqa: E402
from studio.documents.outbox import request_document  # noqa: E402
from studio.models import Document  # noqa: E402


def ask(count: int) -> list[int]:
    """Ask for slow prints, each in its own transaction; return their ids."""
    ids = []
    for number in range(count):
        with transaction.atomic():
            ids.append(request_document(kind="slow", subject_id=number, title=f"print {number}", by=None).pk)
    return ids


def look() -> dict[str, object]:
    """Return every row's state and what lies in the folder."""
    return {
        "rows": list(Document.objects.order_by("pk").values("pk", "state", "attempts", "reason", "stored_name", "size_bytes")),
        "files": sorted(path.name for path in folder().iterdir()),
        "database": connection.vendor,
    }


def tire(attempts: int) -> int:
    """Let every row look as if that many renderers had died over it."""
    return Document.objects.update(attempts=attempts)


COMMANDS: dict[str, Callable[..., object]] = {
    "ask": lambda count: ask(int(count)),
    "look": look,
    "tire": lambda attempts: tire(int(attempts)),
}

if __name__ == "__main__":
    for line in sys.stdin:
        name, *arguments = line.split()
        sys.stdout.write(json.dumps(COMMANDS[name](*arguments)) + "\n")
        sys.stdout.flush()
