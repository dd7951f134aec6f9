"""The bootstrap: standard library only, the right environment, an install that is skipped when nothing changed."""

import os
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from studio import bootstrap, bootstrap_packages, bootstrap_system
from studio.bootstrap_packages import count_packages, explain
from studio.bootstrap_say import NotPossibleError, Progress
from studio.bootstrap_system import PACKAGES, System, family_of, pango_advice

ROOT = Path(__file__).resolve().parent.parent.parent
BARE = [sys.executable, "-I", "-S", "-c"]


def bare(code: str) -> "subprocess.CompletedProcess[str]":
    """Run code on the standard library alone."""
    return subprocess.run(
        [*BARE, f"import sys; sys.path.insert(0, {str(ROOT)!r})\n{code}"], capture_output=True, text=True, check=False
    )


class TestStandardLibraryOnly:
    def test_is_all_that_the_bootstrap_imports(self) -> None:
        done = bare(
            "import manage, studio.bootstrap, studio.bootstrap_up, studio.supervisor\n"
            "own = {'manage', 'studio'}\n"
            "print(sorted({name.split('.')[0] for name in sys.modules} - sys.stdlib_module_names - own - {'__main__'}))"
        )
        assert done.stderr == ""
        assert done.stdout.strip() == "[]"

    def test_imports_no_more_of_the_app_than_the_bootstrap(self) -> None:
        done = bare(
            "import studio.bootstrap, studio.bootstrap_up\nprint(sorted(m for m in sys.modules if m.startswith('studio.')))"
        )
        assert eval(done.stdout) == [
            "studio.bootstrap",
            "studio.bootstrap_packages",
            "studio.bootstrap_say",
            "studio.bootstrap_system",
            "studio.bootstrap_up",
            "studio.supervisor",
        ]

    def test_without_packages_a_django_command_says_what_to_run(self) -> None:
        done = bare(
            f"import studio.bootstrap as b; b.ROOT = b.Path('/nowhere'); sys.exit(b.main([{str(ROOT / 'manage.py')!r}, 'check']))"
        )
        assert done.returncode == 1
        assert done.stdout.strip() == "Nothing is installed yet. Run this first: python3 manage.py up"


class TestOldPython:
    def test_is_told_which_one_is_needed(self) -> None:
        done = bare("import manage; sys.version_info = (3, 9, 2, 'final', 0); manage.main()")
        assert done.returncode == 1
        assert "needs Python 3.11 or newer, and this is Python 3.9" in done.stderr


class TestChoiceOfEnvironment:
    def test_is_the_active_one(self) -> None:
        with patch.object(bootstrap, "in_environment", return_value=True), patch.object(bootstrap, "hand_over") as hand_over:
            assert bootstrap.enter_environment(["manage.py", "up"]) == Path(sys.prefix)
        hand_over.assert_not_called()

    def test_outside_of_one_is_our_own(self, tmp_path: Path) -> None:
        with (
            patch.object(bootstrap, "ROOT", tmp_path),
            patch.object(bootstrap, "in_environment", return_value=False),
            patch.object(bootstrap, "make_environment", side_effect=lambda path: path / "bin" / "python") as made,
            patch.object(bootstrap, "hand_over", side_effect=SystemExit) as hand_over,
            pytest.raises(SystemExit),
        ):
            bootstrap.enter_environment(["manage.py", "up"])
        made.assert_called_once_with(tmp_path / ".venv")
        hand_over.assert_called_once_with(tmp_path / ".venv" / "bin" / "python", ["manage.py", "up"])


class TestMakeEnvironment:
    def test_keeps_one_that_works(self, tmp_path: Path) -> None:
        python = tmp_path / ".venv" / "bin" / "python"
        python.parent.mkdir(parents=True)
        python.symlink_to(sys.executable)
        with patch.object(bootstrap.subprocess, "run") as run:
            assert bootstrap.make_environment(tmp_path / ".venv") == python
        run.assert_not_called()

    def test_makes_one_anew_whose_python_is_gone(self, tmp_path: Path) -> None:
        python = tmp_path / ".venv" / "bin" / "python"
        python.parent.mkdir(parents=True)
        python.symlink_to(tmp_path / "python3.9-that-was-upgraded-away")
        with patch.object(bootstrap.subprocess, "run") as run:
            run.return_value.returncode = 0
            assert bootstrap.make_environment(tmp_path / ".venv") == python
        assert run.call_args.args[0] == [sys.executable, "-m", "venv", str(tmp_path / ".venv")]

    def test_names_the_package_when_venv_is_missing(self, tmp_path: Path) -> None:
        system = System(family="debian", root=False)
        with (
            patch.object(bootstrap.importlib.util, "find_spec", return_value=None),
            patch.object(bootstrap_system, "this_system", return_value=system),
            pytest.raises(NotPossibleError, match="sudo apt-get install -y --no-install-recommends python3-venv"),
        ):
            bootstrap.make_environment(tmp_path / ".venv")

    def test_says_why_and_leaves_nothing_half_made(self, tmp_path: Path) -> None:
        def fail(*_: Any, **__: Any) -> Any:
            (tmp_path / ".venv").mkdir()
            return subprocess.CompletedProcess([], 1, stdout="No space left on device", stderr="")

        with patch.object(bootstrap.subprocess, "run", side_effect=fail), pytest.raises(NotPossibleError, match="No space left"):
            bootstrap.make_environment(tmp_path / ".venv")
        assert not (tmp_path / ".venv").exists()

    def test_says_that_the_folder_cannot_be_written(self, tmp_path: Path) -> None:
        with patch.object(bootstrap.os, "access", return_value=False), pytest.raises(NotPossibleError, match="cannot be written"):
            bootstrap.make_environment(tmp_path / ".venv")


@pytest.fixture
def locks(tmp_path: Path) -> Any:
    """Two locks and a record of what was installed."""
    paths = {name: tmp_path / f"{name}.lock" for name in ("run", "test")}
    for name, path in paths.items():
        path.write_text(f"{name}-package==1\n")
    with patch.object(bootstrap, "LOCKS", paths), patch.object(bootstrap_packages, "install") as install:
        yield paths, install


class TestStamp:
    def test_lets_a_second_run_install_nothing(self, locks: Any, tmp_path: Path) -> None:
        _, install = locks
        bootstrap.fill("run", tmp_path)
        bootstrap.fill("run", tmp_path)
        assert install.call_count == 1

    def test_of_a_changed_lock_installs_again(self, locks: Any, tmp_path: Path) -> None:
        paths, install = locks
        bootstrap.fill("run", tmp_path)
        paths["run"].write_text("run-package==2\n")
        bootstrap.fill("run", tmp_path)
        assert install.call_count == 2

    def test_of_another_python_installs_again(self, locks: Any, tmp_path: Path) -> None:
        _, install = locks
        bootstrap.fill("run", tmp_path)
        with patch.object(bootstrap.sys, "version", "3.13.1"):
            bootstrap.fill("run", tmp_path)
        assert install.call_count == 2

    def test_of_the_tests_serves_the_app_but_not_the_other_way_round(self, locks: Any, tmp_path: Path) -> None:
        paths, install = locks
        bootstrap.fill("test", tmp_path)
        bootstrap.fill("run", tmp_path)
        assert [call.args[0] for call in install.call_args_list] == [paths["test"]]
        (tmp_path / "handlaid-test.stamp").unlink()
        bootstrap.fill("run", tmp_path)
        bootstrap.fill("test", tmp_path)
        assert [call.args[0] for call in install.call_args_list] == [paths["test"], paths["run"], paths["test"]]

    def test_is_gone_while_an_install_may_break(self, locks: Any, tmp_path: Path) -> None:
        paths, install = locks
        bootstrap.fill("test", tmp_path)
        paths["test"].write_text("test-package==2\n")
        install.side_effect = NotPossibleError("no network")
        with pytest.raises(NotPossibleError):
            bootstrap.fill("test", tmp_path)
        assert list(tmp_path.glob("*.stamp")) == []


class TestTestCommand:
    def test_runs_on_the_settings_of_the_tests(self) -> None:
        from django.conf import settings

        assert os.environ["DJANGO_SETTINGS_MODULE"] == "studio.settings.test"
        assert settings.TASK_QUEUE["task_always_eager"]

    def test_hands_its_arguments_to_pytest(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("DJANGO_SETTINGS_MODULE", "studio.settings.base")
        with (
            patch.object(bootstrap, "fill") as fill,
            patch.object(bootstrap.os, "chdir"),
            patch.object(bootstrap, "hand_over") as hand_over,
            patch.object(bootstrap, "in_environment", return_value=True),
        ):
            bootstrap.main(["manage.py", "test", "-k", "coats", "-x"])
            hand_over.assert_called_once_with(Path(sys.executable), ["-m", "pytest", "-k", "coats", "-x"])
            bootstrap.main(["manage.py", "test"])
        assert fill.call_args.args[0] == "test"
        assert os.environ["DJANGO_SETTINGS_MODULE"] == "studio.settings.test"
        # All of them at once are spread over the processors.
        hand_over.assert_called_with(Path(sys.executable), ["-m", "pytest", "-n", "auto", "--dist", "loadgroup"])


class TestSecretKey:
    def test_is_made_once_long_and_for_its_owner_only(self, tmp_path: Path) -> None:
        key = bootstrap.secret_key(tmp_path / "data")
        assert len(key) >= 64
        assert bootstrap.secret_key(tmp_path / "data") == key
        assert bootstrap.secret_key(tmp_path / "other") != key
        assert stat.S_IMODE((tmp_path / "data" / "secret_key").stat().st_mode) == 0o600
        assert [path.name for path in (tmp_path / "data").iterdir()] == ["secret_key"]


class TestExplain:
    @pytest.mark.parametrize(
        ("output", "sentence"),
        [
            ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device", "disk is full"),
            ("Failed to establish a new connection: [Errno -3] Temporary failure in name resolution", "could not be reached"),
            ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.", "not the one that was locked"),
            ("ERROR: No matching distribution found for numpy==9", "ready-built"),
            ("OSError: [Errno 13] Permission denied: '/opt/env'", "cannot be written"),
            ("/opt/env/bin/python: No module named pip", "ensurepip"),
            ("something unheard of", "last lines say why"),
        ],
    )
    def test_says_what_to_do(self, output: str, sentence: str) -> None:
        assert sentence in explain(output)


class TestInstall:
    def test_asks_pip_for_hashes_and_ready_built_packages_only(self, tmp_path: Path) -> None:
        pip = tmp_path / "python"
        pip.write_text(f'#!/bin/sh\necho "$@" >> {tmp_path}/asked\necho "Collecting numpy==2 (from -r x)"\n')
        pip.chmod(0o755)
        lock = tmp_path / "a.lock"
        lock.write_text("numpy==2 \\\n    --hash=sha256:00\n")
        bootstrap_packages.install(lock, pip)
        asked = (tmp_path / "asked").read_text()
        assert "--require-hashes" in asked
        assert "--only-binary=:all:" in asked

    def test_says_a_failure_with_the_last_lines_of_pip(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        pip = tmp_path / "python"
        pip.write_text('#!/bin/sh\necho "ERROR: Temporary failure in name resolution"\nexit 1\n')
        pip.chmod(0o755)
        lock = tmp_path / "a.lock"
        lock.write_text("numpy==2\n")
        with pytest.raises(NotPossibleError) as caught:
            bootstrap_packages.install(lock, pip)
        assert "needs a network" in str(caught.value)
        assert "ERROR: Temporary failure" in str(caught.value)
        assert "not installed" in capsys.readouterr().out


class TestLocks:
    @pytest.mark.parametrize("name", ["run", "test"])
    def test_carry_a_hash_for_each_package_and_no_address(self, name: str) -> None:
        text = bootstrap.LOCKS[name].read_text()
        blocks = [block for block in text.replace("\\\n", " ").splitlines() if block.strip() and not block.startswith("#")]
        assert len(blocks) == count_packages(bootstrap.LOCKS[name]) > 30
        assert all("--hash=sha256:" in block for block in blocks)
        assert "://" not in text
        assert "--index-url" not in text
        assert "--find-links" not in text

    def test_of_the_tests_holds_the_whole_lock_of_the_app(self) -> None:
        run, test = (set(bootstrap.LOCKS[name].read_text().splitlines()) for name in ("run", "test"))
        pins = {line for line in run if "==" in line}
        assert len(pins) > 30
        assert pins <= test


class TestProgress:
    def test_says_its_first_and_last_line_where_nothing_can_be_rewritten(self, capsys: pytest.CaptureFixture[str]) -> None:
        progress = Progress("Installing")
        progress.show("Fetching 1 of 2")
        progress.end("Installed")
        assert capsys.readouterr().out == "Installing\nInstalled\n"


# From memory of these systems' os-release files: ID and ID_LIKE as each ships them.
class TestFamilyOf:
    @pytest.mark.parametrize(
        ("text", "family"),
        [
            ('ID=debian\nVERSION_ID="12"\n', "debian"),
            ("ID=ubuntu\nID_LIKE=debian\n", "debian"),
            ('ID="rocky"\nID_LIKE="rhel centos fedora"\n', "fedora"),
            ("ID=endeavouros\nID_LIKE=arch\n", "arch"),
            ("ID=alpine\n", "alpine"),
            ('ID="opensuse-tumbleweed"\nID_LIKE="opensuse suse"\n', "suse"),
            ("ID=nixos\n", "unknown"),
            ("", "unknown"),
        ],
    )
    def test_reads_the_distribution(self, text: str, family: str) -> None:
        assert family_of(text) == family


class TestInstallCommand:
    @pytest.mark.parametrize("family", sorted(PACKAGES["pango"]))
    def test_of_pango_is_said_for_each_system(self, family: str) -> None:
        advice = pango_advice(System(family=family, root=False))
        assert "pango" in advice
        assert ("sudo " in advice) == (family != "macos")
        assert "sudo" not in pango_advice(System(family=family, root=True))

    def test_is_a_plain_sentence_where_no_command_is_known(self) -> None:
        assert pango_advice(System(family="unknown", root=True)).startswith("Install Pango")

    def test_is_run_only_on_debian_as_root(self) -> None:
        with patch.object(bootstrap_system, "apt_install", return_value=True) as apt:
            assert not bootstrap_system.bring("pango", System(family="debian", root=False))
            assert not bootstrap_system.bring("pango", System(family="fedora", root=True))
            assert apt.call_count == 0
            assert bootstrap_system.bring("pango", System(family="debian", root=True))
            assert apt.call_args.args[0] == PACKAGES["pango"]["debian"]


class TestAptInstall:
    def test_fetches_the_lists_only_after_a_first_failure(self) -> None:
        codes = iter([100, 0, 0])
        with (
            patch.object(bootstrap_system.shutil, "which", return_value="/usr/bin/apt-get"),
            patch.object(
                bootstrap_system.subprocess, "run", side_effect=lambda *_, **__: subprocess.CompletedProcess([], next(codes))
            ) as run,
        ):
            assert bootstrap_system.apt_install("python3-venv")
        assert [call.args[0][1] for call in run.call_args_list] == ["install", "update", "install"]
        assert run.call_args.kwargs["env"]["DEBIAN_FRONTEND"] == "noninteractive"

    def test_says_no_where_there_is_no_apt(self) -> None:
        with patch.object(bootstrap_system.shutil, "which", return_value=None):
            assert not bootstrap_system.apt_install("python3-venv")


class TestPangoPresent:
    def test_is_false_when_one_library_cannot_be_opened(self) -> None:
        with (
            patch.object(bootstrap_system.ctypes, "CDLL", side_effect=OSError),
            patch.object(bootstrap_system.ctypes.util, "find_library", return_value=None),
        ):
            assert not bootstrap_system.pango_present()


def test_the_entry_point_is_executable_by_any_python3() -> None:
    assert (ROOT / "manage.py").read_text().startswith("#!/usr/bin/env python3\n")
    assert os.access(ROOT / "requirements.lock", os.R_OK)
