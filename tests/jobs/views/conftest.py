"""What tests of the jobs pages share."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext


@pytest.fixture
def count_queries(owner_client: Client) -> Callable[[str], int]:
    """Return a function that counts the queries of one page."""

    def count(address: str) -> int:
        owner_client.get(address)
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert owner_client.get(address).status_code == 200
        return len(asked)

    return count
