"""One running studio for all browser tests, and one more on PostgreSQL and Redis; they stop with the last of these tests."""

import os
import secrets
from collections.abc import Iterator

import psycopg
import pytest
from playwright.sync_api import BrowserContext, BrowserType

from tests.browser.running import RunningStudio, sign_in
from tests.conftest import CHROMIUM_ARGUMENTS, chromium_path
from tests.services.conftest import OwnRedis


@pytest.fixture(scope="package")
def embedded_studio(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningStudio]:
    """Return a studio on embedded defaults."""
    studio = RunningStudio(tmp_path_factory.mktemp("embedded"))
    yield studio
    studio.stop()


@pytest.fixture(scope="package")
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


@pytest.fixture(scope="package")
def signed_in(browser_type: BrowserType, embedded_studio: RunningStudio) -> Iterator[BrowserContext]:
    """A browser that draws in software what others let a graphics card draw, signed in."""
    arguments = [argument for argument in CHROMIUM_ARGUMENTS if argument != "--disable-gpu"]
    software = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
    browser = browser_type.launch(executable_path=chromium_path(), args=[*arguments, *software])
    context = browser.new_context(viewport={"width": 1360, "height": 900}, has_touch=True)
    sign_in(context.new_page(), embedded_studio)
    yield context
    browser.close()
