"""One running studio for all browser tests, and one more on PostgreSQL and Redis."""

import os
import secrets
from collections.abc import Iterator

import psycopg
import pytest

from tests.browser.running import RunningStudio
from tests.services.conftest import OwnRedis


@pytest.fixture(scope="session")
def embedded_studio(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningStudio]:
    """Return a studio on embedded defaults."""
    studio = RunningStudio(tmp_path_factory.mktemp("embedded"))
    yield studio
    studio.stop()


@pytest.fixture(scope="session")
def served_studio(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningStudio]:
    """Return a studio on PostgreSQL and Redis."""
    server = os.environ["HANDLAID_TEST_DATABASE_URL"]
    name = f"studio_{secrets.token_hex(6)}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"'.encode())
    own_redis = OwnRedis(tmp_path_factory.mktemp("redis"))
    own_redis.start()
    studio = RunningStudio(
        tmp_path_factory.mktemp("served"),
        DATABASE_URL=f"{server.rpartition('/')[0]}/{name}",
        REDIS_URL=own_redis.url,
    )
    yield studio
    studio.stop()
    own_redis.kill()
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)'.encode())


@pytest.fixture(
    params=["embedded", pytest.param("served", marks=pytest.mark.services)],
)
def running_studio(request: pytest.FixtureRequest) -> RunningStudio:
    """Return the studio on each set of servers in turn."""
    studio: RunningStudio = request.getfixturevalue(f"{request.param}_studio")
    return studio
