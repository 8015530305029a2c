"""The field page in a language that nobody speaks: every text of ours, offline too."""

import re
from pathlib import Path

import pytest
from django.conf import settings as live_settings
from playwright.sync_api import expect

from claims.models import User
from tests.e2e.field import make_day
from trips.project import catalogues, pseudo, texts

pytestmark = pytest.mark.django_db(transaction=True)
ROOT = Path(live_settings.BASE_DIR)
SCREENS = ["", "pan", "run", "spot", "hole", "note", "cost", "hours", "photo", "outbox", "leave"]
SCREENS += ["map", "more"]
# Typed by somebody, units, or the page's own address.
DATA = re.compile(
    r"Marl Beck people|Site \d+|Person \d+|Marl Beck|Long box|Bend|Ada|bigger than a match head"
    r"|match head down to a grain of sugar|smaller than a grain of sugar|http://\S+|localhost:\S+"
    r"|\b(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b|\b(EUR|UTC|min|mm|cm|kg|mg|MB|lorem)\b"
)
SHOWN = """() => {
  const seen = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const parent = walk.currentNode.parentElement;
    if (!parent.closest("script, noscript")) seen.push(walk.currentNode.textContent);
  }
  for (const each of document.querySelectorAll("[aria-label], [placeholder], [title]"))
    for (const name of ["aria-label", "placeholder", "title"])
      if (each.hasAttribute(name)) seen.push(each.getAttribute(name));
  return seen;
}"""


@pytest.fixture
def spoken(tmp_path, settings):
    source = texts.template_catalogue(ROOT)
    texts.write_changed(tmp_path, pseudo.LONGER, source, pseudo.longer)
    texts.write_changed(tmp_path, pseudo.TURNED, source, pseudo.turned)
    settings.LOCALE_PATHS = [tmp_path]
    settings.LANGUAGES = catalogues.offered([tmp_path])


def english(page):
    """What is shown in plain English letters though it is neither typed nor a unit."""
    shown = [" ".join(text.split()) for text in page.evaluate(SHOWN)]
    names = {str(name) for name in User.objects.values_list("username", flat=True)}
    kept = [re.sub("|".join(map(re.escape, names)), " ", DATA.sub(" ", each)) for each in shown]
    return {each for each, left in zip(shown, kept, strict=True) if re.search(r"[A-Za-z]{2}", left)}


def opened(page):
    page.goto("/field/")
    page.locator("#bar .wait").wait_for()
    page.locator("nav.actions").wait_for()
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    return page


def speak(user, language):
    User.objects.filter(pk=user.pk).update(language=language)


def test_every_screen_is_in_the_persons_language(spoken, phone, sign_in):
    _, user, _, _ = make_day()
    speak(user, "en-xa")
    page = opened(sign_in(phone, user))
    page.locator("select[name=spot]").select_option(label="Bend")
    found = {}
    for screen in SCREENS:
        page.evaluate("where => { location.hash = where; }", screen)
        page.wait_for_function(
            "where => document.getElementById('content').dataset.screen === where", arg=screen
        )
        found |= dict.fromkeys(english(page), screen)
    assert found == {}


def test_what_was_kept_is_told_in_the_language_and_plural_form(spoken, phone, sign_in):
    _, user, _, _ = make_day()
    speak(user, "en-xa")
    page = opened(sign_in(phone, user))
    page.evaluate("() => { location.hash = 'note'; }")
    page.locator("textarea").fill("Bend")
    page.locator("button[type=submit]").click()
    expect(page.locator("#said")).to_contain_text(pseudo.OPEN)
    page.locator("#latest, ul.records").first.wait_for()
    assert english(page) == set()


def test_without_a_network_the_language_stays(spoken, phone, sign_in, problems):
    problems.allow("Failed to load resource")
    _, user, _, _ = make_day()
    speak(user, "he-xb")
    page = opened(sign_in(phone, user))
    expect(page.locator("html")).to_have_attribute("dir", "rtl")
    page.wait_for_function("() => !document.querySelector('#warnings .warning')")
    page.context.set_offline(True)
    page.reload()
    page.locator("nav.actions").wait_for()
    expect(page.locator("html")).to_have_attribute("lang", "he-xb")
    assert english(page) == set()


def test_another_language_is_another_version_of_the_page(spoken, phone, sign_in):
    _, user, _, _ = make_day()
    page = opened(sign_in(phone, user))
    keep = "async () => (await caches.keys()).filter(name => name.startsWith('field-'))"
    [before] = page.evaluate(keep)
    first = page.evaluate("async () => (await fetch('/field/sw.js')).text()")
    assert "field/texts" not in first, "English needs no texts"
    speak(user, "en-xa")
    second = page.evaluate("async () => (await fetch('/field/sw.js')).text()")
    assert before not in second
    assert "/field/texts/en-xa.js" in second
