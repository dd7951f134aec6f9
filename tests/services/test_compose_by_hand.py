"""The processes that docker-compose.yml names, run by hand on PostgreSQL and Redis."""

import re
import shutil
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

import pytest
import yaml

from studio.health_check import healthy
from tests.services.conftest import OwnRedis
from tests.services.house import ROOT, House, wait_for

pytestmark = pytest.mark.services
SERVICES: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["services"]


def by_hand(command: list[str], replacing: dict[str, str]) -> list[str]:
    """Turn a container's command into one for this machine."""
    programs = Path(sys.executable).parent
    return [str(programs / command[0]), *(replacing.get(part, part) for part in command[1:])]


@pytest.fixture
def composed(house: House) -> House:
    """Return a house whose prepare step ran and which sweeps through its scheduler only."""
    del house.environment["HANDLAID_SWEEP_IN_WORKER"]
    done = subprocess.run(
        by_hand(SERVICES["prepare"]["command"], {}), cwd=ROOT, env=house.environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "Open the owner's account with this link" in done.stdout
    return house


class TestComposedProcesses:
    def test_bring_back_what_a_broker_lost_through_the_scheduler(
        self, composed: House, own_redis: OwnRedis, tmp_path: Path
    ) -> None:
        composed.tell("ask 2")
        own_redis.kill()
        shutil.rmtree(own_redis.folder / "appendonlydir")
        own_redis.start()
        schedule = str(tmp_path / "schedule")
        composed.start(by_hand(SERVICES["worker"]["command"], {}), "compose-worker")
        composed.start(by_hand(SERVICES["scheduler"]["command"], {"/tmp/schedule": schedule}), "compose-scheduler")
        wait_for("all are ready", lambda: composed.states() == ["ready"] * 2)
        assert len(composed.begun()) == 2
        assert healthy(schedule)

    def test_serve_pages_and_tell_their_health(self, composed: House) -> None:
        listed = re.search(r"^CMD \[(.*?)\]", (ROOT / "Dockerfile").read_text(), re.MULTILINE | re.DOTALL)
        assert listed
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        command = by_hand(re.findall(r'"([^"]+)"', listed[1]), {"0.0.0.0:8000": f"127.0.0.1:{port}"})
        composed.start(command, "compose-web")
        wait_for("the web server is healthy", lambda: healthy(f"http://127.0.0.1:{port}/health/"))
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10) as answer:
            page = answer.read().decode()
        style = re.search(r'href="(/static/[^"]+\.css)"', page)
        assert style, page[:500]
        with urllib.request.urlopen(f"http://127.0.0.1:{port}{style[1]}", timeout=10) as answer:
            assert "immutable" in answer.headers["Cache-Control"]
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(
                urllib.request.Request(f"http://127.0.0.1:{port}/", headers={"Host": "evil.example"}), timeout=10
            )
        assert refused.value.code == 400
        refused.value.close()
