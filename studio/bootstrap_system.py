"""What the operating system must bring, and the exact command that brings it here; standard library only."""

import ctypes
import ctypes.util
import os
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

# The three libraries that page layout opens, by every name they have on the systems we name a command for.
PANGO_LIBRARIES = (
    ("libpango-1.0.so.0", "libpango-1.0.dylib", "libpango-1.0.0.dylib", "pango-1.0"),
    ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "libpangoft2-1.0.0.dylib", "pangoft2-1.0"),
    ("libharfbuzz-subset.so.0", "libharfbuzz-subset.0.dylib", "harfbuzz-subset"),
)
HOMEBREW_FOLDERS = ("/opt/homebrew/lib", "/usr/local/lib")
PACKAGES = {
    "pango": {
        "debian": "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
        "fedora": "pango",
        "arch": "pango",
        "alpine": "pango harfbuzz-subset",
        "suse": "libpango-1_0-0 libharfbuzz-subset0",
        "macos": "pango",
    },
    "venv": {"debian": "python3-venv", "fedora": "python3", "arch": "python", "alpine": "python3 py3-pip", "suse": "python3"},
}
INSTALLERS = {
    "debian": "apt-get install -y --no-install-recommends",
    "fedora": "dnf install -y",
    "arch": "pacman -S --needed",
    "alpine": "apk add",
    "suse": "zypper install",
    "macos": "brew install",
}
FAMILIES = {
    "debian": ("debian", "ubuntu", "linuxmint", "raspbian", "pop"),
    "fedora": ("fedora", "rhel", "centos", "rocky", "almalinux"),
    "arch": ("arch", "manjaro"),
    "alpine": ("alpine",),
    "suse": ("suse", "opensuse", "opensuse-leap", "opensuse-tumbleweed", "sles"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """The system that the program runs on: its family of distributions, and whether we may install packages."""

    family: str
    root: bool

    def install_command(self, need: str) -> str:
        """Return the command that installs a need here, or an empty string when we know none."""
        packages = PACKAGES[need].get(self.family)
        if packages is None:
            return ""
        sudo = "" if self.root or self.family == "macos" else "sudo "
        return f"{sudo}{INSTALLERS[self.family]} {packages}"


def family_of(os_release: str) -> str:
    """Read a distribution's family out of the text of /etc/os-release."""
    lines = dict(line.split("=", 1) for line in os_release.splitlines() if "=" in line)
    names = [lines.get("ID", "").strip("\"'"), *lines.get("ID_LIKE", "").strip("\"'").split()]
    for name in names:
        for family, members in FAMILIES.items():
            if name in members:
                return family
    return "unknown"


def this_system() -> System:
    """Look at the system we run on."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    if sys.platform == "darwin":
        return System(family="macos", root=root)
    try:
        text = Path("/etc/os-release").read_text(encoding="utf-8", errors="replace")
    except OSError:
        text = ""
    return System(family=family_of(text), root=root)


def _opens(names: tuple[str, ...]) -> bool:
    candidates = [*names, *(f"{folder}/{name}" for folder in HOMEBREW_FOLDERS for name in names if name.endswith(".dylib"))]
    if found := ctypes.util.find_library(names[-1]):
        candidates.append(found)
    for name in candidates:
        try:
            ctypes.CDLL(name)
        except OSError:
            continue
        return True
    return False


def pango_present() -> bool:
    """Say whether the libraries that page layout needs can be opened."""
    return all(_opens(names) for names in PANGO_LIBRARIES)


def pango_advice(system: System | None = None) -> str:
    """Return the sentence that says how to install Pango here."""
    command = (system or this_system()).install_command("pango")
    if not command:
        return "Install Pango 1.44 or newer with HarfBuzz from your system's packages, then try again."
    return f"Install them with: {command}"


def apt_install(packages: str) -> bool:
    """Install Debian packages quietly as root; the package lists are fetched only if the first try fails."""
    if not shutil.which("apt-get"):
        return False
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    install = ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *shlex.split(packages)]
    for command in (install, ["apt-get", "update", "-qq"], install):
        done = subprocess.run(command, env=environment, capture_output=True, stdin=subprocess.DEVNULL, check=False)
        if command is install and done.returncode == 0:
            return True
    return False


def bring(need: str, system: System) -> bool:
    """Install a need where we may (Debian, as root); say whether it was installed."""
    return system.family == "debian" and system.root and apt_install(PACKAGES[need]["debian"])
