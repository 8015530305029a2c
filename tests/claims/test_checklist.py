"""What the checklist says on a day, and what it never says."""

import datetime as dt
import re

import pytest

from claims.checklist import (
    WorkFacts,
    checklist_rows,
    first_checklist,
    is_open,
    site_checklists,
    worst,
)
from claims.lines import CheckLine
from claims.models import Paper, Site
from claims.rulebook import PlanFacts
from claims.rulecheck import situation_of
from claims.stops import Stops
from tests import factories as make

pytestmark = pytest.mark.django_db

DAY = dt.date(2031, 5, 3)


@pytest.fixture
def party():
    return make.make_party()


def lines_of(party, site, day=DAY, until=None):
    rows = checklist_rows(party)
    return site_checklists([site], day, papers=rows.papers, holes=rows.holes, until=until)[site.pk]


def told(lines, part):
    """Outcomes of the lines whose text contains `part`."""
    return [line.outcome for line in lines if part in line.text]


@pytest.mark.parametrize(
    ("day", "outcome"),
    [
        (dt.date(2031, 10, 31), "know"),
        (dt.date(2031, 11, 1), "stop"),
        (dt.date(2032, 1, 1), "stop"),
        (dt.date(2032, 3, 15), "stop"),
        (dt.date(2032, 3, 16), "know"),
    ],
)
def test_a_closed_window_stops_on_both_its_ends_and_not_beside_them(party, day, outcome):
    site = make.make_site(
        party, "Alder", closed_from="11-01", closed_until="03-15", closed_reason="Spawning."
    )
    (line,) = [line for line in lines_of(party, site, day) if "Alder is closed" in line.text]
    assert line.outcome == outcome
    assert "Spawning." in line.why
    assert "1 Nov to 15 Mar" in line.why + line.text


def test_a_trip_of_two_days_is_stopped_when_its_second_day_is_closed(party):
    site = make.make_site(party, closed_from="05-04", closed_until="05-10")
    assert told(lines_of(party, site), "is closed on") == []
    assert told(lines_of(party, site, until=dt.date(2031, 5, 4)), "is closed on") == ["stop"]


def test_no_window_noted_asks_until_somebody_notes_that_there_is_none(party):
    site = make.make_site(party)
    assert told(lines_of(party, site), "no closed window") == ["ask"]
    site.closed_reason = "asked the office on 2 May 2031, none"
    assert told(lines_of(party, site), "no closed window") == ["know"]


@pytest.mark.parametrize("kind", [k for k in Site.LandKind if k != Site.LandKind.PUBLIC])
def test_a_site_that_is_not_public_asks_for_its_paper(party, kind):
    site = make.make_site(party, land_kind=kind)
    assert told(lines_of(party, site), "No paper is noted") == ["ask"]


def test_a_public_site_asks_whom_to_ask_and_not_for_a_paper(party):
    lines = lines_of(party, make.make_site(party, jurisdiction="Vale of Marl"))
    assert told(lines, "No paper is noted") == []
    (line,) = [line for line in lines if "public area" in line.text]
    assert line.outcome == "ask"
    assert line.confirm_with == "the mining or land office of Vale of Marl"


@pytest.mark.parametrize(
    ("kind", "land", "told_to_rules"),
    [
        ("public", "", None),
        ("public", "public", "public"),
        ("private", "", "private"),
        ("unknown", "", None),
    ],
)
def test_a_public_area_may_be_any_kind_of_land_so_rules_are_not_told_one(
    party, kind, land, told_to_rules
):
    """It may be a park or a forest, which other rules close; the word chosen for rules counts."""
    site = make.make_site(party, land_kind=kind, land=land)
    made = situation_of(site, DAY, DAY, papers=(), holes=(), plan=PlanFacts())
    assert made.place.land == told_to_rules


def test_unknown_land_asks(party):
    lines = lines_of(party, make.make_site(party, land_kind="unknown"))
    assert told(lines, "whose land") == ["ask"]


@pytest.mark.parametrize(
    ("day", "outcome"),
    [
        (dt.date(2030, 12, 31), "stop"),
        (dt.date(2031, 1, 1), "know"),
        (dt.date(2031, 12, 1), "know"),
        (dt.date(2031, 12, 2), "do"),
        (dt.date(2031, 12, 31), "do"),
        (dt.date(2032, 1, 1), "stop"),
    ],
)
def test_a_paper_on_both_sides_of_its_dates(party, day, outcome):
    site = make.make_site(party, land_kind="permitted")
    make.make_paper(party, [site], name="Reach permit", renewal_lead_days=29)
    assert told(lines_of(party, site, day), "Reach permit") == [outcome]


def test_a_paper_that_runs_out_during_the_trip_stops_it(party):
    site = make.make_site(party, land_kind="permitted")
    make.make_paper(party, [site], name="Reach permit", expires_on=DAY)
    assert told(lines_of(party, site), "Reach permit") == ["do"]
    later = lines_of(party, site, until=DAY + dt.timedelta(days=1))
    assert told(later, "Reach permit") == ["stop"]


def test_a_paper_without_dates_asks_for_both(party):
    site = make.make_site(party, land_kind="claim")
    make.make_paper(party, [site], name="Claim 7", issued_on=None, expires_on=None)
    assert told(lines_of(party, site), "Claim 7") == ["ask", "ask"]


def test_last_years_permit_only_stops_while_no_newer_one_of_its_kind_covers_the_day(party):
    site = make.make_site(party, land_kind="permitted")
    old = make.make_paper(
        party,
        [site],
        name="Old permit",
        issued_on=dt.date(2030, 1, 1),
        expires_on=dt.date(2030, 12, 31),
    )
    make.make_paper(party, [site], name="A licence", kind=Paper.Kind.LICENCE)
    assert told(lines_of(party, site), "Old permit") == ["stop"]
    make.make_paper(party, [site], name="New permit")
    (line,) = [line for line in lines_of(party, site) if old.name in line.text]
    assert line.outcome == "know"
    assert "New permit is noted" in line.why


def test_private_land_asks_for_consent_though_a_licence_is_held(party):
    site = make.make_site(party, land_kind="private", contact="B. Ashgrove, farm")
    make.make_paper(party, [site], kind=Paper.Kind.LICENCE)
    lines = lines_of(party, site)
    assert told(lines, "No consent") == ["ask"]
    assert told(lines, "Contact for") == ["know"]
    assert all(line.confirm_with for line in lines)


def test_holes_here_are_filled_before_leaving_and_those_elsewhere_are_known(party):
    here, there = make.make_site(party), make.make_site(party)
    make.make_hole(here, opened_on=dt.date(2031, 4, 23))
    make.make_hole(here, opened_on=DAY)
    make.make_hole(there)
    lines = lines_of(party, here)
    (line,) = [line for line in lines if "before you leave" in line.text]
    assert (line.outcome, line.text) == (
        "do",
        f"Fill 2 open holes at {here} before you leave.",
    )
    assert "10 days" in line.why
    assert told(lines, "1 open hole at other sites") == ["know"]


@pytest.mark.parametrize(
    ("day", "opened", "filled", "expected"),
    [
        ("2031-05-02", "2031-05-03", None, False),
        ("2031-05-03", "2031-05-03", None, True),
        ("2031-05-04", "2031-05-03", "2031-05-05", True),
        ("2031-05-05", "2031-05-03", "2031-05-05", False),
    ],
)
def test_a_hole_is_open_from_its_day_until_the_day_it_is_filled(
    party, day, opened, filled, expected
):
    hole = make.make_hole(
        make.make_site(party),
        opened_on=dt.date.fromisoformat(opened),
        filled_on=filled and dt.date.fromisoformat(filled),
    )
    assert is_open(hole, dt.date.fromisoformat(day)) is expected


@pytest.mark.parametrize(
    ("deepest_mm", "stops", "ladders"),
    [(None, 0, 0), (1_218, 0, 0), (1_219, 0, 1), (1_523, 0, 1), (1_524, 1, 1)],
)
def test_depth_cautions_begin_at_four_and_five_feet(party, deepest_mm, stops, ladders):
    # 29 CFR 1926.652(a)(1) as restated by trade associations: 5 ft protection, 4 ft way out (seen).
    lines = first_checklist(
        party, [], DAY, papers=[], holes=[], facts=WorkFacts(deepest_mm=deepest_mm)
    )
    assert len([line for line in lines if line.outcome == "stop"]) == stops
    assert len(told(lines, "ladder")) == ladders


def test_only_a_known_no_silences_a_caution(party):
    def texts(**facts):
        lines = first_checklist(party, [], DAY, papers=[], holes=[], facts=WorkFacts(**facts))
        return " ".join(line.text for line in lines)

    assert "engine" in texts()
    assert "engine" in texts(has_engine=True)
    assert "engine" not in texts(has_engine=False)
    assert "alone" in texts()
    assert "Going alone" in texts(is_alone=True)
    assert "alone" not in texts(is_alone=False)
    assert "winch" in texts()
    assert "winch" not in texts(has_winch=False)


def every_line(party):
    """Lines of every land kind with every state of paper, and all cautions."""
    sites = [
        make.make_site(party, land_kind=kind, contact="C", hazards="H") for kind in Site.LandKind
    ]
    sites.append(make.make_site(party, closed_from="01-01", closed_until="12-31"))
    for issued, expires in (
        (None, None),
        (dt.date(2031, 1, 1), dt.date(2032, 12, 31)),
        (dt.date(2030, 1, 1), dt.date(2031, 5, 20)),
        (dt.date(2030, 1, 1), dt.date(2031, 1, 1)),
        (dt.date(2032, 1, 1), None),
    ):
        make.make_paper(party, sites, kind="licence", issued_on=issued, expires_on=expires)
    make.make_hole(sites[0])
    rows = checklist_rows(party)
    facts = [WorkFacts(), WorkFacts(True, True, True, 2000), WorkFacts(False, False, False, 10)]
    return [
        line
        for each in facts
        for line in first_checklist(
            party, sites, DAY, papers=rows.papers, holes=rows.holes, facts=each
        )
    ]


def test_no_line_ever_clears_anything(party):
    lines = every_line(party)
    assert {line.outcome for line in lines} == {"stop", "do", "ask", "know"}
    for line in lines:
        words = f"{line.text} {line.why}"
        assert not re.search(
            r"\b(legal|lawful|ok|okay|cleared|permitted to|may dig)\b", words, re.I
        )
        assert line.source
        assert line.confirm_with
        assert line.why


def test_every_caution_names_its_source_or_says_there_is_none(party):
    lines = first_checklist(party, [], DAY, papers=[], holes=[])
    assert len(lines) >= 8
    for line in lines:
        assert "seen" in line.source or "common practice, no source" in line.source
        assert line.site_id is None


def test_any_number_of_sites_costs_one_query(party, django_assert_num_queries):
    def ask(count):
        while party.sites.count() < count:
            site = make.make_site(party)
            make.make_paper(party, [site])
            make.make_hole(site)
        sites = list(party.sites.all())
        with django_assert_num_queries(1):
            rows = checklist_rows(party)
            return first_checklist(party, sites, DAY, papers=rows.papers, holes=rows.holes)

    assert len(ask(4)) < len(ask(8))


def test_the_worst_line_decides_and_no_line_asks():
    line = {o: CheckLine(o, "t", "w", "s", "c", None) for o in ("stop", "do", "ask", "know")}
    assert worst([line["know"], line["ask"], line["do"], line["stop"]]) == "stop"
    assert worst([line["know"], line["do"]]) == "do"
    assert worst([]) == "ask"


def test_sites_that_are_stopped_are_those_with_a_line_that_stops(party):
    """Asked for many days without the lines: the same answer on each side of every change."""
    make.make_party_pack(party)
    hills = {"rule_packs": ["gravel-hills"], "land": "public"}
    sites = [
        make.make_site(party, closed_from="05-04", closed_until="05-10"),
        make.make_site(party, land_kind="permitted"),
        make.make_site(party, **hills),
        make.make_site(party, land_kind="private"),
    ]
    make.make_paper(party, [sites[1]], expires_on=dt.date(2031, 5, 6))
    make.make_paper(party, [sites[1]], issued_on=dt.date(2031, 5, 9))  # takes the first one's place
    make.make_paper(
        party, [sites[2]], kind="permit", rule_code="gravel-hills/pass",
        issued_on=dt.date(2031, 5, 5), expires_on=dt.date(2031, 5, 8),
    )  # fmt: skip
    make.make_hole(sites[3], opened_on=dt.date(2031, 5, 1))
    rows, plan = checklist_rows(party), PlanFacts()
    asked = {"papers": rows.papers, "holes": rows.holes, "book": rows.book, "plan": plan}
    told, stops = [], Stops(sites, **asked)
    for number in range(14):
        day = DAY + dt.timedelta(days=number)
        lines = site_checklists(sites, day, **asked)
        stopped = stops.on(day)
        assert stopped == {pk for pk, found in lines.items() if worst(found) == "stop"}
        told.append([site.pk in stopped for site in sites])
    assert ["".join("-x"[each] for each in column) for column in zip(*told, strict=True)] == [
        "-xxxxxxx------",
        "----xx--------",
        "xx----xxxxxxxx",
        "--------------",
    ]
