"""The door: what it does before any requirement is installed."""

import importlib.util
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def manage():
    spec = importlib.util.spec_from_file_location("ledger_manage", ROOT / "manage.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def filled(manage, tmp_path):
    """An environment with its Python in place and requirement files beside it."""
    venv = tmp_path / ".venv"
    python = Path(manage.venv_python(str(venv), "posix"))
    python.parent.mkdir(parents=True)
    python.touch()
    requirements = tmp_path / "requirements.txt"
    requirements.write_text("one==1\n")
    return str(venv), str(python), [str(requirements)]


@pytest.mark.parametrize(
    ("version", "refused"),
    [((3, 10, 14), True), ((2, 7, 18), True), ((3, 11, 0), False), ((4, 0, 0), False)],
)
def test_an_old_python_is_refused_by_its_number(manage, version, refused):
    message = manage.too_old(version)
    assert (message is not None) is refused
    if refused:
        assert f"This is Python {version[0]}.{version[1]}." in message
        assert "needs Python 3.11 or newer" in message


def test_the_environment_counts_as_filled_only_with_its_stamp(manage, filled):
    venv, python, files = filled
    assert manage.is_current(venv, python, files) is False
    Path(manage.stamp_path(venv, files)).write_text(manage.stamp_of(files))
    assert manage.is_current(venv, python, files) is True


def test_a_changed_requirement_makes_the_stamp_stale(manage, filled):
    venv, python, files = filled
    Path(manage.stamp_path(venv, files)).write_text(manage.stamp_of(files))
    Path(files[0]).write_text("one==2\n")
    assert manage.is_current(venv, python, files) is False


def test_an_environment_that_lost_its_python_is_not_current(manage, filled):
    venv, python, files = filled
    Path(manage.stamp_path(venv, files)).write_text(manage.stamp_of(files))
    Path(python).unlink()
    assert manage.is_current(venv, python, files) is False


@pytest.mark.parametrize(
    ("command", "names"),
    [
        ("demo", ["requirements.txt"]),
        ("start", ["requirements.txt"]),
        ("test", ["tests/requirements.txt", "requirements.txt"]),
    ],
)
def test_only_test_asks_for_the_test_requirements(manage, command, names):
    files = manage.requirement_files(["manage.py", command])
    assert [Path(path).relative_to(ROOT).as_posix() for path in files] == names
    assert all(Path(path).is_file() for path in files)


def test_the_environment_python_is_where_each_system_keeps_it(manage):
    assert Path(manage.venv_python("v", "posix")) == Path("v/bin/python")
    assert Path(manage.venv_python("v", "nt")) == Path("v/Scripts/python.exe")


def test_the_demo_goes_to_its_own_file_and_says_what_it_ignores(manage, tmp_path, capsys):
    environ = {
        "DATABASE_URL": "postgres://somewhere/own",
        "HTTPS": "True",
        "DATA_DIR": str(tmp_path),
    }
    manage.demo_environment(environ)
    assert environ == {
        "DATABASE_URL": f"sqlite:///{tmp_path}/demo.sqlite3",
        "DATA_DIR": str(tmp_path / "demo"),
        "DEMO": "True",
    }
    assert "ignores: DATABASE_URL, HTTPS" in capsys.readouterr().err


def test_the_demo_says_nothing_where_nothing_is_ignored(manage, tmp_path, capsys):
    manage.demo_environment({"DATA_DIR": str(tmp_path)})
    assert capsys.readouterr().err == ""


def test_settings_read_the_demo_file_from_a_folder_with_odd_signs(manage, tmp_path):
    environ = {"DATA_DIR": str(tmp_path / "50 % gold #1?")}
    manage.demo_environment(environ)
    code = (
        "import django; from django.conf import settings;"
        "print(settings.DATABASES['default']['NAME'])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, **environ, "DJANGO_SETTINGS_MODULE": "trips.project.settings"},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.strip() == str(tmp_path / "50 % gold #1?" / "demo.sqlite3"), done.stderr


def test_nothing_is_installed_inside_a_virtual_environment(manage, monkeypatch):
    monkeypatch.setattr(manage, "make", lambda *a: pytest.fail("would install"))
    monkeypatch.setattr(os, "execv", lambda *a: pytest.fail("would start again"))
    monkeypatch.setattr(sys, "prefix", "/somewhere/else")
    monkeypatch.delenv("LEDGER_NO_BOOTSTRAP", raising=False)
    manage.bootstrap(["manage.py", "demo"])


def test_nothing_is_installed_when_switched_off(manage, monkeypatch):
    monkeypatch.setattr(manage, "make", lambda *a: pytest.fail("would install"))
    monkeypatch.setattr(os, "execv", lambda *a: pytest.fail("would start again"))
    monkeypatch.setattr(sys, "prefix", sys.base_prefix)
    monkeypatch.setenv("LEDGER_NO_BOOTSTRAP", "1")
    manage.bootstrap(["manage.py", "demo"])


def test_a_bare_machine_is_filled_and_the_command_run_again(manage, monkeypatch, tmp_path):
    done = []
    monkeypatch.setattr(manage, "ROOT", str(tmp_path))
    monkeypatch.setattr(manage, "make", lambda venv, python, files: done.append(files))
    monkeypatch.setattr(os, "execv", lambda python, command: done.append(command))
    monkeypatch.setattr(sys, "prefix", sys.base_prefix)
    monkeypatch.delenv("LEDGER_NO_BOOTSTRAP", raising=False)
    manage.bootstrap(["manage.py", "demo", "--port", "8100"])
    files, command = done
    assert files == [str(tmp_path / "requirements.txt")]
    assert command[0].startswith(str(tmp_path / ".venv"))
    assert command[1:] == [str(tmp_path / "manage.py"), "demo", "--port", "8100"]


def test_a_missing_venv_module_is_named(manage, monkeypatch, tmp_path):
    failed = subprocess.CompletedProcess([], 1)
    monkeypatch.setattr(manage.subprocess, "run", lambda *a, **k: failed)
    with pytest.raises(SystemExit, match="sudo apt-get install python3-venv"):
        manage.make(str(tmp_path), str(tmp_path / "bin" / "python"), ["requirements.txt"])


def test_a_failed_installation_leaves_no_stamp(manage, monkeypatch, filled):
    failed = subprocess.CompletedProcess([], 1)
    monkeypatch.setattr(manage.subprocess, "run", lambda *a, **k: failed)
    with pytest.raises(SystemExit, match="Check the network"):
        manage.make(*filled)
    assert not Path(manage.stamp_path(filled[0], filled[2])).exists()


def test_a_finished_installation_is_stamped(manage, monkeypatch, filled):
    fine = subprocess.CompletedProcess([], 0)
    monkeypatch.setattr(manage.subprocess, "run", lambda *a, **k: fine)
    manage.make(*filled)
    assert manage.is_current(*filled) is True
