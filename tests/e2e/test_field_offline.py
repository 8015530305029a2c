"""The field page without a network, in a browser that is killed and started again."""

import contextlib
import os
import signal
import subprocess

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import expect

from tests.e2e.conftest import PHONE
from tests.e2e.field import add_many, button, entries, make_day, open_field, send_now
from trips.models import FieldEntry, HoursBlock, TestPan

pytestmark = pytest.mark.django_db(transaction=True)


class KilledBrowser:
    """A browser with a profile on disk, whose processes can be killed like a dead battery."""

    def __init__(self, playwright, launch, folder, base_url, cookie):
        self.playwright, self.folder = playwright, folder
        self.launch = {**launch, "base_url": base_url, **PHONE}
        self.cookie, self.context = cookie, None

    def start(self):
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.folder), **self.launch
        )
        self.context.add_cookies([self.cookie])
        return self.context.pages[0] if self.context.pages else self.context.new_page()

    def kill(self):
        """SIGKILL to every process of this profile, found by its folder in the command line."""
        listed = subprocess.run(
            ["ps", "-ewwo", "pid,args"], capture_output=True, text=True, check=True
        )
        own = [
            int(line.split()[0]) for line in listed.stdout.splitlines() if str(self.folder) in line
        ]
        assert own, "the browser's processes weren't found"
        for pid in own:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        self.context = None


@pytest.fixture
def phone_on_disk(playwright, browser_type_launch_args, tmp_path, live_server):
    made = []

    def start(user):
        client = Client()
        client.force_login(user)
        name = settings.SESSION_COOKIE_NAME
        cookie = {"name": name, "value": client.cookies[name].value, "url": live_server.url}
        made.append(
            KilledBrowser(
                playwright, browser_type_launch_args, tmp_path / "p", live_server.url, cookie
            )
        )
        return made[-1]

    yield start
    for each in made:
        if each.context is not None:
            each.context.close()


def test_two_hundred_entries_survive_reload_and_a_killed_browser(phone_on_disk):
    _, user, _, _ = make_day()
    phone = phone_on_disk(user)
    page = open_field(phone.start())
    phone.context.set_offline(True)

    page.goto("/field/")  # from cold, without a network
    expect(button(page, "Test pan")).to_be_visible()
    add_many(page, 199)
    button(page, "Test pan").click()
    button(page, "One fine more").click()
    button(page, "Keep").click()
    expect(page.locator("#said")).to_contain_text("Kept: test pan at Bend")
    assert len(entries(page)) == 200

    page.reload()
    expect(page.locator("#bar")).to_contain_text("200 wait")
    phone.kill()

    page = phone.start()
    phone.context.set_offline(True)
    page.goto("/field/")
    expect(page.locator("#bar")).to_contain_text("200 wait")
    assert FieldEntry.objects.count() == 0

    phone.context.set_offline(False)
    page.evaluate("() => document.dispatchEvent(new Event('send'))")
    expect(page.locator("#bar")).to_contain_text("all sent", timeout=60_000)
    assert (FieldEntry.objects.count(), TestPan.objects.count()) == (200, 200)
    assert set(TestPan.objects.values_list("coarse", "medium")) == {(None, 0), (None, None)}
    page.goto("/field/#outbox")
    button(page, "Send everything again").click()
    send_now(page)  # waits for the one that runs
    expect(page.locator("#state")).to_contain_text("All sent")
    assert (FieldEntry.objects.count(), TestPan.objects.count()) == (200, 200)


def test_killed_straight_after_kept_it_is_still_there(phone_on_disk):
    _, user, _, _ = make_day()
    phone = phone_on_disk(user)
    page = open_field(phone.start())
    phone.context.set_offline(True)
    button(page, "Dig").click()
    expect(page.locator("#said")).to_contain_text("Kept: dig started")
    phone.kill()
    page = phone.start()
    phone.context.set_offline(True)
    page.goto("/field/")
    expect(page.get_by_label("Clock", exact=True)).to_contain_text("Dig")
    button(page, "Pause").click()
    expect(page.locator("#said")).to_contain_text("clock stopped")
    phone.context.set_offline(False)
    page.evaluate("() => document.dispatchEvent(new Event('send'))")
    expect(page.locator("#bar")).to_contain_text("all sent")
    block = HoursBlock.objects.get()
    assert (block.activity, block.minutes >= 1, block.person.name) == ("dig", True, "Ada")


def test_an_answer_that_is_lost_and_a_login_page_leave_entries_waiting(
    phone, sign_in, problems, live_server
):
    problems.allow("Failed to load resource")
    problems.allow("net::ERR")
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    dropped = []

    def drop(route):
        dropped.append(route.fetch().status)  # the server has it; the phone never hears of it
        route.abort()

    page.route("**/field/sync", drop)
    add_many(page, 3)
    page.evaluate("() => document.dispatchEvent(new Event('send'))")
    page.goto("/field/#outbox")
    expect(page.locator("#state")).to_contain_text("No connection")
    assert dropped[0] == 200
    assert FieldEntry.objects.count() == 3
    assert {entry["status"] for entry in entries(page)} == {"waiting"}

    kept = page.context.cookies()
    page.context.clear_cookies()  # the session ran out while offline
    page.unroute("**/field/sync")  # only now: the page tries again by itself
    page.evaluate("() => document.dispatchEvent(new Event('send'))")
    expect(page.locator("#state")).to_contain_text("Signed out meanwhile")
    assert {entry["status"] for entry in entries(page)} == {"waiting"}
    # An installed page has no address bar: the way to the sign-in is on it.
    way = page.locator("#content").get_by_role("link", name="Sign in")
    assert way.get_attribute("href") == "/sign-in/?next=/field/"

    page.context.add_cookies(kept)
    button(page, "Send now").click()
    expect(page.locator("#state")).to_contain_text("All sent")
    assert FieldEntry.objects.count() == TestPan.objects.count() == 3
    assert {entry["status"] for entry in entries(page)} == {"sent"}


def test_two_tabs_and_many_clicks_send_once(phone, sign_in, problems):
    problems.allow("ERR_INTERNET_DISCONNECTED")
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    other = page.context.new_page()
    other.goto("/field/#outbox")
    posts = []
    page.context.on(
        "requestfinished", lambda r: posts.append(r.url) if r.url.endswith("/sync") else None
    )
    page.context.set_offline(True)
    add_many(page, 5)
    page.context.set_offline(False)
    for tab in (page, other):
        tab.evaluate(
            "() => { for (let n = 0; n < 20; n += 1) document.dispatchEvent(new Event('send')); }"
        )
    expect(page.locator("#bar")).to_contain_text("all sent")
    for tab in (page, other):
        send_now(tab)  # whatever was still asked for is over
    assert FieldEntry.objects.count() == TestPan.objects.count() == 5
    assert len(posts) == 1


def test_an_entry_that_breaks_the_server_holds_up_no_other(phone, sign_in, problems):
    problems.allow("500 (")
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))

    def break_off(route):
        bad = '"fine":"3"' in (route.request.post_data or "")
        if bad:
            route.fulfill(status=500, content_type="text/html", body="<h1>Broken</h1>")
        else:
            route.continue_()

    page.route("**/field/sync", break_off)
    add_many(page, 6)
    send_now(page)
    assert sorted(TestPan.objects.values_list("fine", flat=True)) == [0, 1, 2, 4, 5]
    [bad] = [entry for entry in entries(page) if entry["status"] == "waiting"]
    assert bad["body"]["fine"] == "3"
    page.goto("/field/#outbox")
    page.get_by_text("1 entry only on this phone").click()
    expect(page.locator("#content")).to_contain_text("The server broke off over this. It stays")
    page.unroute("**/field/sync")
    send_now(page)
    expect(page.locator("#bar")).to_contain_text("all sent")
    assert TestPan.objects.count() == FieldEntry.objects.count() == 6


def test_a_full_phone_says_not_kept_and_offers_the_file(phone, sign_in):
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    page.evaluate("""() => {
      const real = IDBObjectStore.prototype.add;
      IDBObjectStore.prototype.add = function (value) {
        if (this.name !== "entries") return real.call(this, value);
        this.transaction.abort();
        throw new DOMException("full", "QuotaExceededError");
      };
    }""")
    button(page, "Note").click()
    page.get_by_label("Note", exact=True).fill("Nearly lost")
    button(page, "Keep").click()
    expect(page.locator("#warnings")).to_contain_text("NOT kept")
    expect(page.locator("#said")).not_to_contain_text("Kept:")
    expect(page.get_by_label("Note", exact=True)).to_have_value("Nearly lost")
    assert entries(page) == []
    page.reload()
    page.goto("/field/#outbox")
    with page.expect_download() as saved:
        button(page, "Save everything as a file").click()
    assert saved.value.suggested_filename.endswith(".json")
