"""What every test run shares: no network, no clock of chance, nothing written to a real record.

pytest-django reads the settings before this file runs, so values are changed on the settings
object here and not through the environment.
"""

import gc
import os
from pathlib import Path

import pytest
from hypothesis import settings as hypothesis_settings

# The browser driver keeps an event loop in the test's thread; Django would refuse
# database calls there although nothing runs at the same time. Tests only.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

# The same examples on every machine: a failure can be repeated by anyone.
hypothesis_settings.register_profile("ledger", derandomize=True, deadline=None, database=None)
hypothesis_settings.load_profile("ledger")

E2E = Path(__file__).parent / "e2e"


def pytest_addoption(parser):
    parser.addoption(
        "--no-browser",
        action="store_true",
        help="leave out the tests that need a browser (they are counted as deselected)",
    )


def pytest_configure(config):
    from django.conf import settings

    # Slow on purpose in use, of no use in tests.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    # Static files straight from their sources: no collectstatic before a test run.
    settings.WHITENOISE_AUTOREFRESH = True
    settings.WHITENOISE_USE_FINDERS = True
    gc.set_threshold(50_000, 20, 20)  # as manage.py and wsgi.py set it


def pytest_collection_finish(session):
    """What was loaded stays to the end: looking through it for garbage again and again is slow."""
    gc.collect()
    gc.freeze()


def pytest_report_header(config):
    from django.db import connection

    return f"database: {connection.vendor}"


def pytest_collection_modifyitems(config, items):
    for item in items:
        if E2E in item.path.parents:
            item.add_marker(pytest.mark.browser)
    if config.getoption("--no-browser"):
        browser = [item for item in items if item.get_closest_marker("browser")]
        if browser:
            items[:] = [item for item in items if not item.get_closest_marker("browser")]
            config.hook.pytest_deselected(items=browser)


@pytest.fixture(scope="session", autouse=True)
def data_dir(tmp_path_factory):
    """A folder of its own for files made by tests; a person's photos are never touched."""
    from django.test import override_settings

    folder = tmp_path_factory.mktemp("data")
    media = folder / "media"
    media.mkdir()
    with override_settings(DATA_DIR=folder, MEDIA_ROOT=media):
        yield folder
