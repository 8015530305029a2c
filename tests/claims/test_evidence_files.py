"""Evidence as a file: with a word on a condition, with a due day settled; linked own rules."""

import datetime as dt
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from claims.models import ConditionMark, DutyDone, KeptFile, OwnRule, PaperCondition
from claims.services import files
from tests import factories as make
from tests.claims.pages import queries_of, text_of, url
from tests.factories_rules import make_own_rule
from tests.isolation.test_url_map import read_whole

pytestmark = pytest.mark.django_db
DAY = dt.date(2031, 5, 14)


def picture(name="receipt.jpg"):
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (90, 120, 60)).save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def send(client, address, name="receipt.jpg"):
    data = {"files": [picture(name)], "caption": "the receipt", "role": "other"}
    return client.post(address, data)


@pytest.fixture
def paper(db):
    party = make.make_party()
    return make.make_paper(party, [make.make_site(party)], name="Reach permit")


@pytest.fixture
def mark(paper):
    line = PaperCondition.objects.create(paper=paper, text="Fill every hole.", kind="fill_in")
    return ConditionMark.objects.create(condition=line, day=DAY, how="Filled.", said_by="Ada")


@pytest.fixture
def done(paper):
    duty = make.make_duty(paper.party, paper=paper, first_due=DAY)
    return DutyDone.objects.create(duty=duty, due_on=DAY, done_on=DAY)


def test_a_file_with_a_word_on_a_condition_shows_and_opens(client, paper, mark):
    client = make.signed_in(client, paper.party, role="hand")
    assert send(client, url("mark_files_create", mark.pk)).status_code == 302
    file = KeptFile.objects.get()
    assert (file.target, file.mark) == ("mark", mark)
    shown = text_of(client.get(url("paper_detail", paper.pk), {"as_of": "2031-06-01"}))
    assert "Photo: the receipt" in shown
    sent = client.get(url("file_show", file.pk))
    read_whole(sent)
    assert (sent.status_code, sent["Content-Type"]) == (200, "image/jpeg")
    assert client.post(url("file_delete", file.pk)).url.startswith(url("paper_detail", paper.pk))
    assert not KeptFile.objects.exists()


def test_a_file_with_a_due_day_that_is_settled(client, paper, done):
    client = make.signed_in(client, paper.party)
    assert send(client, url("settled_files_create", done.pk)).status_code == 302
    assert KeptFile.objects.get().done == done
    asked = {"as_of": "2031-06-01"}
    assert "Photo: the receipt" in text_of(client.get(url("duty_detail", done.duty_id), asked))


def test_only_the_party_sees_it_and_a_reader_adds_none(client, paper, mark, done):
    owner = {"party": paper.party, "user": None, "now": timezone.now(), "name": "a.jpg"}
    kept = files.keep(owner=mark, content=picture().read(), **owner).file
    client = make.signed_in(client, make.make_party(name="Others"))
    assert client.get(url("file_show", kept.pk)).status_code == 404
    assert send(client, url("mark_files_create", mark.pk)).status_code == 404
    assert send(client, url("settled_files_create", done.pk)).status_code == 404
    client = make.signed_in(client, paper.party, role="reader")
    sent = client.get(url("file_show", kept.pk))
    read_whole(sent)
    assert sent.status_code == 200
    assert send(client, url("mark_files_create", mark.pk)).status_code == 403
    assert send(client, url("settled_files_create", done.pk)).status_code == 403


def test_the_renewal_record_names_the_files(client, paper, mark, done):
    client = make.signed_in(client, paper.party)
    send(client, url("mark_files_create", mark.pk))
    send(client, url("settled_files_create", done.pk))
    asked = {"from": "2031-01-01", "to": "2031-12-31", "as_of": "2031-12-31"}
    shown = text_of(client.get(reverse("reports:renewal_record", args=[paper.pk]), asked))
    assert shown.count("kept: the receipt") >= 2


def test_evidence_moves_with_the_whole_record(client, paper, mark, done):
    from tests.trips.test_moving import taken_out
    from trips.moving.bring_in import bring_in

    client = make.signed_in(client, paper.party)
    send(client, url("mark_files_create", mark.pk))
    send(client, url("settled_files_create", done.pk))
    mark.condition.own_rule = make_own_rule(paper.party)
    mark.condition.save()
    new = bring_in(taken_out(paper.party), user=make.make_user(), now=timezone.now())
    at_mark, at_done = KeptFile.objects.filter(party=new).order_by("pk")
    assert at_mark.mark.condition.paper.party == new
    assert at_done.done.duty.party == new
    assert at_mark.caption == "the receipt"
    line = PaperCondition.objects.get(paper__party=new)
    assert line.own_rule == new.own_rules.get()


def test_more_files_cost_no_more_queries(client, paper, mark, done):
    client = make.signed_in(client, paper.party)

    def add(name):
        colour = (len(name), 10, 20)
        out = io.BytesIO()
        Image.new("RGB", (64, 48), colour).save(out, "JPEG")
        owner = {"party": paper.party, "user": None, "now": timezone.now(), "name": name}
        for each in (mark, done):
            files.keep(owner=each, content=out.getvalue(), **owner)

    pages = (url("paper_detail", paper.pk), url("duty_detail", done.duty_id))
    add("a.jpg")
    few = [queries_of(client, page) for page in pages]
    another = ConditionMark.objects.create(condition=mark.condition, day=DAY, how="Again.")
    assert another.files.count() == 0
    add("aa.jpg")
    add("aaa.jpg")
    assert [queries_of(client, page) for page in pages] == few


def test_a_condition_is_linked_to_an_own_rule_shown_both_ways_and_evaluated(client, paper, mark):
    client = make.signed_in(client, paper.party)
    site = paper.sites.get()
    rule = make_own_rule(paper.party, site=site, text="Fill each hole the same day.")
    line = mark.condition
    form = client.get(url("condition_edit", line.pk)).context["page"].form
    sent = {name: form[name].value() or "" for name in form.fields} | {"own_rule": rule.pk}
    assert client.post(url("condition_edit", line.pk), sent).status_code == 302
    line.refresh_from_db()
    assert line.own_rule == rule
    shown = text_of(client.get(url("paper_detail", paper.pk)))
    assert "Checklists take it in as an own rule: Fill each hole the same day." in shown
    shown = text_of(client.get(url("rule_list")))
    assert "Keeps condition 1 of Reach permit" in shown
    trip = make.make_trip(paper.party, site, starts_on=DAY, ends_on=DAY)
    shown = text_of(client.get(reverse("trips:trip_detail", args=[trip.pk])))
    assert "Fill each hole the same day." in shown
    rule.delete()
    line.refresh_from_db()
    assert line.own_rule is None
    assert "Make it a rule" in text_of(client.get(url("paper_detail", paper.pk)))


def test_a_rule_of_another_party_is_no_choice(client, paper, mark):
    client = make.signed_in(client, paper.party)
    other = make_own_rule(make.make_party(name="Others"))
    form = client.get(url("condition_edit", mark.condition.pk)).context["page"].form
    sent = {name: form[name].value() or "" for name in form.fields} | {"own_rule": other.pk}
    assert client.post(url("condition_edit", mark.condition.pk), sent).status_code == 200
    assert OwnRule.objects.count() == 1
    assert PaperCondition.objects.get().own_rule is None
