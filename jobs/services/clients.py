"""Adding and changing clients."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from jobs.models import Client

CLIENT_FIELDS = ("name", "contact", "email", "phone", "address", "note")


@transaction.atomic
def add_client(*, name: str, **details: Any) -> Client:
    """Add a client."""
    return Client.objects.create(name=name, **details)


@transaction.atomic
def change_client(*, client: Client, values: Mapping[str, Any]) -> Client:
    """Change what is known of a client."""
    for field in CLIENT_FIELDS:
        if field in values:
            setattr(client, field, values[field])
    client.save(update_fields=CLIENT_FIELDS)
    return client
