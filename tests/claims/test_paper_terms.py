"""Terms, renewal windows and conditions on the pages of a paper."""

import datetime as dt

import pytest

from claims.models import ConditionMark, Paper, PaperCondition
from claims.rules.conditions import condition_lines
from tests import factories as make
from tests.claims.pages import LONG, assert_refused, text_of, url
from tests.claims.test_papers import SENT

pytestmark = pytest.mark.django_db

COUNTED = SENT | {"expires_on": "", "fee_spread": "trips"}


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        (
            {"term_convention": "from_issue", "term_span": "2 years", "term_first_day": "counts"},
            ["31 Dec 2032", "2 years from 1 Jan 2031, the day of issue being its first day"],
        ),
        (
            {"term_convention": "from_issue", "term_span": "three months"},
            ["31 Mar 2031", "Read the other way it would be 1 Apr 2031"],
        ),
        ({"term_convention": "year_end"}, ["31 Dec 2031", "end of the year of issue"]),
        (
            {"term_convention": "cycle", "cycle_end": "06-30"},
            ["30 Jun 2031", "fixed day 30 June, every year the same for all"],
        ),
        ({"term_convention": "life"}, ["for life", "it has no last day"]),
        ({}, ["no end printed", "no end is printed"]),
    ],
)
def test_a_paper_without_a_printed_end_shows_its_convention(keeper, sent, words):
    response = keeper.post(url("paper_create"), COUNTED | sent)
    page = text_of(keeper.get(response.url, {"as_of": "2031-02-01"}))
    for each in words:
        assert each in page


def test_a_counted_end_runs_out_like_a_printed_one_and_is_marked_in_the_list(keeper):
    keeper.post(url("paper_create"), COUNTED | {"term_convention": "year_end"})
    for day, words in (("2031-12-31", "last day"), ("2032-01-01", "ran out 1 day ago")):
        page = text_of(keeper.get(url("paper_list"), {"as_of": day}))
        assert words in page
        assert "31 Dec 2031 (counted)" in page


def test_the_printed_end_wins_over_the_convention_and_the_difference_is_said(keeper):
    sent = SENT | {"term_convention": "from_issue", "term_span": "2 years"}
    page = text_of(keeper.get(keeper.post(url("paper_create"), sent).url))
    assert "31 Dec 2031 as printed on the paper" in page
    assert "it would be 31 Dec 2032. The printed day counts" in page


def test_the_renewal_window_and_the_day_to_apply_by(keeper):
    sent = SENT | {"renew_from_span": "6 months", "apply_by_span": "3 months"}
    paper_page = keeper.post(url("paper_create"), sent).url
    page = text_of(keeper.get(paper_page))
    assert "Renewal from 30 Jun 2031" in page
    assert "Ask for it by 30 Sep 2031" in page
    form = keeper.get(url("paper_edit", Paper.objects.get().pk)).content.decode()
    assert 'value="3 months"' in form


def test_a_day_to_apply_by_on_a_sunday_is_said_and_not_moved(keeper):
    sent = SENT | {"apply_by_on": "2031-08-31"}
    page = text_of(keeper.get(keeper.post(url("paper_create"), sent).url))
    assert "31 Aug 2031 Sunday: whether the day moves is for the office to say" in page


@pytest.mark.parametrize(
    ("field", "sent", "said"),
    [
        ("expires_on", {"expires_on": "2030-12-31"}, "can't expire before it is issued"),
        ("term_span", {"term_convention": "from_issue"}, "Say how long"),
        (
            "term_span",
            {"term_convention": "from_issue", "term_span": "a while"},
            "Write a length of time",
        ),
        ("term_span", {"term_span": "2 years"}, "A length needs"),
        ("term_span", {"term_convention": "year_end", "term_span": "3 months"}, "whole years"),
        ("cycle_end", {"term_convention": "cycle"}, "fixed last day"),
        ("cycle_end", {"term_convention": "cycle", "cycle_end": "02-30"}, "February"),
        ("cycle_end", {"cycle_end": "30 June"}, "goes with"),
        ("term_convention", {"term_convention": "life"}, "isn't for life"),
        ("term_convention", {"term_convention": "moon"}, "valid choice"),
        ("apply_by_on", {"apply_by_on": "2032-01-01"}, "comes after"),
        ("apply_by_on", {"apply_by_on": "2031-02-30"}, "date"),
        ("renew_from_span", {"renew_from_span": "0 months"}, "Expected 1 to"),
        (
            "term_span",
            {
                "issued_on": "9990-01-01",
                "expires_on": "",
                "fee_spread": "trips",
                "term_convention": "from_issue",
                "term_span": "100 years",
            },
            "leaves the calendar",
        ),
    ],
)
def test_what_cannot_be_right_is_refused_at_its_field(keeper, field, sent, said):
    response = keeper.post(url("paper_create"), SENT | sent)
    typed = sent.get(field, "")
    assert said in assert_refused(response, field, "" if "convention" in field else typed)
    assert not Paper.objects.exists()


def test_a_fee_may_be_spread_over_a_counted_term(keeper):
    sent = COUNTED | {"fee_spread": "term", "term_convention": "year_end"}
    keeper.post(url("paper_create"), sent)
    assert Paper.objects.get().last_day == dt.date(2031, 12, 31)


def test_a_moved_end_gives_calendars_a_new_version_and_a_note_does_not(keeper, party):
    paper = make.make_paper(party)
    made = paper.changed_at
    sent = SENT | {"name": paper.name, "number": "", "issuer": "", "fee_spread": "trips"}
    keeper.post(url("paper_edit", paper.pk), sent | {"notes": "in the drawer"})
    paper.refresh_from_db()
    assert paper.changed_at == made
    keeper.post(url("paper_edit", paper.pk), sent | {"expires_on": "2031-11-30"})
    paper.refresh_from_db()
    assert paper.changed_at > made


# --- conditions


def test_the_text_is_taken_apart_into_lines_with_a_guess_at_their_kind():
    text = "One engine pump up to 3 hp. Holes filled by the end of October.\n- Report each year.\n"
    assert [(line.kind, line.text) for line in condition_lines(text)] == [
        ("gear", "One engine pump up to 3 hp."),
        ("fill_in", "Holes filled by the end of October."),
        ("report", "Report each year."),
    ]


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("", 0),
        ("   \n\n", 0),
        ("Depth 0.5 m. at most", 1),
        ("See No. 5 of the act", 1),
        ("(1) Pans only\n(2) No engines", 2),
        ("規則を守る。\nИдти пешком.", 2),
        ("x" * 5000, 1),
        ("Again.\n" * 500, 60),
    ],
)
def test_lines_are_taken_apart_whatever_the_text(text, lines):
    assert len(condition_lines(text)) == lines


def test_a_keeper_makes_lines_once(keeper, party):
    paper = make.make_paper(party, conditions="Hand tools only. Fill every hole.")
    response = keeper.post(url("paper_take_apart", paper.pk), follow=True)
    assert "2 lines made" in text_of(response)
    again = text_of(keeper.post(url("paper_take_apart", paper.pk), follow=True))
    assert "Nothing changed: there are lines already" in again
    assert paper.condition_lines.count() == 2
    empty = make.make_paper(party, conditions="")
    assert "no words yet" in text_of(keeper.post(url("paper_take_apart", empty.pk), follow=True))


def test_a_condition_is_added_last_and_marked_as_kept_with_evidence(client, party):
    paper = make.make_paper(party)
    make.make_condition(paper, "Pans only")
    keeper = make.signed_in(client, party)
    sent = {"text": "Fill every hole", "kind": "fill_in", "fill_due": "within"}
    keeper.post(url("condition_create", paper.pk), sent | {"fill_span": "14 days"})
    condition = PaperCondition.objects.get(text="Fill every hole")
    assert condition.position == 2
    page = text_of(keeper.get(url("paper_detail", paper.pk)))
    assert "holes filled within 14 days" in page
    assert "Nobody has said how it was kept." in page
    client.logout()
    make.signed_in(client, party, "hand")
    mark = {
        "day": "2031-05-03",
        "state": "kept",
        "how": "Filled before we left.",
        "evidence": "Photo 4",
    }
    client.post(url("mark_create", condition.pk), mark)
    page = text_of(client.get(url("paper_detail", paper.pk), {"as_of": "2031-05-03"}))
    assert "kept 3 May 2031: Filled before we left. Evidence: Photo 4." in page
    assert "Filled before we left." not in text_of(
        client.get(url("paper_detail", paper.pk), {"as_of": "2031-05-02"})
    )
    assert client.get(url("condition_edit", condition.pk)).status_code == 403


@pytest.mark.parametrize(
    ("field", "sent", "said"),
    [
        ("text", {"text": ""}, "required"),
        ("fill_due", {"kind": "gear", "fill_due": "same_day"}, "about filling in"),
        ("fill_span", {"fill_due": "within"}, "14 days"),
        ("fill_span", {"fill_due": "same_day", "fill_span": "14 days"}, "goes with"),
        ("fill_by", {"fill_due": "fixed"}, "31 October"),
        ("fill_by", {"fill_due": "fixed", "fill_by": "02-30"}, "February"),
        ("due_words", {"due_words": LONG}, "160"),
    ],
)
def test_a_condition_that_cannot_be_right_is_refused_at_its_field(keeper, party, field, sent, said):
    paper = make.make_paper(party)
    full = {"text": "Fill every hole", "kind": "fill_in", "fill_due": ""} | sent
    assert said in assert_refused(keeper.post(url("condition_create", paper.pk), full), field)
    assert not PaperCondition.objects.exists()


def test_deleting_asks_first_and_takes_the_marks_along(keeper, party):
    condition = make.make_condition(make.make_paper(party))
    mark = make.make_mark(condition)
    assert "goes with it" in text_of(keeper.get(url("condition_delete", condition.pk)))
    assert PaperCondition.objects.exists()
    keeper.post(url("mark_delete", mark.pk))
    assert not ConditionMark.objects.exists()
    keeper.post(url("condition_delete", condition.pk))
    assert not PaperCondition.objects.exists()


def test_a_mark_on_a_day_that_does_not_exist_is_refused(keeper, party):
    condition = make.make_condition(make.make_paper(party))
    sent = {"day": "2031-02-30", "state": "kept", "how": "As asked."}
    assert_refused(keeper.post(url("mark_create", condition.pk), sent), "day", "2031-02-30")
    assert not ConditionMark.objects.exists()
