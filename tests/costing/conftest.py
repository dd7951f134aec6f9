from collections.abc import Callable

import pytest
from django.test import Client

from jobs.models import Job
from studio.access import Role
from tests.costing.rows import make_job


@pytest.fixture
def job(db: None) -> Job:
    """Return a job that can be priced."""
    return make_job()


@pytest.fixture
def office(signed_in: Callable[[Role], Client]) -> Client:
    """Return a client signed in as office, who writes quotes."""
    return signed_in(Role.OFFICE)
