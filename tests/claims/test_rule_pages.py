"""Pages about rules: packs of a site, own rules, a pack of one's own."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from claims.checklist import checklist_rows, site_checklists
from claims.models import OwnRule, PartyPack
from tests.claims.pages import text_of, url
from tests.factories import (
    DAY,
    PACK_TEXT,
    make_own_rule,
    make_party,
    make_party_pack,
    make_site,
    signed_in,
)

pytestmark = pytest.mark.django_db
OWN = {
    "site": "",
    "shape": "no_engine",
    "text": "No engines, says the owner.",
    "agreed_with": "Edda",
    "written_where": "on the telephone",
    "dated": "2031-04-02",
}


def upload(client, raw, name="gravel-hills.toml"):
    return client.post(url("pack_create"), {"file": SimpleUploadedFile(name, raw)})


def test_a_pack_of_ones_own_is_kept_and_shown(client):
    party = make_party()
    signed_in(client, party)
    assert upload(client, PACK_TEXT.encode()).status_code == 302
    assert party.packs.get().title == "Gravel Hills (made up for tests)"
    text = text_of(client.get(url("pack_detail", "gravel-hills")))
    assert "No engines in the hills." in text
    assert "2030-01-01 (read on an official page)" in text
    assert "Gravel Hills" in text_of(client.get(url("rule_list")))
    upload(client, PACK_TEXT.replace('version = "1"', 'version = "2"').encode())
    assert PartyPack.objects.count() == 1


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (
            PACK_TEXT.replace("kind = ", "kynd = ", 1).encode(),
            "line 23: paper[1].kynd: is not a key",
        ),
        (b"#" * 2_100_000, "This file has 2.1 MB; a pack has at most 2 MB."),
        (b"[[rule]]\n" * 10_000, "holds 10000 rules; a pack holds at most 2000."),
        (b"\xff\xfe", "line 1: is not UTF-8 text"),
        (PACK_TEXT.replace("gravel-hills", "own", 1).encode(), "“own” is kept for your own rules"),
        (
            PACK_TEXT.replace('level = "region"', 'level = "region"\nwithin = ["none"]').encode(),
            "names “none”, and there is no pack of this id",
        ),
    ],
)
def test_a_bad_file_is_refused_with_its_lines_and_nothing_is_kept(client, raw, message):
    signed_in(client, make_party())
    answer = upload(client, raw)
    assert answer.status_code == 200
    assert message in text_of(answer), text_of(answer)
    assert not PartyPack.objects.exists()


def test_a_pack_is_had_back_as_a_file_and_taken_away(client):
    party = make_party()
    pack = make_party_pack(party)
    signed_in(client, party)
    shown = client.get(url("pack_detail", pack.pack_id)).content.decode()
    assert url("pack_file", pack.pk) in shown
    assert url("pack_remove", pack.pk) in shown
    assert client.get(url("pack_file", pack.pk)).content.decode() == PACK_TEXT
    client.post(url("pack_remove", pack.pk))
    site = make_site(party, rule_packs=["gravel-hills"])
    rows = checklist_rows(party)
    lines = site_checklists([site], DAY, papers=(), holes=(), book=rows.book)[site.pk]
    assert any("isn't here any more" in line.text and line.outcome == "ask" for line in lines)


def test_a_reader_has_the_file_and_cannot_take_it_away(client):
    party = make_party()
    pack = make_party_pack(party)
    signed_in(client, party, role="reader")
    shown = client.get(url("pack_detail", pack.pack_id)).content.decode()
    assert url("pack_file", pack.pk) in shown
    assert url("pack_remove", pack.pk) not in shown


@pytest.mark.parametrize("pack_id", ["gravel-hills", "au-vic"])
def test_a_file_that_a_newer_version_refuses_asks_and_says_so(client, pack_id):
    """Also where it had taken the place of a pack that came along, which doesn't come back."""
    party = make_party()
    pack = make_party_pack(party, pack_id=pack_id)
    PartyPack.objects.update(text=PACK_TEXT.replace("review_by", "read_again_by"))
    site = make_site(party, rule_packs=[pack_id])
    signed_in(client, party)
    shown = client.get(url("rule_list")).content.decode()
    assert "review_by: is missing" in shown
    assert url("pack_remove", pack.pk) in shown
    assert client.get(url("site_rules_edit", site.pk)).status_code == 200
    rows = checklist_rows(party)
    lines = site_checklists([site], DAY, papers=(), holes=(), book=rows.book)[site.pk]
    assert any("isn't here any more" in line.text and line.outcome == "ask" for line in lines)
    assert not any(line.key for line in lines)


def test_the_packs_and_the_ground_of_a_site_are_saved_with_who_said_so(client):
    party = make_party()
    make_party_pack(party)
    site = make_site(party, rule_packs=["gravel-hills"])
    signed_in(client, party)
    page = url("site_rules_edit", site.pk)
    assert "Does the site lie in the core of the hills?" in text_of(client.get(page))
    data = {"rule_packs": ["gravel-hills"], "land": "state", "mining_title": "none"}
    assert client.post(page, {**data, "area:gravel-hills/core": "no"}).status_code == 302
    site.refresh_from_db()
    assert (site.land, site.mining_title) == ("state", "none")
    assert site.rule_facts["area:gravel-hills/core"]["value"] == "no"
    assert site.rule_facts["area:gravel-hills/core"]["by"]
    client.post(page, {**data, "area:gravel-hills/core": ""})
    site.refresh_from_db()
    assert site.rule_facts == {}
    refused = client.post(page, {**data, "rule_packs": ["nothing"]})
    assert "nothing" in text_of(refused)


def test_an_own_rule_evaluates_like_any_other_and_names_its_source(client):
    party = make_party()
    site = make_site(party)
    signed_in(client, party)
    assert client.post(url("rule_create"), OWN).status_code == 302
    rows = checklist_rows(party)
    lines = site_checklists([site], DAY, papers=(), holes=(), book=rows.book)[site.pk]
    (line,) = [line for line in lines if line.key]
    assert line.outcome == "ask"  # which gear comes along isn't known
    assert line.source == "Agreed with Edda, on the telephone"
    assert line.date_of_text == "2031-04-02"
    assert line.confirm_with == "Edda"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"shape": "closed"}, "closed_from"),
        ({"shape": "closed", "closed_from": "02-30", "closed_until": "03-01"}, "closed_from"),
        ({"shape": "no_gear"}, "gear_class"),
        ({"shape": "volume"}, "most_ml"),
        ({"shape": "depth"}, "most_mm"),
        ({"shape": "people"}, "most_people"),
        ({"text": ""}, "text"),
        ({"agreed_with": ""}, "agreed_with"),
        ({"valid_from": "2031-05-02", "valid_to": "2031-05-01"}, "valid_to"),
    ],
)
def test_an_own_rule_says_what_it_lacks(client, changed, field):
    signed_in(client, make_party())
    answer = client.post(url("rule_create"), {**OWN, **changed})
    assert field in answer.context["page"].form.errors
    assert not OwnRule.objects.exists()


@pytest.mark.parametrize(
    ("values", "outcome"),
    [
        ({"shape": "closed", "closed_from": "05-01", "closed_until": "05-31"}, "stop"),
        ({"shape": "closed", "closed_from": "06-01", "closed_until": "05-02"}, None),
        ({"shape": "consent", "lead_days": 3}, "do"),
        ({"shape": "notice"}, "do"),
        ({"shape": "volume", "most_ml": 1000, "period": "day"}, "ask"),
        ({"shape": "people", "most_people": 2}, "ask"),
        ({"shape": "depth", "most_mm": 1000}, "do"),
        ({"shape": "fill", "due": "same_day"}, "do"),
        ({"shape": "ask"}, "ask"),
        ({"shape": "duty", "valid_to": "2031-05-02"}, "ask"),
        ({"shape": "duty", "valid_from": "2031-05-04"}, None),
    ],
)
def test_each_sort_of_own_rule_comes_out(values, outcome):
    """On 3 May 2031, with nothing known of gear, people or amounts."""
    party = make_party()
    site = make_site(party)
    rule = make_own_rule(party, **values)
    rule.refresh_from_db()
    rows = checklist_rows(party)
    lines = site_checklists([site], DAY, papers=(), holes=(), book=rows.book)[site.pk]
    found = [line.outcome for line in lines if line.key]
    assert found == ([outcome] if outcome else [])


def test_only_a_keeper_sets_rules(client):
    party = make_party()
    rule = make_own_rule(party)
    signed_in(client, party, "hand")
    for name, args in (("rule_create", ()), ("rule_edit", (rule.pk,)), ("pack_create", ())):
        assert client.get(url(name, *args)).status_code == 403
