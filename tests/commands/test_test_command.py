"""Finding a browser, and never leaving tests out unasked."""

import os
import subprocess

import pytest

from trips.management.commands import test as command
from trips.management.commands.test import (
    HOW_TO_GET_ONE,
    Command,
    child_environment,
    find_browser,
    may_install,
    starts,
)


def on_path(*names):
    return lambda name: f"/usr/bin/{name}" if name in names else None


def always(path):
    return True


def test_the_named_browser_comes_first():
    found = find_browser({"CHROME": "/opt/it"}, which=on_path("chromium"), works=always)
    assert found == "/opt/it"


def test_a_named_browser_that_does_not_start_is_not_replaced_by_another():
    found = find_browser(
        {"CHROME": "/opt/it"}, which=on_path("chromium"), works=lambda path: path != "/opt/it"
    )
    assert found is None


def test_names_are_tried_in_order():
    found = find_browser({}, which=on_path("msedge", "google-chrome"), works=always)
    assert found == "/usr/bin/google-chrome"


def test_a_stand_in_that_does_not_start_is_passed_over():
    found = find_browser(
        {},
        which=on_path("chromium-browser", "google-chrome-stable"),
        works=lambda path: path == "/usr/bin/google-chrome-stable",
    )
    assert found == "/usr/bin/google-chrome-stable"


def test_usual_places_are_tried_after_names():
    mac = "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"
    assert find_browser({}, which=on_path(), works=lambda path: path == mac) == mac
    found = find_browser(
        {"PROGRAMFILES": "/P"}, which=on_path(), works=lambda path: path.startswith("/P")
    )
    assert found == "/P/Google/Chrome/Application/chrome.exe"


def test_no_browser_is_none():
    assert find_browser({}, which=on_path(), works=lambda path: False) is None


def test_a_file_that_is_not_there_does_not_start(tmp_path):
    assert starts(str(tmp_path / "none")) is False


@pytest.mark.skipif(os.name != "posix", reason="uses a shell script")
@pytest.mark.parametrize(("code", "expected"), [(0, True), (1, False)])
def test_a_browser_starts_if_it_answers_with_its_version(tmp_path, code, expected):
    script = tmp_path / "browser"
    script.write_text(f'#!/bin/sh\n[ "$1" = --version ] && exit {code}\nexit 3\n')
    script.chmod(0o755)
    assert starts(str(script)) is expected


@pytest.mark.parametrize(
    ("text", "user_id", "apt", "expected"),
    [
        ("ID=debian\n", 0, True, True),
        ('NAME="Mint"\nID=linuxmint\nID_LIKE="ubuntu debian"\n', 0, True, True),
        ("ID=debian\n", 1000, True, False),
        ("ID=debian\n", 0, False, False),
        ("ID=fedora\n", 0, True, False),
        ("VERSION_ID=debian\n", 0, True, False),
    ],
)
def test_only_root_on_debian_or_ubuntu_installs(tmp_path, text, user_id, apt, expected):
    release = tmp_path / "os-release"
    release.write_text(text)
    which = on_path("apt-get") if apt else on_path()
    assert may_install(release=release, which=which, user_id=user_id) is expected


def test_without_a_browser_nothing_is_run_and_the_way_out_is_said(monkeypatch, capsys):
    monkeypatch.delenv("CHROME", raising=False)
    monkeypatch.setattr(command, "find_browser", lambda: None)
    monkeypatch.setattr(command, "may_install", lambda: False)
    monkeypatch.setattr(command.subprocess, "call", lambda *a, **k: pytest.fail("ran"))
    assert Command().run([]) == 2
    said = capsys.readouterr().err
    assert HOW_TO_GET_ONE in said
    assert "--no-browser" in said


def test_a_named_browser_that_does_not_start_is_said(monkeypatch, capsys):
    monkeypatch.setenv("CHROME", "/nowhere/browser")
    monkeypatch.setattr(command.subprocess, "call", lambda *a, **k: pytest.fail("ran"))
    assert Command().run([]) == 2
    assert "/nowhere/browser, which does not start" in capsys.readouterr().err


@pytest.mark.parametrize("code", [0, 1, 5])
def test_arguments_go_to_pytest_and_its_code_comes_back(monkeypatch, code):
    calls = []

    def call(arguments, *, cwd, env):
        calls.append((arguments[1:], env))
        return code

    monkeypatch.setattr(command, "find_browser", lambda: pytest.fail("not needed"))
    monkeypatch.setattr(command.subprocess, "call", call)
    assert Command().run(["--no-browser", "-k", "gold", "-v"]) == code
    [(arguments, environ)] = calls
    assert arguments == ["-m", "pytest", "--no-browser", "-k", "gold", "-v"]
    assert environ["DATA_DIR"] != os.environ.get("DATA_DIR")


def test_a_site_of_ones_own_does_not_change_what_is_tested():
    environ = {"HTTPS": "True", "DEMO": "True", "DATABASE_URL": "postgres://x/y", "PATH": "/bin"}
    assert child_environment(environ, "/tmp/f", "/usr/bin/chromium") == {
        "DATABASE_URL": "postgres://x/y",
        "PATH": "/bin",
        "DATA_DIR": "/tmp/f",
        "SECRET_KEY": "for tests only, signs nothing that lasts",
        "CHROME": "/usr/bin/chromium",
    }


def test_failed_apt_get_gives_no_browser(monkeypatch, capsys):
    monkeypatch.delenv("CHROME", raising=False)
    monkeypatch.setattr(command, "may_install", lambda: True)
    failed = subprocess.CompletedProcess([], 100)
    monkeypatch.setattr(command.subprocess, "run", lambda *a, **k: failed)
    assert Command().install_browser() is None
    assert "apt-get update failed" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "cores", "expected"),
    [
        ([], 2, ["-n", "2", "--dist", "loadfile", "--no-loadscope-reorder"]),
        (["--no-browser"], 16, ["-n", "4", "--dist", "loadfile", "--no-loadscope-reorder"]),
        ([], 1, []),
        (["tests/calc"], 8, []),
        (["-k", "pans"], 8, []),
    ],
)
def test_only_the_whole_suite_runs_side_by_side(arguments, cores, expected):
    assert command.side_by_side(arguments, cores) == expected
