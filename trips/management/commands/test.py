"""Run every test. Takes the place of Django's own command of this name."""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand

NAMES = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "microsoft-edge",
    "msedge",
)
MAC_PLACES = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
)
WINDOWS_ROOTS = ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA")
WINDOWS_PLACES = (
    "Google/Chrome/Application/chrome.exe",
    "Chromium/Application/chrome.exe",
    "Microsoft/Edge/Application/msedge.exe",
)
HOW_TO_GET_ONE = """\
The browser tests need Chromium, Chrome or Edge, and none was found.
    Debian, Ubuntu:  sudo apt-get install chromium
    Fedora:          sudo dnf install chromium
    macOS:           brew install --cask chromium
    Windows:         winget install Google.Chrome
One that is installed elsewhere is named with CHROME=/path/to/it.
Without the browser tests:  python3 manage.py test --no-browser
"""
# Each worker has a database of its own; more of them wait for the disk and the browser.
CORES = os.cpu_count() or 1
MOST_WORKERS = 4
# Settings of somebody's own site must not change what is tested. DATABASE_URL stays: it
# chooses the kind of database the tests run on; they make a database of their own there.
NOT_FOR_TESTS = (
    "ALLOWED_HOSTS",
    "CSRF_TRUSTED_ORIGINS",
    "DEBUG",
    "DEMO",
    "HTTPS",
    "PAGE_SIZE",
    "SIGN_UP",
)


class Command(BaseCommand):
    help = (
        "Run every test: python3 manage.py test [--no-browser] [anything pytest takes, such as "
        "tests/calc or -k name]. --no-browser leaves out the tests that need a browser."
    )

    def run_from_argv(self, argv):
        """Everything after the command's name goes to pytest as it is."""
        arguments = argv[2:]
        if arguments in (["-h"], ["--help"]):
            self.stdout.write(self.help)
            return
        sys.exit(self.run(arguments))

    def run(self, arguments):
        """Find a browser where one is needed, run pytest in a child, return its exit code."""
        browser = None
        if "--no-browser" not in arguments:
            browser = find_browser() or self.install_browser()
            if browser is None and os.environ.get("CHROME"):
                self.stderr.write(f"CHROME names {os.environ['CHROME']}, which does not start.")
                return 2
            if browser is None:
                self.stderr.write(HOW_TO_GET_ONE)
                return 2
        with tempfile.TemporaryDirectory(prefix="ledger-tests-") as folder:
            command = [sys.executable, "-m", "pytest", *side_by_side(arguments), *arguments]
            environ = child_environment(os.environ, folder, browser)
            return subprocess.call(command, cwd=settings.BASE_DIR, env=environ)

    def install_browser(self):
        """On a throw-away machine, where root runs the tests, get one from the distribution."""
        if os.environ.get("CHROME") or not may_install():
            return None
        self.stderr.write("No browser found. This runs as root: installing chromium by apt-get …")
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        for step in (["update"], ["install", "-y", "--no-install-recommends", "chromium"]):
            done = subprocess.run(
                ["apt-get", "-qq", *step], env=quiet, stdout=subprocess.DEVNULL, check=False
            )
            if done.returncode:
                self.stderr.write(f"apt-get {step[0]} failed.")
                return None
        return find_browser()


def side_by_side(arguments, cores=CORES):
    """The whole suite runs on several cores, file by file; a part of it as pytest is told.

    In the order of the folders: by their number of tests, files with few long ones, such as the
    walks over every page in a browser, would come last and leave the other cores idle.
    """
    is_whole = set(arguments) <= {"--no-browser"}
    workers = min(cores, MOST_WORKERS)
    if not is_whole or workers < 2:
        return []
    return ["-n", str(workers), "--dist", "loadfile", "--no-loadscope-reorder"]


def child_environment(environ, folder, browser):
    """The environment pytest runs in: a folder of its own, no settings of somebody's site."""
    kept = {name: value for name, value in environ.items() if name not in NOT_FOR_TESTS}
    kept |= {"DATA_DIR": folder, "SECRET_KEY": "for tests only, signs nothing that lasts"}
    if browser is not None:
        kept["CHROME"] = browser
    return kept


def find_browser(environ=os.environ, which=shutil.which, works=None):
    """The path of a browser that starts, or None. One named by CHROME is taken or nothing is."""
    works = works or starts
    named = environ.get("CHROME")
    if named:
        return named if works(named) else None
    on_path = (which(name) for name in NAMES)
    windows = (
        str(Path(environ[root]) / place)
        for root in WINDOWS_ROOTS
        if environ.get(root)
        for place in WINDOWS_PLACES
    )
    candidates = [*on_path, *MAC_PLACES, *windows]
    return next((path for path in candidates if path and works(path)), None)


def starts(path):
    """True if the file is there and, where asking opens no window, answers with its version.

    Some systems put a script in the browser's place that only says how to install it.
    """
    if not os.path.isfile(path):
        return False
    if os.name == "nt":
        return True
    try:
        answer = subprocess.run([path, "--version"], capture_output=True, timeout=60, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return answer.returncode == 0


def may_install(release=Path("/etc/os-release"), which=shutil.which, user_id=None):
    """True for root on Debian, Ubuntu or a relative of theirs with apt-get."""
    if user_id is None:
        user_id = os.geteuid() if hasattr(os, "geteuid") else -1
    if user_id != 0 or which("apt-get") is None or not release.is_file():
        return False
    families = [
        line.partition("=")[2].strip().strip('"').split()
        for line in release.read_text(encoding="utf-8").splitlines()
        if line.startswith(("ID=", "ID_LIKE="))
    ]
    return any(name in {"debian", "ubuntu"} for family in families for name in family)
