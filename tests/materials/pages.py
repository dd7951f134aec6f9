"""What the tests of pages share."""

from typing import Any

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse


def address(name: str, *args: Any) -> str:
    """Return the address of a page of the materials app."""
    return reverse(f"materials:{name}", args=args)


def key_in(client: Client, url: str, *, prefix: str = "") -> str:
    """Return the idempotency key that a page's form carries."""
    contexts: Any = client.get(url).context
    form = contexts["forms"][prefix] if prefix else contexts["form"]
    return str(form["key"].value())


def questions(client: Client, url: str) -> int:
    """Count the queries of a page, once the profile and the session stand."""
    assert client.get(url).status_code == 200
    with CaptureQueriesContext(connection) as asked:
        client.get(url)
    return len(asked)


def text_of(content: bytes) -> str:
    """Return a page with plain spaces."""
    return content.decode().replace("\xa0", " ")
