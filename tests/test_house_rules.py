"""Rules of the house that no linter knows: sizes, start-up weight, doors to settings, words."""

import ast
import re
import statistics
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APPS = ("studio", "materials", "jobs", "costing")
LONGEST_LINES, MEDIAN_LINES = 400, 150
# Tables of data with their sources; their length is that of the subject.
DATA_TABLES = {"materials/properties.py"}
HEAVY = {"numpy", "scipy", "trimesh", "weasyprint", "ortools", "pandas", "numba", "matplotlib", "skimage"}
SKIPPED_FOLDERS = {".git", ".venv", "var", "node_modules", "__pycache__"}
TEXT_ENDINGS = {".py", ".html", ".css", ".js", ".md", ".toml", ".yml", ".sh", ".txt"}
# Spelt in two parts, so that this list does not find itself.
UNFINISHED = re.compile(
    r"\b(?:TO" r"DO|FIX" r"ME|HA" r"CK|lorem ip" r"sum|place" r"holder (?:module|page|text)|coming so" r"on)\b"
)


def modules(*folders: str) -> Iterator[Path]:
    """Yield the program's modules, migrations left out: those are written by Django."""
    for folder in folders:
        yield from (path for path in sorted((ROOT / folder).rglob("*.py")) if "migrations" not in path.parts)


def texts() -> Iterator[Path]:
    """Yield every text file that belongs to the project."""
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        if not SKIPPED_FOLDERS.intersection(parts) and not parts[0].endswith("_cache") and path.suffix in TEXT_ENDINGS:
            yield path


def lines_of(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


class TestModuleSizes:
    def test_stay_below_the_limit(self) -> None:
        long = {
            name: lines_of(path)
            for path in modules(*APPS, "tests")
            if (name := str(path.relative_to(ROOT))) not in DATA_TABLES and lines_of(path) > LONGEST_LINES
        }
        assert long == {}, "split these by subject"

    def test_are_small_at_the_median(self) -> None:
        sizes = [lines_of(path) for path in modules(*APPS) if path.name != "__init__.py"]
        assert len(sizes) > 50
        assert statistics.median(sizes) < MEDIAN_LINES


class TestStartUp:
    def test_imports_no_heavy_library(self) -> None:
        code = (
            "import sys, django; django.setup()\n"
            "from django.urls import get_resolver\n"
            "patterns = list(get_resolver().reverse_dict)\n"
            "import studio.wsgi; from studio.celery import app; app.loader.import_default_modules()\n"
            f"print(len(patterns), sorted({HEAVY!r} & set(sys.modules)))"
        )
        environment = {"DJANGO_SETTINGS_MODULE": "studio.settings.test", "PATH": "/usr/bin:/bin", "PYTHONPATH": str(ROOT)}
        done = subprocess.run(
            [sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        assert done.stdout.strip().endswith("[]")


class TestSettings:
    @pytest.mark.parametrize("app", APPS)
    def test_are_reached_only_through_django_conf(self, app: str) -> None:
        reached = []
        for path in modules(app):
            if "settings" in path.parts:
                continue
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
                names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
                reached += [f"{path.relative_to(ROOT)}: {name}" for name in names if name.startswith("studio.settings")]
        assert reached == []

    def test_are_not_read_from_the_environment_elsewhere(self) -> None:
        allowed = {
            "settings",
            "bootstrap.py",
            "bootstrap_up.py",
            "bootstrap_system.py",
            "celery.py",
            "wsgi.py",
            "pdf.py",
            "mesh_child.py",
        }
        reading = [
            str(path.relative_to(ROOT))
            for path in modules(*APPS)
            if not allowed.intersection(path.parts) and re.search(r"os\.environ|os\.getenv", path.read_text(encoding="utf-8"))
        ]
        assert reading == []


class TestWords:
    def test_leave_nothing_marked_as_unfinished(self) -> None:
        found = [
            f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
            for path in texts()
            for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
            if UNFINISHED.search(line)
        ]
        assert found == []

    def test_spell_the_trade_in_one_way(self) -> None:
        other = re.compile(r"\bmou" r"ld(?:s|ed|ing|er|ers)?\b", re.IGNORECASE)
        found = [
            f"{path.relative_to(ROOT)}:{number}"
            for path in texts()
            for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
            if other.search(line)
        ]
        assert found == []

    def test_name_no_path_of_anybodys_machine(self) -> None:
        other = re.compile(r"/ho" r"me/\w|/ro" r"ot/|/wo" r"rk/|/Us" r"ers/\w")
        found = [
            f"{path.relative_to(ROOT)}:{number}"
            for path in texts()
            for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
            if other.search(line)
        ]
        assert found == []
