"""The `up` command: what is in the way is said; the processes start, are kept, and stop together."""

import json
import os
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from studio.bootstrap_say import NotPossibleError
from studio.bootstrap_up import Wanted, children, environment_for, only_one, read_arguments, read_sign_in
from tests.services.house import ROOT, wait_for


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wanted(**values: Any) -> Wanted:
    return Wanted(**{"host": "127.0.0.1", "port": 8000, "demo": True, "only_prepare": False, **values})


class TestReadArguments:
    def test_has_defaults_for_one_machine(self) -> None:
        read = read_arguments(["--port", str(free_port())])
        assert (read.host, read.demo, read.only_prepare) == ("127.0.0.1", True, False)

    def test_says_that_the_port_is_taken_and_offers_another(self) -> None:
        with socket.socket() as taken:
            taken.bind(("127.0.0.1", 0))
            taken.listen()
            port = taken.getsockname()[1]
            with pytest.raises(NotPossibleError, match=f"Port {port} .*--port {port + 1}"):
                read_arguments(["--port", str(port)])

    def test_refuses_a_port_that_is_none(self, capsys: pytest.CaptureFixture[str]) -> None:
        with pytest.raises(SystemExit):
            read_arguments(["--port", "70000"])
        assert "between 1 and 65535" in capsys.readouterr().err

    def test_says_that_the_address_is_not_ours(self) -> None:
        # published: RFC 5737 reserves 192.0.2.0/24 for documentation, so no machine has it.
        with pytest.raises(NotPossibleError, match=r"192\.0\.2\.7 cannot be used"):
            read_arguments(["--host", "192.0.2.7", "--port", str(free_port())])


class TestOnlyOne:
    def test_run_holds_a_data_folder(self, tmp_path: Path) -> None:
        with only_one(tmp_path / "data"), pytest.raises(NotPossibleError, match="already runs"), only_one(tmp_path / "data"):
            pass
        with only_one(tmp_path / "data"):
            assert (tmp_path / "data" / "log").is_dir()

    def test_says_that_the_data_folder_cannot_be_written(self, tmp_path: Path) -> None:
        (tmp_path / "data").write_text("a file stands where the folder should be")
        with pytest.raises(NotPossibleError, match="HANDLAID_DATA"), only_one(tmp_path / "data"):
            pass


class TestEnvironment:
    def test_keeps_what_the_person_set(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("HANDLAID_URL", "https://studio.example")
        made = environment_for(wanted(), tmp_path, tmp_path / "data")
        assert made["HANDLAID_URL"] == "https://studio.example"
        assert made["HANDLAID_DATA"] == str(tmp_path / "data")

    def test_answers_to_this_machine_only_unless_asked(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.delenv("HANDLAID_HOSTS", raising=False)
        assert environment_for(wanted(), tmp_path, tmp_path)["HANDLAID_HOSTS"] == "127.0.0.1,localhost,[::1]"
        everywhere = environment_for(wanted(host="0.0.0.0"), tmp_path, tmp_path)["HANDLAID_HOSTS"].split(",")
        assert socket.gethostname() in everywhere
        assert "*" not in everywhere


class TestChildren:
    def test_use_processes_with_redis_and_threads_without(self, tmp_path: Path) -> None:
        for redis, pool in ((True, "prefork"), (False, "threads")):
            _, worker = children(wanted(), tmp_path, tmp_path, redis=redis)
            assert worker.command[worker.command.index("--pool") + 1] == pool

    def test_bind_an_address_of_six_in_brackets(self, tmp_path: Path) -> None:
        web, _ = children(wanted(host="::1"), tmp_path, tmp_path, redis=False)
        assert "[::1]:8000" in web.command
        assert wanted(host="::1").url == "http://[::1]:8000"
        assert wanted(host="0.0.0.0").url == "http://127.0.0.1:8000"


class TestReadSignIn:
    def test_shows_each_account(self, tmp_path: Path) -> None:
        path = tmp_path / "demo-sign-in.json"
        path.write_text(
            json.dumps({"accounts": [{"email": "a@b.example", "passphrase": "four dry plaster shells", "role": "owner"}]})
        )
        assert read_sign_in(path) == ["a@b.example   four dry plaster shells   (owner)"]

    @pytest.mark.parametrize("text", ["", "[]", "{}", '{"accounts": [{}]}', '{"accounts": 3}'])
    def test_is_silent_about_a_file_it_cannot_read(self, tmp_path: Path, text: str) -> None:
        path = tmp_path / "demo-sign-in.json"
        path.write_text(text)
        assert read_sign_in(path) == []
        assert read_sign_in(tmp_path / "absent.json") == []


@pytest.fixture
def running(tmp_path: Path) -> Iterator[tuple["subprocess.Popen[str]", int, Path]]:
    """Run `up` as a person would, on its own data folder and port, without the install."""
    port, output = free_port(), tmp_path / "said"
    environment = {name: value for name, value in os.environ.items() if not name.startswith("HANDLAID_")}
    environment["HANDLAID_KERNELS"] = os.environ["HANDLAID_KERNELS"]
    environment |= {"HANDLAID_DATA": str(tmp_path / "data"), "DJANGO_SETTINGS_MODULE": "studio.settings.base"}
    code = (
        "from studio import bootstrap, bootstrap_up as up; import sys; "
        f"sys.exit(up.run(up.read_arguments(['--no-demo', '--port', '{port}']), root=bootstrap.ROOT, data=bootstrap.data_dir()))"
    )
    with output.open("w") as said:
        process = subprocess.Popen(
            [sys.executable, "-c", code], cwd=ROOT, env=environment, stdout=said, stderr=said, text=True, start_new_session=True
        )
    yield process, port, output
    if process.poll() is None:
        process.terminate()
        process.wait(timeout=30)


def processes_on(folder: Path) -> list[int]:
    """Return the processes whose environment names this data folder."""
    found = []
    for path in Path("/proc").glob("[0-9]*/environ"):
        try:
            if f"HANDLAID_DATA={folder}\0".encode() in path.read_bytes() + b"\0":
                found.append(int(path.parent.name))
        except OSError:
            continue
    return found


@pytest.mark.skipif(not Path("/proc/self/environ").exists(), reason="finds processes through /proc, which only Linux has")
class TestUp:
    def test_serves_revives_its_worker_and_stops_everything(
        self, running: tuple["subprocess.Popen[str]", int, Path], tmp_path: Path
    ) -> None:
        process, port, output = running
        wait_for("it is ready", lambda: "Handlaid is ready" in output.read_text() or process.poll() is not None)
        assert process.poll() is None, output.read_text()
        said = output.read_text()
        assert f"http://127.0.0.1:{port}" in said
        assert "Open the owner's account with this link" in said
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/health/", timeout=10) as answer:
            assert answer.read() == b"ok\n"

        log = tmp_path / "data" / "log" / "worker.log"
        wait_for("the worker is ready", lambda: " ready." in log.read_text())
        worker = next(pid for pid in processes_on(tmp_path / "data") if b"celery" in Path(f"/proc/{pid}/cmdline").read_bytes())
        os.kill(worker, signal.SIGKILL)
        wait_for("the worker was started again", lambda: log.read_text().count(" ready.") == 2)
        assert "Starting the worker again" in output.read_text()

        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=30) == 0
        assert "Stopped." in output.read_text()
        assert processes_on(tmp_path / "data") == []

    def test_says_that_the_web_server_ended_and_ends_with_it(
        self, running: tuple["subprocess.Popen[str]", int, Path], tmp_path: Path
    ) -> None:
        process, _, output = running
        wait_for("it is ready", lambda: "Handlaid is ready" in output.read_text() or process.poll() is not None)
        assert process.poll() is None, output.read_text()
        pids = [pid for pid in processes_on(tmp_path / "data") if b"gunicorn" in Path(f"/proc/{pid}/cmdline").read_bytes()]
        os.kill(min(pids), signal.SIGKILL)
        assert process.wait(timeout=30) == 1
        assert "The web server ended" in output.read_text()
        assert processes_on(tmp_path / "data") == []
