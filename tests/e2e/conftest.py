"""A real browser at two widths. Any console error, page error or blocked resource fails the test.

`phone` and `desk` are pages, each in a context of its own, with the live server as base address:
`phone.goto("/trips/")`. `sign_in(page, user)` signs in without the form. `axe(page)` fails on
what the accessibility checker finds. `problems.allow("text")` before an error that a test means.
No `time.sleep` in here: the browser's events only arrive inside calls to it.
"""

import os
import re
import tempfile
import threading
from pathlib import Path

import pytest
from django.conf import settings
from django.core.signals import request_finished, request_started
from django.db import connection
from django.test import Client
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import expect

from trips.management.commands.test import HOW_TO_GET_ONE, find_browser

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
DESK = {"viewport": {"width": 1280, "height": 800}}
FLAGS = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# A machine that also runs other tests may take seconds for what a person sees at once.
expect.set_options(timeout=15_000)
AXE = Path(__file__).parents[1] / "vendor" / "axe-core" / "axe.min.js"
AXE_RULES = [
    "wcag2a",
    "wcag2aa",
    "wcag21a",
    "wcag21aa",
    "wcag22aa",
    "best-practice",
]
# The rules that look at colours, held by `test_a_dark_scheme_changes_colours_alone`.
AXE_COLOUR_RULES = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
# The console message of a blocked resource differs between versions; the event does not.
TELL_OF_BLOCKED = """
document.addEventListener("securitypolicyviolation", event => console.error(
  `blocked by the content policy: ${event.violatedDirective} ${event.blockedURI}`));
"""


class Problems:
    """What went wrong in the pages of one test, apart from what the test said it expects."""

    def __init__(self):
        self.seen = []
        self.allowed = []

    def allow(self, text):
        """Errors containing this text are part of the test."""
        self.allowed.append(text)

    def watch(self, context):
        context.on("console", self._console)
        context.on("weberror", lambda found: self.seen.append(f"page error: {found.error}"))

    def _console(self, message):
        if message.type == "error":
            where = (message.location or {}).get("url", "")
            self.seen.append(f"console: {message.text} {where}".rstrip())

    def unexpected(self):
        return [seen for seen in self.seen if not any(text in seen for text in self.allowed)]


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    found = find_browser()
    if found is None:
        pytest.fail(HOW_TO_GET_ONE, pytrace=False)
    flags = list(FLAGS)
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        flags.append("--no-sandbox")  # its sandbox refuses to start as root
    return {**browser_type_launch_args, "executable_path": found, "args": flags}


@pytest.fixture
def problems():
    found = Problems()
    yield found
    assert found.unexpected() == []


class Answering:
    """The threads in which the site is answering a request just now.

    A database in memory has one connection for all of them, on which the savepoints of two answers
    would mix: there they answer one after another. Elsewhere nobody waits.
    """

    def __init__(self):
        self._busy = set()
        self._turn = None
        self._changed = threading.Condition()
        request_started.connect(self._begin)
        request_finished.connect(self._end)

    def _begin(self, **_):
        me = threading.current_thread()
        with self._changed:
            self._busy.add(me)
            if _is_in_memory() and me is not threading.main_thread():
                self._changed.wait_for(lambda: self._is_turn_of(me), timeout=20)
                self._turn = me

    def _is_turn_of(self, me):
        return self._turn in (None, me) or not self._turn.is_alive()

    def _end(self, **_):
        me = threading.current_thread()
        with self._changed:
            self._busy.discard(me)
            if self._turn is me:
                self._turn = None
            self._changed.notify_all()

    def wait_until_none(self):
        with self._changed:
            assert self._changed.wait_for(lambda: not self._others(), timeout=20), self._others()

    def _others(self):
        """Not this one: a test may have asked by itself and left an answer unread."""
        return [t for t in self._busy if t.is_alive() and t is not threading.current_thread()]


def _is_in_memory():
    return connection.vendor == "sqlite" and connection.is_in_memory_db()


@pytest.fixture(scope="session")
def answering():
    return Answering()


@pytest.fixture
def open_page(browser, live_server, problems, request, answering):
    """Open a page in a new context: `open_page(viewport=…, color_scheme="dark", …)`."""
    contexts = []
    request.node.open_pages = []

    def open_one(**options):
        context = browser.new_context(**{"base_url": live_server.url, **options})
        context.add_init_script(TELL_OF_BLOCKED)
        problems.watch(context)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(15_000)
        request.node.open_pages.append(page)
        return page

    yield open_one
    for context in contexts:
        context.close()
    # What a page asked at the last moment is still written, and the tables are emptied next.
    answering.wait_until_none()


@pytest.fixture
def phone(open_page):
    return open_page(**PHONE)


@pytest.fixture
def desk(open_page):
    return open_page(**DESK)


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def page_at(request, open_page):
    """The same test at both widths."""
    return open_page(**request.param)


@pytest.fixture
def sign_in(live_server):
    """Sign a user in by cookie: the form has tests of its own."""

    def as_user(page, user):
        client = Client()
        client.force_login(user)
        name = settings.SESSION_COOKIE_NAME
        value = client.cookies[name].value
        page.context.add_cookies([{"name": name, "value": value, "url": live_server.url}])
        return page

    return as_user


@pytest.fixture(scope="session")
def axe_source():
    return AXE.read_text(encoding="utf-8")


@pytest.fixture
def axe(axe_source):
    """Fail on what the checker finds; `without` names rules a test has a reason to leave out.

    `colours_again`: the page was checked before, and only its colours are others now.
    """

    def check(page, *, without=(), colours_again=False):
        if not page.evaluate("() => Boolean(window.axe)"):
            page.evaluate(axe_source)
        # A row under the bar that sticks to the screen's foot can be scrolled clear of it.
        page.evaluate(
            "() => document.querySelectorAll('.savebar')"
            ".forEach(bar => { bar.style.position = 'static'; })"
        )
        options = {
            "runOnly": AXE_COLOUR_RULES if colours_again else AXE_RULES,
            "resultTypes": ["violations"],
            "rules": {} if colours_again else {rule: {"enabled": False} for rule in without},
        }
        # Every element that passed, written out, would take most of the time.
        result = page.evaluate(
            """options => axe.run(document, options)
            .then(found => ({violations: found.violations, passes: found.passes.length}))""",
            options,
        )
        # A page on which nothing was checked would pass for the wrong reason.
        assert result["passes"], f"the checker found nothing to check on {page.url}"
        found = [
            f"{violation['id']} ({violation['impact']}): {node['target']} {node['html'][:120]}"
            for violation in result["violations"]
            for node in violation["nodes"]
        ]
        assert found == []

    return check


@pytest.fixture
def fits():
    """Fail if the page scrolls sideways at its width."""

    def check(page):
        over = page.evaluate(
            "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        assert over <= 0, f"{page.url} is {over} px wider than the screen"

    return check


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item, call):
    """On failure keep a picture of every open page and say where it is."""
    outcome = yield
    report = outcome.get_result()
    pages = getattr(item, "open_pages", [])
    if report.when != "call" or not report.failed or not pages:
        return
    folder = Path(tempfile.mkdtemp(prefix="ledger-screens-"))
    name = re.sub(r"[^\w.-]+", "_", item.name)
    for number, page in enumerate(pages, start=1):
        path = folder / f"{name}-{number}.png"
        try:
            page.screenshot(path=path, full_page=True)
        except PlaywrightError as problem:  # the page may be what broke
            report.sections.append(("screenshot", f"none, {problem}"))
        else:
            report.sections.append(("screenshot", str(path)))
