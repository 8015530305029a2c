"""Duties on their pages: due days, settling, work against the record, what is refused."""

import datetime as dt

import pytest

from claims.models import Duty, DutyDone
from claims.rules.repeats import plain_repeat
from claims.services import duties
from tests import factories as make
from tests.claims.pages import (
    HUGE,
    LONG,
    assert_refused,
    text_of,
    url,
)

pytestmark = pytest.mark.django_db

NOW = dt.datetime(2031, 5, 3, 9, 0, tzinfo=dt.UTC)
SENT = {
    "title": "Report what was moved",
    "kind": "report",
    "first_due": "2031-03-31",
    "often": "yearly",
    "until": "2034-03-31",
    "lead_span": "30 days",
}


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def d(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def test_a_yearly_report_is_saved_and_its_page_lists_its_days(keeper):
    response = keeper.post(url("duty_create"), SENT)
    duty = Duty.objects.get()
    assert duty.repeat == "FREQ=YEARLY;UNTIL=20340331"
    assert response.url == url("duty_detail", duty.pk)
    page = text_of(keeper.get(response.url, {"as_of": "2031-03-01"}))
    for words in (
        "due in 30 days",
        "every year, up to 31 Mar 2034",
        "31 Mar 2032",
        "30 days before",
    ):
        assert words in page


def test_what_was_typed_comes_back_when_it_is_changed(keeper, party):
    paper = make.make_paper(party)
    sent = SENT | {
        "kind": "work",
        "paper": paper.pk,
        "measure": "hours",
        "amount": "40 h",
        "due_time": "12:00",
    }
    keeper.post(url("duty_create"), sent)
    duty = Duty.objects.get()
    assert (duty.work_amount, duty.due_time) == (2400, dt.time(12))
    form = keeper.get(url("duty_edit", duty.pk)).context["page"].form
    shown = {name: form[name].value() for name in ("often", "until", "amount", "lead_span")}
    assert shown == {
        "often": "yearly",
        "until": d("2034-03-31"),
        "amount": "40:00",
        "lead_span": "30 days",
    }
    keeper.post(url("duty_edit", duty.pk), sent | {"amount": "40:00", "version": duty.version})
    duty.refresh_from_db()
    assert (duty.work_amount, duty.repeat) == (2400, "FREQ=YEARLY;UNTIL=20340331")


def test_without_an_end_the_papers_last_day_ends_it(keeper, party):
    paper = make.make_paper(party, expires_on=d("2033-12-31"))
    keeper.post(url("duty_create"), SENT | {"until": "", "paper": paper.pk})
    assert Duty.objects.get().repeat == "FREQ=YEARLY;UNTIL=20331231"


@pytest.mark.parametrize(
    ("measure", "typed", "stored"),
    [
        ("hours", "12:30", 750),
        ("days", "5 days", 5),
        ("days", "5", 5),
        ("volume", "300", 300_000),
        ("volume", "2 m3", 2_000_000),
        ("ground", "1.5 m³", 1_500_000),
        ("length", "12", 12_000),
        ("money", "100.50", 10_050),
    ],
)
def test_an_amount_of_work_is_read_as_its_measure_wants(keeper, measure, typed, stored):
    keeper.post(url("duty_create"), SENT | {"measure": measure, "amount": typed})
    duty = Duty.objects.get()
    assert duty.work_amount == stored
    assert keeper.get(url("duty_edit", duty.pk)).status_code == 200
    assert keeper.get(url("duty_detail", duty.pk)).status_code == 200


@pytest.mark.parametrize(
    ("field", "sent", "said"),
    [
        ("title", {"title": ""}, "required"),
        ("title", {"title": LONG}, "160"),
        ("first_due", {"first_due": "2031-02-30"}, "date"),
        ("first_due", {"first_due": ""}, "required"),
        ("until", {"until": ""}, "never ends"),
        ("until", {"until": "2031-03-30"}, "before the first"),
        ("until", {"until": "2031-02-30"}, "date"),
        ("until", {"until": "2099-12-31"}, "60 years"),
        ("until", {"often": "monthly", "until": "2085-12-31"}, "more than 400 days"),
        ("until", {"often": "", "until": "2032-03-31"}, "due once"),
        ("own_rule", {"often": "own", "until": "", "own_rule": "FREQ=YEARLY"}, "never ends"),
        (
            "own_rule",
            {"often": "own", "until": "", "own_rule": "FREQ=DAILY;COUNT=10000"},
            "from 1 to 400",
        ),
        ("own_rule", {"often": "own", "until": "", "own_rule": "each spring"}, "can't be read"),
        ("own_rule", {"often": "own", "until": ""}, "FREQ must be"),
        ("own_rule", {"own_rule": "FREQ=YEARLY;COUNT=2"}, "rule of your own"),
        ("often", {"often": "sometimes"}, "valid choice"),
        ("lead_span", {"lead_span": "a while"}, "Write a length of time"),
        ("due_time", {"due_time": "25:00"}, "time"),
        ("amount", {"amount": "20"}, "in what it is measured"),
        ("amount", {"measure": "hours"}, "how much"),
        ("amount", {"measure": "hours", "amount": "many"}, "1:30"),
        ("amount", {"measure": "volume", "amount": "3 dwt"}, "unit of volume"),
        ("amount", {"measure": "days", "amount": "0"}, "from 1"),
        ("amount", {"measure": "money", "amount": "100 USD"}, "USD"),
        ("hour_value_minor", {"hour_value_minor": "20"}, "goes with work"),
        (
            "hour_value_minor",
            {"measure": "hours", "amount": "20 h", "hour_value_minor": "20"},
            "money spent",
        ),
        ("work_year_end", {"work_year_end": "31 August"}, "goes with work"),
        (
            "work_from",
            {"measure": "hours", "amount": "20 h", "work_from": "2031-04-01"},
            "after the first due day",
        ),
        ("paper", {"paper": "999999"}, "valid choice"),
        ("paper", {"paper": HUGE}, "valid choice"),
        ("site", {"site": "x"}, "valid choice"),
    ],
)
def test_what_cannot_be_right_is_refused_at_its_field_and_stays_as_typed(keeper, field, sent, said):
    response = keeper.post(url("duty_create"), SENT | sent)
    typed = sent.get(field, "")
    chosen = field in ("often", "paper", "site")
    assert said in assert_refused(response, field, "" if chosen else typed)
    assert not Duty.objects.exists()


def test_another_partys_paper_site_and_condition_cannot_be_named(keeper):
    other = make.make_party()
    paper = make.make_paper(other, name="Strange permit")
    condition = make.make_condition(paper)
    site = make.make_site(other)
    for field, pk in (("paper", paper.pk), ("site", site.pk), ("condition", condition.pk)):
        assert_refused(keeper.post(url("duty_create"), SENT | {field: pk}), field)
    for asked in ({"paper": paper.pk}, {"renew": paper.pk}, {"condition": condition.pk}):
        assert "Strange permit" not in text_of(keeper.get(url("duty_create"), asked))


def test_a_duty_is_begun_from_a_condition_and_from_a_renewal(keeper, party):
    paper = make.make_paper(party, apply_by_span="P2M", issuer="Vale office")
    condition = make.make_condition(paper, "Report each year", kind="report")
    form = keeper.get(url("duty_create"), {"condition": condition.pk}).context["page"].form
    assert form["title"].value() == "Report each year"
    form = keeper.get(url("duty_create"), {"renew": paper.pk}).context["page"].form
    assert (form["kind"].value(), form["first_due"].value()) == ("renewal", d("2031-10-31"))


def test_a_day_is_settled_with_its_evidence_by_a_hand_and_undone(client, party):
    rule = plain_repeat("yearly", d("2030-03-31"), d("2032-03-31"))
    duty = make.make_duty(party, first_due=d("2030-03-31"), repeat=rule)
    hand = make.signed_in(client, party, "hand")
    assert "2 due days open" in text_of(
        hand.get(url("duty_detail", duty.pk), {"as_of": "2031-05-03"})
    )
    sent = {"due_on": "2030-03-31", "outcome": "done", "done_on": "2030-03-20"}
    address = f"{url('duty_settle', duty.pk)}?as_of=2031-05-03"
    hand.post(address, sent | {"evidence": "Receipt 12"})
    page = text_of(hand.get(url("duty_detail", duty.pk), {"as_of": "2031-05-03"}))
    assert "Evidence: Receipt 12" in page
    assert "33 days late" in page
    done = DutyDone.objects.get()
    hand.post(url("settled_delete", done.pk))
    assert not DutyDone.objects.exists()
    assert hand.get(url("duty_edit", duty.pk)).status_code == 403


def test_before_it_was_done_the_page_says_due(keeper, party):
    duty = make.make_duty(party, first_due=d("2031-03-31"))
    make.make_done(duty, done_on=d("2031-03-20"))
    for day, words in (("2031-03-19", "due in 12 days"), ("2031-03-20", "nothing more is due")):
        assert words in text_of(keeper.get(url("duty_detail", duty.pk), {"as_of": day}))


@pytest.mark.parametrize(
    ("field", "sent", "said"),
    [
        ("due_on", {"due_on": "2031-04-01"}, "valid choice"),
        ("due_on", {"due_on": "soon"}, "valid choice"),
        ("done_on", {"done_on": "2031-05-04"}, "hasn't come yet"),
        ("done_on", {"done_on": "2031-02-30"}, "date"),
        ("evidence", {"outcome": "not_needed"}, "who said"),
        ("evidence", {"evidence": LONG + LONG}, "300"),
    ],
)
def test_a_settling_that_cannot_be_right_is_refused_at_its_field(keeper, party, field, sent, said):
    duty = make.make_duty(party, first_due=d("2031-03-31"))
    full = {"due_on": "2031-03-31", "outcome": "done", "done_on": "2031-05-03"} | sent
    response = keeper.post(f"{url('duty_settle', duty.pk)}?as_of=2031-05-03", full)
    assert said in assert_refused(response, field)
    assert not DutyDone.objects.exists()


def test_a_settled_day_cannot_fall_out_of_the_rule(keeper, party):
    duty = make.make_duty(party, first_due=d("2031-03-31"))
    make.make_done(duty)
    sent = SENT | {"first_due": "2031-04-30", "often": "", "until": "", "version": duty.version}
    response = keeper.post(url("duty_edit", duty.pk), sent)
    assert "is settled already" in assert_refused(response, "first_due")


def test_a_change_that_calendars_show_and_settling_give_a_higher_number(party):
    duty = make.make_duty(party)
    first = duty.version
    duty.title = "Another title"
    duties.save_duty(duty=duty, now=NOW)
    assert duty.changed_at == NOW
    second = duty.version
    done = DutyDone(duty=duty, due_on=duty.first_due, done_on=duty.first_due)
    duties.settle(done=done, now=NOW + dt.timedelta(days=1))
    duty.refresh_from_db()
    assert first < second < duty.version
    third = duty.version
    duties.unsettle(done=done, now=NOW + dt.timedelta(days=2))
    duty.refresh_from_db()
    assert duty.version > third


def test_deleting_asks_first(keeper, party):
    duty = make.make_duty(party)
    make.make_done(duty)
    assert "1 settled due days go with it" in text_of(keeper.get(url("duty_delete", duty.pk)))
    keeper.post(url("duty_delete", duty.pk))
    assert not Duty.objects.exists()
