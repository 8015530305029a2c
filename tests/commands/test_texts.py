"""Catalogues: what is taken out, what comes back in, and pages in languages that nobody speaks."""

import html
import re
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from django.conf import settings
from django.core.management import CommandError, call_command
from django.urls import reverse

from tests import factories as make
from trips.project import catalogues, pseudo, texts

ROOT = Path(settings.BASE_DIR)


@pytest.fixture(scope="module")
def source():
    return texts.template_catalogue(ROOT)


@pytest.fixture
def spoken(source, tmp_path, settings):
    """The site with its two languages that nobody speaks."""
    texts.write_changed(tmp_path, pseudo.LONGER, source, pseudo.longer)
    texts.write_changed(tmp_path, pseudo.TURNED, source, pseudo.turned)
    settings.LOCALE_PATHS = [tmp_path]
    settings.LANGUAGES = catalogues.offered([tmp_path])
    return tmp_path


def test_texts_of_templates_and_code_are_taken_out(source):
    ids = {message.id for message in source}
    assert "Skip to the content" in ids
    assert "Your settings are saved." in ids
    assert any(isinstance(each, tuple) for each in ids), "plurals"
    places = {name for message in source for name, _ in message.locations}
    assert {"templates/base.html", "claims/forms/people.py"} <= places


def test_a_translation_is_made_compiled_and_kept_when_texts_are_refreshed(tmp_path, capsys):
    call_command("texts", "update", "fr", "--folder", str(tmp_path))
    path = tmp_path / "fr" / "LC_MESSAGES" / "django.po"
    first = path.read_bytes()
    wanted = b'msgid "Skip to the content"\nmsgstr ""'
    assert wanted in first
    path.write_bytes(first.replace(wanted, wanted[:-1] + b"Aller au contenu" + b'"'))
    call_command("texts", "update", "fr", "--folder", str(tmp_path))
    with path.open("rb") as file:
        assert read_po(file)["Skip to the content"].string == "Aller au contenu"
    call_command("texts", "compile", "--folder", str(tmp_path))
    assert path.with_suffix(".mo").exists()
    assert catalogues.offered([tmp_path]) == [("en", "English"), ("fr", "French")]


def test_the_same_texts_give_the_same_catalogue(source):
    assert texts.po_bytes(source) == texts.po_bytes(texts.template_catalogue(ROOT))


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("extract",), "Name the file"),
        (("update", "xx_nonsense", "--folder", "x"), "is no language"),
        (("compile",), "CATALOGUES_DIR"),
    ],
)
def test_a_wrong_call_says_what_was_expected(arguments, said):
    with pytest.raises(CommandError, match=said):
        call_command("texts", *arguments)


@pytest.mark.parametrize("change", [pseudo.longer, pseudo.turned])
@pytest.mark.parametrize(
    "text", ["Saved by %(who)s on {day}.", "<strong>Stop</strong> &amp; look", "100 %% sure"]
)
def test_what_stands_for_a_value_and_markup_stay(change, text):
    changed = change(text)
    assert pseudo.KEPT.findall(changed) == pseudo.KEPT.findall(text)
    assert changed != text
    assert changed.startswith(pseudo.OPEN)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("language", "direction"), [("en-xa", "ltr"), ("he-xb", "rtl")], ids=["longer", "turned"]
)
def test_a_page_is_in_the_persons_language(client, spoken, language, direction):
    party = make.make_party()
    member = make.make_member(party, make.make_user(language=language))
    client.force_login(member.user)
    make.make_site(party)
    page = client.get(reverse("trips:trip_create")).content.decode()
    assert f'<html lang="{language}" dir="{direction}">' in page
    kinds = r"<(h1|h2|legend|button)\b[^>]*>(.*?)</\1>"
    said = [
        " ".join(re.sub(r"<[^>]+>", " ", found[1]).split())
        for found in re.findall(kinds, page, re.S)
    ]
    unmarked = [html.unescape(each) for each in said if re.search(r"[A-Za-z]{2}", each)]
    names = {party.name, str(member.user)}
    assert len(said) > 5
    assert [each for each in unmarked if pseudo.OPEN not in each and each not in names] == []


@pytest.mark.django_db
def test_files_stay_in_english(client, spoken):
    member = make.make_member(make.make_party(), make.make_user(language="he-xb"))
    client.force_login(member.user)
    page = client.get(reverse("claims:site_list") + "?export=csv").content.decode()
    assert pseudo.OPEN not in page
    assert pseudo.OPEN in client.get(reverse("claims:site_list")).content.decode()
