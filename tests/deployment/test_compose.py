"""The container set-up, as far as it can be read: its services, their health, and that what they run exists."""

import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
import yaml

from studio.bootstrap_system import PACKAGES
from studio.health_check import FRESH_FOR_S, healthy

ROOT = Path(__file__).resolve().parent.parent.parent
COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
SERVICES: dict[str, Any] = COMPOSE["services"]
DOCKERFILE = (ROOT / "Dockerfile").read_text()
OURS = ("prepare", "web", "worker", "scheduler")


def program(name: str) -> str:
    found = shutil.which(name, path=f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}")
    assert found, f"{name} is not installed"
    return found


class TestServices:
    def test_are_the_six_of_the_studio(self) -> None:
        assert set(SERVICES) == {*OURS, "postgres", "redis"}

    @pytest.mark.parametrize("name", OURS)
    def test_of_ours_use_one_image_and_both_servers(self, name: str) -> None:
        service = SERVICES[name]
        assert service["build"] == "."
        assert service["environment"]["DATABASE_URL"].startswith("postgresql://")
        assert service["environment"]["REDIS_URL"].startswith("redis://")
        assert "files:/data" in service["volumes"]

    def test_wait_until_migrations_ran_once(self) -> None:
        for name in ("web", "worker", "scheduler"):
            assert SERVICES[name]["depends_on"]["prepare"]["condition"] == "service_completed_successfully"
        assert SERVICES["prepare"]["restart"] == "no"
        assert SERVICES["prepare"]["depends_on"]["postgres"]["condition"] == "service_healthy"

    @pytest.mark.parametrize("name", sorted(set(SERVICES) - {"prepare"}))
    def test_that_keep_running_have_a_health_check(self, name: str) -> None:
        assert SERVICES[name]["healthcheck"]["test"][0] in {"CMD", "CMD-SHELL"}
        assert SERVICES[name]["restart"] == "unless-stopped"

    def test_keep_their_data_in_named_volumes(self) -> None:
        used = {volume.split(":")[0] for service in SERVICES.values() for volume in service["volumes"]}
        assert used == set(COMPOSE["volumes"])

    def test_let_the_worker_be_scaled(self) -> None:
        assert "container_name" not in SERVICES["worker"]
        assert "ports" not in SERVICES["worker"]

    def test_listen_on_this_machine_only_unless_asked(self) -> None:
        assert SERVICES["web"]["ports"] == ["${HANDLAID_LISTEN:-127.0.0.1:8000}:8000"]
        assert all("ports" not in SERVICES[name] for name in ("postgres", "redis"))

    def test_carry_no_password(self) -> None:
        text = (ROOT / "docker-compose.yml").read_text()
        assert re.findall(r"PASSWORD[^\n]*", text)
        assert all(
            "${POSTGRES_PASSWORD:?" in line for line in text.splitlines() if "POSTGRES_PASSWORD:" in line or "://studio:" in line
        )

    def test_keep_every_queued_task_in_redis(self) -> None:
        command = " ".join(SERVICES["redis"]["command"])
        assert "--appendonly yes" in command
        assert "--maxmemory-policy noeviction" in command

    def test_give_a_worker_longer_to_stop_than_a_print_takes(self, settings: Any) -> None:
        assert SERVICES["worker"]["stop_grace_period"] == "2m"
        assert settings.DOCUMENT_TIME_LIMIT_S + 10 <= 120


class TestCommands:
    def test_name_a_management_command_that_exists(self) -> None:
        from django.core.management import get_commands

        assert SERVICES["prepare"]["command"][:2] == ["python", "manage.py"]
        assert SERVICES["prepare"]["command"][2] in get_commands()

    @pytest.mark.parametrize("name", ["worker", "scheduler"])
    def test_of_celery_take_the_options_that_are_named(self, name: str) -> None:
        command = SERVICES[name]["command"]
        done = subprocess.run([program("celery"), command[3], "--help"], capture_output=True, text=True, check=True)
        for option in (part for part in command if part.startswith("--")):
            assert option in done.stdout, option

    def test_of_the_web_server_take_the_options_that_are_named(self) -> None:
        listed = re.search(r"^CMD \[(.*?)\]", DOCKERFILE, re.MULTILINE | re.DOTALL)
        assert listed
        command = re.findall(r'"([^"]+)"', listed[1])
        done = subprocess.run(
            [program(command[0]), *command[1:], "--check-config"],
            capture_output=True,
            text=True,
            check=False,
            cwd=ROOT,
            env={**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings.test"},
        )
        assert done.returncode == 0, done.stderr


class TestDockerfile:
    def test_installs_the_lock_with_its_hashes_as_another_user_than_root(self) -> None:
        assert "--require-hashes" in DOCKERFILE
        assert DOCKERFILE.index("USER studio") < DOCKERFILE.index("CMD [")

    def test_installs_what_page_layout_needs(self) -> None:
        assert PACKAGES["pango"]["debian"] in DOCKERFILE

    def test_leaves_data_and_environments_out_of_the_image(self) -> None:
        ignored = (ROOT / ".dockerignore").read_text().split()
        assert {".git", ".venv", "var", "tests"} <= set(ignored)


class TestHealthy:
    def test_is_a_file_that_was_touched_lately(self, tmp_path: Path) -> None:
        path = tmp_path / "schedule.db"
        assert not healthy(str(tmp_path / "schedule"))
        path.touch()
        assert healthy(str(tmp_path / "schedule"))
        os.utime(path, (time.time() - FRESH_FOR_S - 5,) * 2)
        assert not healthy(str(tmp_path / "schedule"))

    def test_is_not_an_address_where_nobody_listens(self) -> None:
        assert not healthy("http://127.0.0.1:9/health/")
