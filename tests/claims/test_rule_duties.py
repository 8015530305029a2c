"""Duties that rules leave become duties of the party; rows from elsewhere are checked, too."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from claims.models import Duty
from claims.rules.due import DutyDue
from claims.services.rule_duties import keep_rule_duties
from tests import factories as make

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2031, 5, 3, tzinfo=dt.UTC)


def due(**changes) -> DutyDue:
    values = {
        "key": "velmarrow/report",
        "pack_id": "velmarrow",
        "rule_id": "report",
        "kind": "report_due",
        "text": "Report what was moved",
        "point": "on_date",
        "due_on": dt.date(2032, 2, 29),
        "lead_days": 30,
        "source": "River Rules, section 4",
        "confirm_with": "River Board",
    }
    return DutyDue(**values | changes)


@pytest.fixture
def site(db):
    return make.make_site(make.make_party())


def keep(site, *dues, visit="trip-1"):
    return keep_rule_duties(party=site.party, site=site, visit=visit, dues=dues, now=NOW)


def test_a_duty_of_a_rule_is_kept_once_a_visit_with_its_source(site):
    [duty] = keep(site, due())
    assert (duty.kind, duty.title, duty.site) == ("report", "Report what was moved", site)
    assert (duty.source, duty.send_to, duty.lead_span) == (
        "River Rules, section 4",
        "River Board",
        "P30D",
    )
    assert keep(site, due()) == ()
    assert len(keep(site, due(), visit="trip-2")) == 1


def test_a_duty_without_a_day_is_left_to_people(site):
    assert keep(site, due(due_on=None)) == ()


def test_a_yearly_duty_ends_and_keeps_to_the_end_of_february(site):
    [duty] = keep(site, due(repeats="yearly"))
    assert duty.repeat == "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=28,29;BYSETPOS=-1;UNTIL=20420228"


def test_work_due_in_another_currency_is_not_measured(site):
    [here, there] = keep(
        site,
        due(key="a", work_minor=10_000, currency="EUR"),
        due(key="b", work_minor=10_000, currency="USD"),
    )
    assert (here.measure, here.work_amount) == ("money", 10_000)
    assert (there.measure, there.work_amount) == ("", None)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("repeat", "FREQ=SECONDLY"),
        ("repeat", "FREQ=YEARLY"),
        ("repeat", "FREQ=DAILY;COUNT=10000"),
        ("lead_span", "soon"),
    ],
)
def test_a_duty_that_no_page_could_count_is_refused_wherever_it_comes_from(site, field, value):
    duty = Duty(party=site.party, title="Report", first_due=dt.date(2031, 5, 3), **{field: value})
    with pytest.raises(ValidationError) as refused:
        duty.full_clean()
    assert field in refused.value.message_dict


def test_a_paper_with_a_length_that_cannot_be_read_is_refused(site):
    paper = make.make_paper(site.party)
    for name in ("term_span", "renew_from_span", "apply_by_span"):
        setattr(paper, name, "2 years")
        with pytest.raises(ValidationError) as refused:
            paper.full_clean()
        assert name in refused.value.message_dict
        setattr(paper, name, "")
