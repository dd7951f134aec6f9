"""A database and a broker for each test on PostgreSQL and Redis."""

import os
import secrets
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
import redis

from tests.services.house import House, wait_for


class OwnRedis:
    """A Redis server that a test may kill."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = int(probe.getsockname()[1])
        self.folder = folder
        self.url = f"redis://127.0.0.1:{self.port}/0"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it as the container set-up does: append-only file, nothing evicted."""
        program = shutil.which("redis-server")
        assert program, "no redis-server found: install your system's redis-server package"
        command = [program, "--bind", "127.0.0.1", "--port", str(self.port), "--dir", str(self.folder)]
        command += ["--appendonly", "yes", "--maxmemory-policy", "noeviction", "--save", ""]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        wait_for("Redis answers", self._answers, within_s=10)

    def _answers(self) -> bool:
        try:
            return bool(redis.Redis.from_url(self.url).ping())
        except redis.RedisError:
            return False

    def kill(self) -> None:
        """Kill it at once."""
        if self.process and self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        time.sleep(0.1)


@pytest.fixture
def own_redis(tmp_path: Path) -> Iterator[OwnRedis]:
    folder = tmp_path / "redis"
    folder.mkdir()
    server = OwnRedis(folder)
    server.start()
    yield server
    server.kill()


@pytest.fixture
def own_database() -> Iterator[str]:
    """Make a database of PostgreSQL for one test; return its address."""
    server = os.environ["HANDLAID_TEST_DATABASE_URL"]
    name = f"house_{secrets.token_hex(6)}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"'.encode())
    yield f"{server.rpartition('/')[0]}/{name}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)'.encode())


@pytest.fixture
def house(tmp_path: Path, own_database: str, own_redis: OwnRedis) -> Iterator[House]:
    made = House(tmp_path / "house", database_url=own_database, redis_url=own_redis.url, pool="prefork")
    yield made
    made.close()
