#!/usr/bin/env python3
"""The door to Gravel Ledger: `python3 manage.py demo`, `start`, `test`.

On a bare machine it first makes the folder .venv and installs the requirements there. Until
that is done, nothing but the standard library may be imported, and the syntax must be one
that an old Python can read, or it could not even say that it is too old.
"""

import gc
import hashlib
import os
import subprocess
import sys
from urllib.parse import quote

ROOT = os.path.dirname(os.path.abspath(__file__))
MIN_PYTHON = (3, 11)


def main(argv):
    if argv[1:2] == ["demo"]:
        demo_environment(os.environ)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trips.project.settings")
    # Loading makes a great many objects that all stay. With Python's own figures the collector
    # walks through them again and again: a tenth of the time until a command begins.
    gc.set_threshold(50_000, 20, 20)
    from django.core.management import execute_from_command_line

    execute_from_command_line(argv)


def demo_environment(environ):
    """Point the demo at files of its own, whatever the environment says.

    The database is DATA_DIR/demo.sqlite3; photos and the key go to DATA_DIR/demo. Settings of a
    hosted site are dropped, or the demo would wait for a proxy that isn't there.
    """
    hosted = ("DATABASE_URL", "ALLOWED_HOSTS", "CSRF_TRUSTED_ORIGINS", "HTTPS", "DEBUG")
    hosted += ("BACKGROUND", "FILES_STORAGE", "FILES_OPTIONS")
    ignored = [name for name in hosted if environ.pop(name, None)]
    if ignored:
        say("The demo uses a database file of its own and ignores: {}.".format(", ".join(ignored)))
    home = os.path.abspath(environ.get("DATA_DIR") or os.path.join(ROOT, ".data"))
    database = os.path.join(home, "demo.sqlite3").replace(os.sep, "/")
    environ["DATABASE_URL"] = "sqlite:///" + quote(database, safe="/:")
    environ["DATA_DIR"] = os.path.join(home, "demo")
    environ["DEMO"] = "True"


def bootstrap(argv):
    """Run again inside .venv, made or renewed where needed; returns where there is nothing to do.

    Inside any virtual environment, also .venv itself, nothing is installed: whoever chose the
    environment fills it.
    """
    refusal = too_old(sys.version_info)
    if refusal:
        sys.exit(refusal)
    if os.environ.get("LEDGER_NO_BOOTSTRAP") == "1" or sys.prefix != sys.base_prefix:
        return
    venv = os.path.join(ROOT, ".venv")
    python = venv_python(venv, os.name)
    files = requirement_files(argv)
    if not is_current(venv, python, files):
        make(venv, python, files)
    command = [python, os.path.join(ROOT, "manage.py"), *argv[1:]]
    if os.name == "nt":
        sys.exit(subprocess.call(command))
    # Replaces this process, so that stopping it stops the server too.
    os.execv(python, command)


def too_old(version):
    """What to say to a Python that is too old, or None."""
    if tuple(version[:2]) >= MIN_PYTHON:
        return None
    need, have = ("{}.{}".format(*numbers[:2]) for numbers in (MIN_PYTHON, version))
    return f"Gravel Ledger needs Python {need} or newer. This is Python {have}."


def requirement_files(argv):
    """`test` needs more than the site does: the browser driver alone is 170 MB."""
    name = "tests/requirements.txt" if argv[1:2] == ["test"] else "requirements.txt"
    files = [os.path.join(ROOT, *name.split("/"))]
    if name != "requirements.txt":
        files.append(os.path.join(ROOT, "requirements.txt"))
    return files


def stamp_of(files):
    """A hash of the requirement files as they are now."""
    digest = hashlib.sha256()
    for path in files:
        with open(path, "rb") as file:
            digest.update(file.read())
        digest.update(b"\0")
    return digest.hexdigest()


def stamp_path(venv, files):
    """One stamp for the site's requirements and one for the tests'."""
    kind = "site" if len(files) == 1 else "tests"
    return os.path.join(venv, f"requirements-{kind}.sha256")


def is_current(venv, python, files):
    """True if .venv was filled from just these requirements."""
    if not os.path.exists(python):
        return False
    try:
        with open(stamp_path(venv, files), encoding="ascii") as file:
            return file.read().strip() == stamp_of(files)
    except OSError:
        return False


def make(venv, python, files):
    """Make .venv if it isn't there and install the requirements; exits saying what failed."""
    if not os.path.exists(python):
        say("Making the folder .venv …")
        made = subprocess.run(
            [sys.executable, "-m", "venv", "--clear", venv], stdout=sys.stderr, check=False
        )
        if made.returncode or not os.path.exists(python):
            sys.exit(
                "The folder .venv could not be made. On Debian or Ubuntu the module for it is a "
                "package of its own:\n    sudo apt-get install python3-venv"
            )
    say("Installing what is needed (once; takes a minute or two) …")
    # Twice quiet: errors are shown, warnings about the machine are not.
    quiet = ["--quiet", "--quiet", "--disable-pip-version-check", "--no-input"]
    calm = dict(os.environ, PIP_ROOT_USER_ACTION="ignore", PIP_NO_PYTHON_VERSION_WARNING="1")
    installed = subprocess.run(
        [python, "-m", "pip", "install", *quiet, "-r", files[0]],
        env=calm,
        stdout=sys.stderr,
        check=False,
    )
    if installed.returncode:
        sys.exit(
            "Installing failed; the lines above say why. Check the network and run the same "
            "command again."
        )
    # The tests' requirements contain the site's: files[1:] is stamped along with them.
    for filled in [files, files[1:]]:
        if filled:
            with open(stamp_path(venv, filled), "w", encoding="ascii") as file:
                file.write(stamp_of(filled))


def venv_python(venv, system):
    """Where an environment keeps its Python: `system` is os.name."""
    parts = ("Scripts", "python.exe") if system == "nt" else ("bin", "python")
    return os.path.join(venv, *parts)


def say(text):
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


if __name__ == "__main__":
    bootstrap(sys.argv)
    main(sys.argv)
