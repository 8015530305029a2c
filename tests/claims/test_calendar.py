"""The month page, and the feed read back by other means than the library that wrote it."""

import datetime as dt
import re

import pytest
import vobject
from dateutil.rrule import rrulestr
from django.urls import reverse

from claims.calendar_events import calendar_bytes, events
from claims.models import CalendarFeed
from claims.rules.repeats import due_days, plain_repeat
from claims.services import duties
from tests import factories as make
from tests.claims.pages import text_of, url

pytestmark = pytest.mark.django_db

NOW = dt.datetime(2031, 5, 3, 9, 0, tzinfo=dt.UTC)


@pytest.fixture
def party():
    return make.make_party(name="Vale party", time_zone="Europe/Helsinki")


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def d(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def feed_of(client, party, as_of="2031-05-03") -> bytes:
    duties.make_address(party=party, token="secret", now=NOW)
    address = reverse("claims:calendar_feed", args=["secret"])
    client.logout()
    response = client.get(address, {"as_of": as_of})
    assert response.status_code == 200
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    return response.content


def read(content: bytes) -> dict[str, object]:
    """Events by summary, read by another library."""
    calendar = vobject.readOne(content.decode())
    return {event.summary.value: event for event in calendar.contents.get("vevent", [])}


def test_a_feed_holds_duties_papers_and_holes_on_their_days(client, party):
    site = make.make_site(party, "Upper bend")
    paper = make.make_paper(
        party, [site], name="Reach permit", apply_by_span="P2M", renew_from_span="P6M"
    )
    make.make_condition(paper, "Fill", kind="fill_in", fill_due="within", fill_span="P14D")
    make.make_hole(site)
    rule = plain_repeat("yearly", d("2031-03-31"), d("2033-03-31"))
    make.make_duty(party, "Report; all of it, “100 %”", first_due=d("2031-03-31"), repeat=rule)
    found = vobject.readOne(feed_of(client, party).decode())
    days = sorted((event.dtstart.value, event.summary.value) for event in found.contents["vevent"])
    assert days == [
        (d("2031-03-31"), "Report; all of it, “100 %”"),
        (d("2031-05-17"), "Fill the hole at Upper bend"),
        (d("2031-06-30"), "Renewal of Reach permit may be asked for"),
        (d("2031-10-31"), "Last day to ask for the renewal of Reach permit"),
        (d("2031-12-31"), "Last day of Reach permit"),
        (d("2032-03-31"), "Report; all of it, “100 %”"),
        (d("2033-03-31"), "Report; all of it, “100 %”"),
    ]


def test_whole_days_are_dates_that_end_the_next_day_and_are_no_busy_time(client, party):
    make.make_duty(party, "Report", first_due=d("2031-12-31"), lead_span="P1M")
    lines = feed_of(client, party).decode().split("\r\n")
    assert "DTSTART;VALUE=DATE:20311231" in lines
    assert "DTEND;VALUE=DATE:20320101" in lines
    assert "TRANSP:TRANSPARENT" in lines
    assert "TRIGGER:-P31D" in lines  # 30 November


def test_a_due_time_stands_in_the_zone_of_its_site(client, party):
    site = make.make_site(party, time_zone="America/Denver")
    noon = dt.time(12)
    make.make_duty(party, "There", site=site, first_due=d("2031-09-01"), due_time=noon)
    make.make_duty(party, "Here", first_due=d("2031-12-01"), due_time=noon)
    content = feed_of(client, party)
    found = read(content)
    there, here = found["There"].dtstart.value, found["Here"].dtstart.value
    assert there.astimezone(dt.UTC) == dt.datetime(2031, 9, 1, 18, tzinfo=dt.UTC)
    assert here.astimezone(dt.UTC) == dt.datetime(2031, 12, 1, 10, tzinfo=dt.UTC)
    lines = content.decode().split("\r\n")
    assert "DTSTART;TZID=America/Denver:20310901T120000" in lines
    assert "TZID:America/Denver" in lines


def test_an_event_keeps_its_identity_and_its_number_goes_up_when_it_changes(client, party):
    duty = make.make_duty(party, "Report")
    first = read(feed_of(client, party))["Report"]
    duty.title = "Annual report"
    duties.save_duty(duty=duty, now=NOW)
    second = read(feed_of(client, party))["Annual report"]
    assert second.uid.value == first.uid.value
    assert int(second.sequence.value) > int(first.sequence.value)
    assert second.dtstamp.value == NOW


def test_identities_differ_between_days_things_and_parties(client, party):
    rule = plain_repeat("monthly", d("2031-06-30"), d("2032-06-30"))
    for each in (party, make.make_party(name="Other")):
        paper = make.make_paper(each, name="Permit", apply_by_span="P1M")
        make.make_duty(each, "Report", paper=paper, first_due=d("2031-06-30"), repeat=rule)
    content = feed_of(client, party)
    ids = re.findall(r"^UID:(.+)\r$", content.decode(), re.M)
    duties.make_address(party=make.make_party(name="Third"), token="third", now=NOW)
    assert len(ids) == len(set(ids)) == 13 + 2


def test_the_same_record_gives_the_same_bytes(client, party):
    make.make_duty(party, "Report", due_time=dt.time(12))
    make.make_paper(party)
    assert feed_of(client, party) == feed_of(client, party)


def test_a_settled_day_is_marked_and_reminds_no_more(client, party):
    duty = make.make_duty(party, "Report", first_due=d("2031-04-30"))
    make.make_done(duty)
    content = feed_of(client, party)
    assert list(read(content)) == ["✓ Report (done)"]
    assert b"VALARM" not in content


def test_no_line_is_longer_than_75_octets_whatever_the_script(client, party):
    make.make_duty(party, "規則を守る" * 20, notes="x" * 500, send_to="Ä" * 150)
    content = feed_of(client, party)
    assert max(len(line) for line in content.split(b"\r\n")) <= 75
    assert "規則を守る" * 20 in read(content)


def test_a_line_break_in_a_title_makes_no_line_of_its_own(client, party):
    make.make_duty(party, "Report\r\nATTENDEE:mailto:x@example.org")
    content = feed_of(client, party)
    assert not re.search(rb"^ATTENDEE", content, re.M)


def test_the_days_of_a_rule_are_those_that_dateutil_counts(party):
    text = "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1;UNTIL=20360301"
    start = dt.datetime(2031, 2, 28)  # noqa: DTZ001
    assert list(due_days(text, start.date())) == [
        moment.date() for moment in rrulestr(text, dtstart=start)
    ]


def test_a_stranger_with_the_address_reads_and_without_it_finds_nothing(client, party):
    make.make_duty(party, "Report")
    assert b"Report" in feed_of(client, party)
    for token in ("wrong", "secre", "secret2", "x" * 300):
        assert client.get(reverse("claims:calendar_feed", args=[token])).status_code == 404
    assert client.post(reverse("claims:calendar_feed", args=["secret"])).status_code == 405


def test_an_address_is_made_renewed_and_withdrawn_by_a_keeper(keeper, party):
    page = keeper.post(url("address_create"))
    [first] = re.findall(r"/calendar/[\w-]{40,}\.ics", page.content.decode())
    assert keeper.get(first).status_code == 200
    assert first not in keeper.get(url("calendar_address")).content.decode()
    identity = CalendarFeed.objects.get().uuid
    [second] = re.findall(
        r"/calendar/[\w-]{40,}\.ics", keeper.post(url("address_create")).content.decode()
    )
    assert keeper.get(first).status_code == 404
    assert keeper.get(second).status_code == 200
    keeper.post(url("address_revoke"))
    assert keeper.get(second).status_code == 404
    assert CalendarFeed.objects.get().uuid == identity
    assert "No address is in use" in text_of(keeper.get(url("calendar_address")))


def test_the_secret_itself_is_not_stored(party):
    feed = duties.make_address(party=party, token="secret", now=NOW)
    assert "secret" not in {str(value) for value in vars(feed).values()}


def test_only_a_keeper_makes_and_withdraws_an_address(client, party):
    make.signed_in(client, party, "hand")
    assert client.post(url("address_create")).status_code == 403
    assert client.post(url("address_revoke")).status_code == 403
    assert not CalendarFeed.objects.exists()


def test_a_party_without_anything_has_an_empty_calendar(client, party):
    content = feed_of(client, party)
    assert vobject.readOne(content.decode()).contents.get("vevent") is None


def test_the_bytes_need_no_database(party):
    feed = CalendarFeed(party=party)
    assert b"BEGIN:VCALENDAR" in calendar_bytes(feed, (), site_address="https://x.example")
    assert events.__doc__


# --- the month page


def test_the_month_is_a_table_of_weeks_with_what_is_due(keeper, party):
    make.make_duty(party, "Report", first_due=d("2031-05-31"))
    page = keeper.get(url("month_page"), {"as_of": "2031-05-03", "month": "2031-05"})
    cells = re.findall(r"<td[^>]*>", page.content.decode())
    assert len(cells) == 35
    text = text_of(page)
    assert "May 2031" in text
    assert "31 May 2031" in text
    assert page.content.decode().count('aria-current="date"') == 1
    assert "Nothing that is noted falls in June 2031." in text_of(
        keeper.get(url("month_page"), {"as_of": "2031-05-03", "month": "2031-06"})
    )


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        ("2032-02", "February 2032"),
        ("1900-01", "January 1900"),
        ("2199-12", "December 2199"),
        ("2200-01", "May 2031"),
        ("2031-13", "May 2031"),
        ("2031-00", "May 2031"),
        ("spring", "May 2031"),
        ("٢٠٣١-٠٦", "May 2031"),
        ("2031-6", "May 2031"),
        ("", "May 2031"),
    ],
)
def test_a_month_that_cannot_be_read_shows_todays(keeper, asked, shown):
    answer = keeper.get(url("month_page"), {"as_of": "2031-05-03", "month": asked})
    assert f"<h1>{shown}</h1>" in answer.content.decode()


def test_the_neighbours_stop_at_the_ends(keeper):
    first = keeper.get(url("month_page"), {"month": "1900-01"}).content.decode()
    last = keeper.get(url("month_page"), {"month": "2199-12"}).content.decode()
    assert 'rel="prev"' not in first
    assert 'rel="next"' in first
    assert 'rel="next"' not in last


def test_another_partys_days_are_not_there(keeper):
    make.make_duty(make.make_party(), "Strange report", first_due=d("2031-05-31"))
    page = keeper.get(url("month_page"), {"as_of": "2031-05-03"})
    assert "Strange report" not in text_of(page)
