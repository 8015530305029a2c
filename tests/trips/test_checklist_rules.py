"""A trip's checklist with a rule pack: what is known decides, answers stay, sign-offs keep."""

import datetime as dt

import pytest
from django.contrib.messages import get_messages
from django.core.exceptions import ValidationError
from django.urls import reverse

from claims.checklist import checklist_rows
from tests.factories import (
    make_answer,
    make_gear,
    make_own_rule,
    make_paper,
    make_party,
    make_party_pack,
    make_person,
    make_run,
    make_sign_off,
    make_site,
    make_spot,
    make_trip,
    make_user,
    signed_in,
)
from trips.models import SignOff, TripAnswer
from trips.selectors.plan_facts import gear_facts, people_facts, recorded_amounts

pytestmark = pytest.mark.django_db
DAY = dt.date(2031, 5, 14)
UNITS = {"mass": "g", "volume": "L", "distance": "km"}
PACK = ["gravel-hills"]
CORE = "area:gravel-hills/core"
OUTSIDE = {CORE: {"value": "no", "by": "Ada", "on": "1 May 2031"}}


def hills(**site):
    """A party with the hills' pack, a site in it, a trip with a pan, and a pass."""
    party = make_party()
    make_party_pack(party)
    values = {"rule_packs": PACK, "rule_facts": OUTSIDE, "land": "public", **site}
    place = make_site(party, name="Hill creek", **values)
    make_paper(
        party, [place], kind="permit", name="Hill pass", rule_code="gravel-hills/pass",
        issued_on=dt.date(2031, 1, 1), expires_on=dt.date(2031, 12, 31),
    )  # fmt: skip
    trip = make_trip(party, place, starts_on=DAY, ends_on=DAY, people=[make_person(party, "Ada")])
    trip.gear.add(make_gear(party, name="Pan", kind="pan"))
    return party, place, trip


def lines_of(party, trip, as_of=dt.date(2031, 5, 1)):
    from trips.selectors.trip_page import trip_page

    page = trip_page(trip=trip, party=party, today=as_of, units=UNITS)
    return {
        line.key.partition("/")[2]: line for site in page.checks for line in site.lines if line.key
    }


def outcomes(party, trip, **more):
    return {key: line.outcome for key, line in lines_of(party, trip, **more).items()}


def test_a_plan_of_which_all_is_known_only_asks_what_only_people_know():
    party, _, trip = hills()
    assert outcomes(party, trip) == {
        "pass": "know",
        "ban": "ask",
        "volume": "do",
        "tell": "do",
        "fill": "do",
    }


def test_an_engine_in_the_plan_stops_it_and_the_line_says_why():
    party, _, trip = hills()
    trip.gear.add(make_gear(party, name="Box", kind="sluice_pumped", power="engine"))
    line = lines_of(party, trip)["engines"]
    assert line.outcome == "stop"
    assert line.why == "Engine-powered Box (pump-fed sluice) · 14 May."
    assert line.change == "Leave the engine at home."
    assert (line.source, line.date_of_text) == ("Hill text", "2030-01-01")
    assert line.confirm_with == "the hill office"
    assert line.layer == "Gravel Hills (made up for tests)"


def test_without_gear_people_and_papers_the_rules_ask():
    party = make_party()
    make_party_pack(party)
    site = make_site(party, rule_packs=PACK)
    trip = make_trip(party, site, starts_on=DAY, ends_on=DAY)
    found = outcomes(party, trip)
    assert found["engines"] == "ask"
    assert found["core"] == "ask"
    assert found["pass"] == "stop"


def test_a_paper_whose_code_is_not_said_asks():
    party, site, trip = hills()
    party.papers.all().delete()
    make_paper(party, [site], kind="permit", expires_on=dt.date(2031, 12, 31))
    assert outcomes(party, trip)["pass"] == "ask"


@pytest.mark.parametrize(("end", "outcome"), [(14, "know"), (13, "stop")])
def test_the_printed_last_day_decides(end, outcome):
    party, _, trip = hills()
    paper = party.papers.get()
    paper.expires_on = dt.date(2031, 5, end)
    paper.save()
    assert outcomes(party, trip)["pass"] == outcome


def test_amounts_come_from_the_record_and_the_line_shows_which_rows():
    party, site, trip = hills()
    past = make_trip(party, site, starts_on=dt.date(2031, 4, 2), ends_on=dt.date(2031, 4, 2))
    make_run(past, make_spot(site), day=dt.date(2031, 4, 2), volume_ml=60_000)
    line = lines_of(party, trip)["volume"]
    assert line.outcome == "do"
    assert "60 L so far" in line.text
    assert any("2031-04-02 Hill creek, gravel washed: 60 L" in row for row in line.evidence)
    make_run(past, site.spots.get(), day=dt.date(2031, 4, 2), volume_ml=41_000)
    assert lines_of(party, trip)["volume"].outcome == "stop"


def test_a_run_without_litres_makes_the_sum_at_least_and_asks():
    party, site, trip = hills()
    past = make_trip(party, site, starts_on=dt.date(2031, 4, 2), ends_on=dt.date(2031, 4, 2))
    make_run(past, make_spot(site), day=dt.date(2031, 4, 2), volume_ml=None)
    line = lines_of(party, trip)["volume"]
    assert line.outcome == "ask"
    assert "at least 0 L so far" in line.why


def test_holes_count_where_they_are_more_than_what_was_washed():
    party, site, _ = hills()
    day = dt.date(2031, 4, 2)
    past = make_trip(party, site, starts_on=day, ends_on=day)
    make_run(past, make_spot(site), day=day, volume_ml=60_000)
    size = {"length_mm": 1000, "width_mm": 500, "depth_mm": 400}
    site.holes.create(party=party, opened_on=day, filled_on=day, **size)
    rows = checklist_rows(party)
    (line,) = recorded_amounts(party, {"moved_volume"}, rows.holes)
    assert (line.base, line.evidence) == (200_000, "Hill creek, holes dug")


def test_an_answer_is_kept_with_name_and_day_and_decides(client):
    party, site, trip = hills()
    user = make_user()
    signed_in(client, party, user=user)
    url = reverse("trips:trip_answer_edit", args=[trip.pk])
    data = {"site": site.pk, "key": "answer:gravel-hills/ban", "value": "yes", "note": "by phone"}
    assert client.post(url, data).status_code == 302
    row = TripAnswer.objects.get()
    assert (row.value, row.said_by, row.note) == ("yes", str(user), "by phone")
    assert outcomes(party, trip)["ban"] == "stop"
    client.post(url, {**data, "value": "no"})
    assert "ban" not in outcomes(party, trip)


def test_what_was_seen_to_becomes_something_to_know_and_can_be_taken_back(client):
    party, site, trip = hills()
    user = make_user()
    signed_in(client, party, user=user)
    url = reverse("trips:trip_answer_edit", args=[trip.pk])
    data = {"site": site.pk, "key": "met:gravel-hills/tell", "value": "yes"}
    client.post(url, data)
    line = lines_of(party, trip)["tell"]
    assert line.outcome == "know"
    assert f"said by {user}" in line.answers[0].said
    client.post(url, {**data, "value": ""})
    assert outcomes(party, trip)["tell"] == "do"


def test_an_answer_about_the_site_stays_with_the_site(client):
    party, site, trip = hills(rule_facts={})
    user = make_user()
    signed_in(client, party, user=user)
    url = reverse("trips:trip_answer_edit", args=[trip.pk])
    client.post(url, {"site": site.pk, "key": CORE, "value": "yes"})
    site.refresh_from_db()
    assert site.rule_facts[CORE]["value"] == "yes"
    assert site.rule_facts[CORE]["by"] == str(user)
    assert not TripAnswer.objects.exists()
    assert outcomes(party, trip)["core"] == "stop"


@pytest.mark.parametrize(
    ("key", "value", "message"),
    [
        ("answer:gravel-hills/nothing", "yes", "doesn&#x27;t ask this any more"),
        ("answer:gravel-hills/ban", "perhaps", "Choose one of the answers."),
        ("x" * 300, "yes", "at most 200 characters"),
    ],
)
def test_an_answer_to_nothing_is_refused_in_words(client, key, value, message):
    party, site, trip = hills()
    signed_in(client, party)
    url = reverse("trips:trip_answer_edit", args=[trip.pk])
    page = client.post(url, {"site": site.pk, "key": key, "value": value}, follow=True)
    assert message in page.content.decode()
    assert not TripAnswer.objects.exists()


def test_a_site_of_another_party_takes_no_answer(client):
    party, _, trip = hills()
    other = make_site(make_party(name="Others"))
    signed_in(client, party)
    url = reverse("trips:trip_answer_edit", args=[trip.pk])
    data = {"site": other.pk, "key": CORE, "value": "yes"}
    assert client.post(url, data).status_code == 404


def signed(client, party, trip):
    signed_in(client, party)
    answer = client.post(reverse("trips:trip_signoff_create", args=[trip.pk]))
    assert answer.status_code == 302
    return SignOff.objects.get()


def test_a_sign_off_keeps_rules_facts_answers_and_the_packs_hash(client):
    party, site, trip = hills()
    make_answer(trip, site)
    kept = signed(client, party, trip)
    data = kept.snapshot
    assert data["packs"][0]["sha256"] == party.packs.get().sha256
    assert data["plan"]["gear"] == ["Pan"]
    assert data["facts"]["gear"][0]["name"] == "Pan"
    assert data["facts"]["answers"][0]["value"] == "no"
    line = next(row for row in data["sites"][0]["lines"] if row["key"].endswith("/pass"))
    assert (line["source"], line["date_of_text"]) == ("Hill text", "2030-01-01")
    assert len(kept.sha256) == 64


def test_a_sign_off_never_changes():
    _, _, trip = hills()
    kept = make_sign_off(trip)
    kept.signer = "somebody else"
    with pytest.raises(TypeError, match="never changes"):
        kept.save()
    assert SignOff.objects.get().signer == "Ada"


def test_a_later_change_of_the_plan_shows_what_changed(client):
    party, _, trip = hills()
    kept = signed(client, party, trip)
    url = reverse("trips:signoff_detail", args=[kept.pk])
    page = client.get(url)
    assert page.context["page"].changed == ()
    assert (
        "otherwise now"
        not in client.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    )
    trip.gear.add(make_gear(party, name="Box", kind="sluice_pumped", power="engine"))
    changed = {row.what: (row.then, row.now) for row in client.get(url).context["page"].changed}
    assert changed["Gear"] == ("Pan", "Box, Pan")
    assert "no such line" in {then for then, _ in changed.values()}
    body = client.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert "the plan is otherwise now" in body


def test_a_new_edition_of_a_pack_shows_after_a_sign_off(client):
    party, _, trip = hills()
    kept = signed(client, party, trip)
    pack = party.packs.get()
    from claims.rules.loader import load_text

    pack.text = pack.text.replace('version = "1"', 'version = "2"')
    pack.sha256 = load_text(pack.text, "x.toml").sha256
    pack.save()
    changed = client.get(reverse("trips:signoff_detail", args=[kept.pk])).context["page"].changed
    assert [row.what for row in changed] == ["Rule pack gravel-hills"]
    assert "edition 1" in changed[0].then
    assert "edition 2" in changed[0].now


def test_a_trip_that_is_over_is_not_signed_off(client):
    party, _, trip = hills()
    trip.state = "wrapped_up"
    trip.save()
    signed_in(client, party)
    answer = client.post(reverse("trips:trip_signoff_create", args=[trip.pk]))
    said = [str(message) for message in get_messages(answer.wsgi_request)]
    assert said == ["Only the checklist of a trip that is ahead can be signed off."]
    assert not SignOff.objects.exists()


def test_a_signed_trip_is_kept():
    from trips.services.trips import delete_trip

    _, _, trip = hills()
    make_sign_off(trip)
    with pytest.raises(ValidationError, match="signed off"):
        delete_trip(trip=trip)


def test_fallbacks_get_their_own_lines(client):
    party, _, trip = hills()
    other = make_site(party, name="Other creek", rule_packs=PACK)
    trip.trip_sites.create(site=other, rank=1)
    make_own_rule(party, site=other, shape="no_engine", text="No engines, says the owner.")
    trip.gear.add(make_gear(party, name="Box", kind="sluice_pumped", power="engine"))
    from trips.selectors.trip_page import trip_page

    page = trip_page(trip=trip, party=party, today=dt.date(2031, 5, 1), units=UNITS)
    by_site = {each.title: {line.layer for line in each.lines if line.key} for each in page.checks}
    assert len(by_site) == 2
    layers = list(by_site.values())
    assert f"Own rules of {party.name}" not in layers[0]
    assert f"Own rules of {party.name}" in layers[1]


def test_the_page_groups_lines_and_says_nothing_is_lawful(client):
    party, _, trip = hills()
    signed_in(client, party)
    body = client.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    for title in ("Before you plan", "Before you leave", "At the creek", "Before you go home"):
        assert f"<h4>{title}</h4>" in body
    assert "No line here says that a trip is lawful" in body


def test_more_sites_and_rows_cost_no_more_queries(django_assert_max_num_queries):
    party, site, trip = hills()
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(
        connection,
    ) as few:
        lines_of(party, trip)
    spot = make_spot(site)
    for n in range(3):
        more = make_site(party, name=f"More {n}", rule_packs=PACK)
        trip.trip_sites.create(site=more, rank=n + 1)
        make_run(trip, spot, day=DAY)
        make_own_rule(party, site=more)
        make_answer(trip, more)
    with CaptureQueriesContext(connection) as many:
        lines_of(party, trip)
    assert len(many) == len(few)


@pytest.mark.parametrize(
    ("kind", "power", "with_pump", "expected"),
    [
        ("sluice_pumped", "none", False, None),
        ("sluice_pumped", "none", True, "none"),
        ("pump", "none", False, None),
        ("pump", "engine", False, "engine"),
        ("pan", "none", False, "none"),
    ],
)
def test_no_power_noted_is_not_known_where_something_must_drive_it(
    kind, power, with_pump, expected
):
    party = make_party()
    gear = [make_gear(party, kind=kind, power=power)]
    if with_pump:
        gear.append(make_gear(party, kind="pump", power="engine"))
    assert gear_facts(gear)[0].power == expected


def test_a_bore_in_whole_millimetres_is_compared_in_whole_millimetres():
    """4 in are 101.6 mm; a nozzle typed as 4 in is kept as 102 mm and is still 4 in."""
    from tests.rules.making import outcome, plan

    party = make_party()
    limit = "{ type = 'gear_limit', number = 'nozzle', at_most = '4 in' }"
    for millimetres, expected in ((102, "know"), (103, "stop")):
        gear = gear_facts(
            [make_gear(party, kind="dredge_suction", power="engine", nozzle_mm=millimetres)]
        )
        assert outcome(limit, plan(gear=gear)) == expected


@pytest.mark.parametrize(
    ("born", "group", "under_15", "under_18"),
    [
        (2015, "", False, True),
        (2016, "", None, True),
        (2017, "", True, True),
        (2012, "", False, False),
        (2013, "", False, None),
        (None, "adult", False, False),
        (None, "child", None, True),
        (None, "", None, None),
    ],
)
def test_a_year_of_birth_leaves_a_year_open(born, group, under_15, under_18):
    """In 2031 somebody born in 2016 is 14 or 15."""
    person = make_person(make_party(), birth_year=born, age_group=group)
    (fact,) = people_facts([person], 2031)
    assert (fact.under(15), fact.under(18)) == (under_15, under_18)
