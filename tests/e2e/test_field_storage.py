"""What the field page says of its room on the phone, with a browser that answers as told."""

import pytest
from playwright.sync_api import expect

from tests.e2e.field import add_many, button, make_day, open_field

pytestmark = pytest.mark.django_db(transaction=True)
# The browser's own answers depend on the machine; these are the test's.
ANSWERS = """
const answers = { persisted: %s, usage: %d, quota: 100000000, asked: 0 };
Object.assign(navigator.storage, {
  persisted: async () => answers.persisted,
  persist: async () => { answers.asked += 1; return answers.persisted; },
  estimate: async () => ({ usage: answers.usage, quota: answers.quota }),
});
globalThis.storageAnswers = answers;
"""


def a_phone(phone, sign_in, *, persisted, usage=1_000_000):
    phone.add_init_script(ANSWERS % ("true" if persisted else "false", usage))
    _, user, _, _ = make_day()
    return open_field(sign_in(phone, user))


@pytest.mark.parametrize(
    ("usage", "words"), [(80_000_000, "80 % full"), (79_000_000, ""), (97_000_000, "97 % full")]
)
def test_a_phone_that_fills_up_is_told_before_it_is_full(phone, sign_in, usage, words):
    page = a_phone(phone, sign_in, persisted=True, usage=usage)
    button(page, "More").click()
    button(page, "Fetch trip and tables").click()
    expect(page.locator("#content")).to_contain_text("Fetched")
    if words:
        expect(page.locator("#warnings")).to_contain_text(words)
        expect(page.locator("#warnings")).to_contain_text("save everything as a file")
    else:
        page.goto("/field/#outbox")  # shows the size once it is known
        expect(page.locator("#content")).to_contain_text("76 of 95 MB used")
        expect(page.locator("#warnings")).not_to_contain_text("full")


def test_a_browser_that_refuses_is_named_where_something_waits(phone, sign_in, problems):
    problems.allow("ERR_INTERNET_DISCONNECTED")
    page = a_phone(phone, sign_in, persisted=False)
    warned = page.locator("#warnings").get_by_text("didn't promise")
    assert page.evaluate("() => storageAnswers.asked") >= 1  # it was asked at the start
    expect(warned).to_have_count(0)  # nothing is at stake yet
    page.context.set_offline(True)
    add_many(page, 1)
    page.goto("/field/#outbox")
    expect(warned).to_be_visible()
    expect(page.locator("#content")).to_contain_text("The browser didn't promise to keep")
    page.goto("/field/#pan")
    expect(page.get_by_role("heading", name="Test pan")).to_be_visible()
    expect(warned).to_have_count(0)  # not between the thumb and the counters
    add_many(page, 19)
    page.goto("/field/#note")
    expect(warned).to_be_visible()  # twenty are worth a line anywhere

    page.goto("/field/#outbox")
    button(page, "Ask the browser to keep it").click()
    expect(page.locator("#said")).to_contain_text("Refused")
    page.evaluate("() => { storageAnswers.persisted = true; }")
    button(page, "Ask the browser to keep it").click()
    expect(page.locator("#said")).to_contain_text("Promised.")
    expect(warned).to_have_count(0)
