"""The `up` command: look at what could be in the way, prepare the studio, start it; standard library only."""

import argparse
import contextlib
import fcntl
import json
import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from studio import bootstrap_system, supervisor
from studio.bootstrap_say import NotPossibleError, say

LOOPBACK = ("127.0.0.1", "localhost", "::1")
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - compared with, bound only when a person asks for it


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the person asked for."""

    host: str
    port: int
    demo: bool
    only_prepare: bool

    @property
    def url(self) -> str:
        """Return the address to open on this machine."""
        host = "127.0.0.1" if self.host in EVERYWHERE else self.host
        return f"http://[{host}]:{self.port}" if ":" in host else f"http://{host}:{self.port}"


def read_arguments(arguments: list[str]) -> Wanted:
    """Read the command's arguments; a port that is taken is said now, before anything is installed."""
    parser = argparse.ArgumentParser(prog="manage.py up", description="Start the studio: web server and one worker.")
    parser.add_argument("--port", type=int, default=8000, help="port of the web server (8000)")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (127.0.0.1: this machine only)")
    parser.add_argument("--no-demo", action="store_true", help="start with an empty studio instead of the demo studio")
    parser.add_argument("--only-prepare", action="store_true", help="set everything up, start nothing")
    read = parser.parse_args(arguments)
    if not 1 <= read.port <= 65535:
        parser.error(f"a port lies between 1 and 65535, not {read.port}")
    wanted = Wanted(host=read.host, port=read.port, demo=not read.no_demo, only_prepare=read.only_prepare)
    if not wanted.only_prepare:
        check_port(wanted)
    return wanted


def check_port(wanted: Wanted) -> None:
    """Stop with a sentence when the address cannot be listened on."""
    family = socket.AF_INET6 if ":" in wanted.host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((wanted.host, wanted.port))
        except PermissionError:
            raise NotPossibleError(f"Port {wanted.port} may only be used by root. Choose one above 1023: --port 8000") from None
        except socket.gaierror:
            raise NotPossibleError(f"This machine has no address {wanted.host}. Try --host 127.0.0.1") from None
        except OSError as problem:
            raise NotPossibleError(
                f"Port {wanted.port} on {wanted.host} cannot be used ({problem.strerror}). Perhaps the studio runs already: "
                f"open {wanted.url}. Otherwise choose another port: python3 manage.py up --port {min(wanted.port + 1, 65535)}"
            ) from None


@contextlib.contextmanager
def only_one(data: Path) -> Iterator[None]:
    """Hold the data folder for this run: two workers on one embedded queue would take each other's work."""
    try:
        data.mkdir(parents=True, exist_ok=True)
        (data / "log").mkdir(exist_ok=True)
        lock = (data / "up.lock").open("a+")
    except OSError as problem:
        raise NotPossibleError(
            f"The data folder {data} cannot be written ({problem.strerror}). Change its rights, or name another one "
            "in HANDLAID_DATA."
        ) from None
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise NotPossibleError(f"The studio already runs from {data}. Stop it there first (Ctrl-C).") from None
        yield


def _look_for_pango() -> None:
    if bootstrap_system.pango_present():
        return
    system = bootstrap_system.this_system()
    if system.family == "debian" and system.root:
        say("Installing the text libraries that prints need")
    if bootstrap_system.bring("pango", system) and bootstrap_system.pango_present():
        return
    say("Prints (PDF) will fail until the Pango text libraries are installed; all else works.")
    say(bootstrap_system.pango_advice(system))


def _own_names() -> list[str]:
    """Return the names and addresses under which others on the network may reach this machine."""
    name = socket.gethostname()
    addresses: set[str] = set()
    with contextlib.suppress(OSError):
        addresses |= {str(entry[4][0]) for entry in socket.getaddrinfo(name, None, socket.AF_INET)}
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        # Sends nothing: it asks the system which of our addresses faces the network.
        probe.connect(("192.0.2.1", 9))
        addresses.add(probe.getsockname()[0])
    return [*sorted(address for address in addresses if not address.startswith("127.")), name, f"{name}.local"]


def environment_for(wanted: Wanted, root: Path, data: Path) -> dict[str, str]:
    """Return the children's environment; what the person set stays."""
    environment = {**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONPATH": str(root), "HANDLAID_DATA": str(data)}
    environment.setdefault("HANDLAID_URL", wanted.url)
    hosts = [*LOOPBACK[:2], "[::1]"]
    if wanted.host in EVERYWHERE:
        hosts += _own_names()
    elif wanted.host not in LOOPBACK:
        hosts.append(wanted.host)
    environment.setdefault("HANDLAID_HOSTS", ",".join(hosts))
    environment["HANDLAID_SWEEP_IN_WORKER"] = "1"
    return environment


def children(wanted: Wanted, root: Path, data: Path, *, redis: bool) -> tuple[supervisor.Child, supervisor.Child]:
    """Return the web server and the worker."""
    bind = f"[{wanted.host}]:{wanted.port}" if ":" in wanted.host else f"{wanted.host}:{wanted.port}"
    web = [sys.executable, "-m", "gunicorn", "studio.wsgi:application", "--bind", bind, "--workers", "1"]
    web += ["--worker-class", "gthread", "--threads", "8", "--timeout", "60", "--graceful-timeout", "8", "--no-control-socket"]
    web += ["--logger-class", "studio.settings.server_log.ServerLog"]
    worker = [sys.executable, "-m", "celery", "-A", "studio.celery", "worker", "--loglevel", "INFO", "--concurrency", "3"]
    # A pool of processes is what enforces time limits; on the embedded queue threads are lighter and the press has its own.
    worker += ["--pool", "prefork" if redis else "threads", "--without-gossip", "--without-mingle"]
    return (
        supervisor.Child(name="web server", command=web, log=data / "log" / "web.log", folder=root),
        supervisor.Child(name="worker", command=worker, log=data / "log" / "worker.log", folder=root, restarts=5),
    )


def read_sign_in(path: Path) -> list[str]:
    """Return the lines that tell the demo's sign-in, if the demo studio left one."""
    try:
        accounts = json.loads(path.read_text(encoding="utf-8"))["accounts"]
        return [f"{one['email']}   {one['passphrase']}   ({one['role']})" for one in accounts]
    except (OSError, ValueError, KeyError, TypeError):
        return []


def _greet(wanted: Wanted, environment: dict[str, str], data: Path) -> None:
    say(f"\nHandlaid is ready: {environment['HANDLAID_URL']}")
    if wanted.host in EVERYWHERE:
        for name in environment["HANDLAID_HOSTS"].split(",")[3:]:
            say(f"  on your network: http://{name}:{wanted.port}")
    if wanted.host not in LOOPBACK:
        say("  Others on the network can reach the sign-in page, and what is typed travels unencrypted.")
    lines = read_sign_in(data / "demo-sign-in.json")
    if lines:
        say("Demo sign-in (e-mail, passphrase):")
    for line in lines:
        say(f"  {line}")
    say(f"Logs are in {data / 'log'}. Ctrl-C stops the studio.")


def _prepare(wanted: Wanted, root: Path, environment: dict[str, str]) -> None:
    command = [sys.executable, str(root / "manage.py"), "up_prepare", *([] if wanted.demo else ["--no-demo"])]
    done = subprocess.run(command, env=environment, cwd=root, check=False)
    if done.returncode:
        raise NotPossibleError("The studio was not started; the lines above say why.")


def run(wanted: Wanted, *, root: Path, data: Path) -> int:
    """Prepare and start; return when the person stops it, or when the web server cannot go on."""
    with only_one(data):
        _look_for_pango()
        environment = environment_for(wanted, root, data)
        _prepare(wanted, root, environment)
        if wanted.only_prepare:
            return 0
        web, worker = children(wanted, root, data, redis=bool(os.environ.get("REDIS_URL")))
        house = supervisor.Supervisor(essential=web, others=[worker], environment=environment)
        return house.run(health_url=f"{wanted.url}/health/", ready=lambda: _greet(wanted, environment, data))
