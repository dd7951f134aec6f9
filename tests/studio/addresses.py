"""Every address of the project, walked from the URL tables."""

import uuid
from collections.abc import Iterator
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

DUMMIES: dict[str, Any] = {
    "IntConverter": 999_999, "StringConverter": "none", "SlugConverter": "none", "PathConverter": "none",
    "UUIDConverter": uuid.UUID(int=1),
}  # fmt: skip


def walk(patterns: list[Any], namespace: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in patterns:
        if isinstance(entry, URLResolver):
            inner = f"{namespace}{entry.namespace}:" if entry.namespace else namespace
            yield from walk(entry.url_patterns, inner)
        else:
            yield f"{namespace}{entry.name}", entry


VIEWS = dict(walk(get_resolver().url_patterns))


def address_of(name: str) -> str:
    kwargs = {key: DUMMIES[type(found).__name__] for key, found in VIEWS[name].pattern.converters.items()}
    return reverse(name, kwargs=kwargs)
