"""Find or make the environment, fill it from the lock, and hand over; standard library only, for nothing else is there yet."""

import contextlib
import hashlib
import importlib.util
import os
import secrets
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NoReturn

from studio import bootstrap_packages, bootstrap_system
from studio.bootstrap_say import NotPossibleError, say

ROOT = Path(__file__).resolve().parent.parent
LOCKS = {"run": ROOT / "requirements.lock", "test": ROOT / "requirements-test.lock"}
# What the tests need includes what the app needs.
SERVED_BY = {"run": ("run", "test"), "test": ("test",)}
SPREAD = ["-n", "auto", "--dist", "loadgroup"]


def data_dir() -> Path:
    """Return the folder of the database, files, logs and keys."""
    return Path(os.environ.get("HANDLAID_DATA", ROOT / "var")).resolve()


def secret_key(folder: Path) -> str:
    """Return this installation's secret key, made once and readable by its owner only."""
    path = folder / "secret_key"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        fresh = folder / f".secret_key.{os.getpid()}"
        handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as file:
            file.write(secrets.token_urlsafe(64))
        # A link appears whole or not at all, and the first of two processes wins.
        with contextlib.suppress(FileExistsError):
            os.link(fresh, path)
        fresh.unlink()
    return path.read_text()


def in_environment() -> bool:
    """Say whether this Python runs inside a virtual environment."""
    return sys.prefix != sys.base_prefix


def stamp_of(lock: Path) -> str:
    """Return what tells an environment filled from this lock by this Python from any other."""
    return hashlib.sha256(lock.read_bytes() + sys.version.encode()).hexdigest()


def stamp_path(name: str, environment: Path) -> Path:
    """Return where an environment keeps the stamp of one lock."""
    return environment / f"handlaid-{name}.stamp"


def is_filled(name: str, environment: Path) -> bool:
    """Say whether the environment already holds what a lock asks for."""
    for lock in SERVED_BY[name]:
        path = stamp_path(lock, environment)
        if path.exists() and path.read_text().strip() == stamp_of(LOCKS[lock]):
            return True
    return False


def fill(name: str, environment: Path) -> None:
    """Install a lock into the environment, unless its stamp says that it is there."""
    if is_filled(name, environment):
        return
    for lock in LOCKS:
        stamp_path(lock, environment).unlink(missing_ok=True)
    bootstrap_packages.install(LOCKS[name], Path(sys.executable))
    stamp_path(name, environment).write_text(stamp_of(LOCKS[name]) + "\n")


def make_environment(path: Path) -> Path:
    """Make a virtual environment if none that works lies there; return its Python."""
    python = path / "bin" / "python"
    if os.access(python, os.X_OK):
        return python
    if not os.access(path.parent, os.W_OK):
        raise NotPossibleError(
            f"The folder {path.parent} cannot be written. Copy the program to a folder of your own, or change its rights."
        )
    system = bootstrap_system.this_system()
    if not all(importlib.util.find_spec(module) for module in ("venv", "ensurepip")) and not bootstrap_system.bring(
        "venv", system
    ):
        command = system.install_command("venv")
        advice = f"Install it with: {command}" if command else "Install your system's package for Python virtual environments"
        raise NotPossibleError(
            f"This Python cannot make a virtual environment: its venv module is a separate package here.\n{advice}"
        )
    say(f"Making an environment in {path.name}")
    shutil.rmtree(path, ignore_errors=True)
    done = subprocess.run([sys.executable, "-m", "venv", str(path)], capture_output=True, text=True, check=False)
    if done.returncode:
        shutil.rmtree(path, ignore_errors=True)
        raise NotPossibleError(f"The environment could not be made:\n{(done.stdout + done.stderr).strip()[-800:]}")
    return python


def hand_over(python: Path, arguments: list[str]) -> NoReturn:
    """Go on as this Python, in this very process, so that signals and the terminal stay as they are."""
    sys.stdout.flush()
    os.execv(python, [str(python), *arguments])


def enter_environment(argv: list[str]) -> Path:
    """Return the environment we run in; outside of one, make it and start again inside."""
    if not in_environment():
        hand_over(make_environment(ROOT / ".venv"), argv)
    return Path(sys.prefix)


def _test(argv: list[str]) -> int:
    fill("test", enter_environment(argv))
    if argv[2:] == ["--only-prepare"]:
        return 0
    os.chdir(ROOT)
    # manage.py names the real settings, and pytest would take those before the ones of its own configuration.
    os.environ["DJANGO_SETTINGS_MODULE"] = "studio.settings.test"
    # The whole suite is spread over the processors; a chosen part runs just as it was asked for.
    hand_over(Path(sys.executable), ["-m", "pytest", *(argv[2:] or SPREAD)])


def _up(argv: list[str]) -> int:
    from studio import bootstrap_up

    wanted = bootstrap_up.read_arguments(argv[2:])
    environment = enter_environment(argv)
    fill("run", environment)
    return bootstrap_up.run(wanted, root=ROOT, data=data_dir())


def _django(argv: list[str]) -> int:
    if importlib.util.find_spec("django") is None:
        python = ROOT / ".venv" / "bin" / "python"
        if in_environment() or not os.access(python, os.X_OK):
            raise NotPossibleError("Nothing is installed yet. Run this first: python3 manage.py up")
        hand_over(python, argv)
    from django.core.management import execute_from_command_line

    execute_from_command_line(argv)
    return 0


def main(argv: list[str]) -> int:
    """Run one command; what is missing is said in a sentence, without a traceback."""
    if os.name != "posix":
        say("Handlaid runs on Linux and macOS. On Windows, use the Windows Subsystem for Linux.")
        return 1
    command = {"up": _up, "test": _test}.get(argv[1] if len(argv) > 1 else "", _django)
    try:
        return command(argv)
    except NotPossibleError as problem:
        say(str(problem))
        return 1
    except KeyboardInterrupt:
        say("Stopped.")
        return 130
