"""The renewal record's sums by hand: what counts, what is left out, what is said to be missing."""

import datetime as dt
import re
from dataclasses import replace
from decimal import Decimal

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from reports.figures import renewal_facts as f
from reports.figures.renewal import renewal_record
from reports.pdf.parts import Kit
from reports.pdf.renewal_record import WIDTHS
from reports.pdf.styles import BODY, BOLD
from trips.calc.costs import CostLine

DAY = dt.date(2031, 5, 3)
HERE, ALSO_HERE, ELSEWHERE = 1, 2, 9

PAPER = f.PaperWords(
    title="Reach permit 7",
    kind="permit",
    number="7",
    holder="Ada",
    issuer="Office",
    issued_on=dt.date(2031, 1, 1),
    expires_on=dt.date(2031, 12, 31),
    conditions="Fill holes.",
    sites=((HERE, "Upper"), (ALSO_HERE, "Lower")),
)
ASKED = f.RenewalAsked(
    party_name="Party",
    currency="EUR",
    as_of=dt.date(2031, 10, 1),
    first=dt.date(2031, 1, 1),
    last=dt.date(2031, 9, 30),
    mass_unit="g",
    volume_unit="L",
)


def trip(trip_id=1, **changes):
    made = f.TripWork(
        trip_id=trip_id,
        name=f"Trip {trip_id}",
        starts_on=DAY,
        ends_on=DAY,
        state="wrapped up",
        is_wrapped_up=True,
        is_called_off=False,
        people=(11, 12),
        visited=(HERE,),
        unsaid=(),
        covered=(HERE,),
        incidents="",
        costs=(),
    )
    return replace(made, **changes)


def block(minutes=60, activity="dig", **changes):
    made = f.Block(1, DAY, HERE, None, activity, minutes)
    return replace(made, **changes)


def run(**changes):
    made = f.Washed(True, 1, DAY, HERE, 5, 100_000, 60, None, None, False)
    return replace(made, **changes)


def pan(**changes):
    return run(is_run=False, gear_id=None, volume_ml=5_000, minutes=None, **changes)


def weighed(**changes):
    made = f.Weighed(21, 1, DAY, 1_000_000, 1_000, True, ("by colours",))
    return replace(made, **changes)


def hole(**changes):
    made = f.HoleSize(HERE, "Bend", DAY, None, 2_000, 1_000, 500)
    return replace(made, **changes)


def facts(**changes):
    made = f.RenewalFacts(
        paper=PAPER,
        site_names=dict(PAPER.sites),
        trips=(trip(),),
        blocks=(block(),),
        washed=(),
        weighed=(),
        gear=(f.GearWords(5, "Long box", "sluice, stream-fed", "none"),),
        holes=(),
    )
    return replace(made, **changes)


def record(asked=ASKED, **changes):
    return renewal_record(facts(**changes), asked)


def part(found, key):
    return next(each for each in found.parts if each.key == key)


def figure(found, label):
    return next((value, note) for name, value, note in found.key_figures if name == label)


def test_hours_are_person_hours_of_work():
    """Two people dig 60 min together, one runs the box 30 min: 2 × 60 + 30 = 150 min = 2.5 h."""
    found = record(
        blocks=(
            block(60),
            block(30, "run", person_id=11),
            block(45, "rest"),
            block(90, "drive", site_id=None),
        )
    )
    [row] = part(found, "days").rows
    assert row[:4] == (DAY, "Upper", 2, Decimal("2.5"))
    assert figure(found, "Person hours of work")[0] == "2.5 h"


def test_hours_without_a_site_belong_to_the_only_site_visited():
    assert part(record(blocks=(block(site_id=None),)), "days").rows[0][3] == Decimal("2.0")


def test_hours_without_a_site_on_a_trip_to_several_are_named_and_not_guessed():
    found = record(
        trips=(trip(visited=(HERE, ALSO_HERE), covered=(HERE, ALSO_HERE)),),
        blocks=(block(site_id=None), block(30)),
    )
    assert figure(found, "Person hours of work")[0] == "1.0 h"
    assert any("name no site on a trip to several" in line for line in found.missing)


def test_days_are_counted_once_however_many_sites_a_day_has():
    found = record(
        trips=(trip(visited=(HERE, ALSO_HERE), covered=(HERE, ALSO_HERE)),),
        blocks=(block(), block(site_id=ALSO_HERE)),
    )
    assert len(part(found, "days").rows) == 2
    assert figure(found, "Days on site")[0] == "1"


def test_a_visit_of_which_nothing_is_noted_stands_with_unknowns():
    found = record(blocks=())
    [row] = part(found, "days").rows
    assert row[3] is None
    assert figure(found, "Person hours of work")[0] == "unknown"
    assert any("not what was done or for how long" in line for line in found.missing)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"is_wrapped_up": False, "state": "planned"}, "It is planned, not wrapped up."),
        ({"starts_on": dt.date(2030, 12, 31)}, "reaches beyond the period"),
        ({"ends_on": dt.date(2031, 10, 1)}, "reaches beyond the period"),
        ({"ends_on": dt.date(2031, 10, 2)}, "after the day this record is told for"),
        ({"visited": (), "unsaid": (HERE,)}, "Nobody has said whether the site was visited."),
    ],
)
def test_trips_that_do_not_count_are_left_out_by_name(changes, why):
    found = record(trips=(trip(**changes),), blocks=())
    [row] = part(found, "left-out").rows
    assert row[2] == "Trip 1"
    assert why in row[3]
    assert part(found, "days").rows == ()
    assert any("1 trip to these sites left out" in line for line in found.missing)


@pytest.mark.parametrize("day", [ASKED.first, ASKED.last])
def test_both_ends_of_the_period_belong_to_it(day):
    found = record(trips=(trip(starts_on=day, ends_on=day),), blocks=(block(day=day),))
    assert figure(found, "Days on site")[0] == "1"


def test_a_fallback_that_was_not_visited_is_no_gap():
    found = record(trips=(trip(visited=(ELSEWHERE,)),), blocks=())
    assert part(found, "left-out").rows == ()


def test_volumes_by_gear_with_what_has_none():
    found = record(washed=(run(), run(volume_ml=None), run(gear_id=None, minutes=None), pan()))
    rows = {row[0]: row for row in part(found, "gear").rows}
    assert rows["Long box"][3:] == (2, Decimal("2.0"), Decimal("100.0"), 1)
    assert rows["Box not noted"][3:] == (1, None, Decimal("100.0"), 0)
    assert rows["Test pans"][3:] == (1, "", Decimal("5.0"), 0)
    value, note = figure(found, "Washed in boxes")
    assert value == "200.0 L"
    assert note == "at least; 1 of 3 runs without a volume"


def test_volume_is_unknown_not_zero_when_no_run_has_one():
    found = record(washed=(run(volume_ml=None),))
    assert figure(found, "Washed in boxes")[0] == "unknown"
    assert part(found, "days").rows[0][5] is None


def test_gold_of_a_shared_weigh_in_is_only_what_its_runs_here_gave():
    """300 000 µg at the site, 700 000 µg elsewhere; a pan of 12 000 µg weighed alone: 0.312 g."""
    found = record(
        trips=(trip(visited=(HERE, ELSEWHERE)),),
        washed=(
            run(weigh_in_id=21, mass_ug=300_000),
            run(weigh_in_id=21, mass_ug=700_000, site_id=ELSEWHERE),
            pan(mass_ug=12_000),
        ),
        weighed=(weighed(),),
    )
    assert figure(found, "Gold weighed")[0] == "0.312 g"
    gold = part(found, "gold")
    assert gold.rows[0][2:5] == (Decimal("1.000"), Decimal(1), Decimal("0.300"))
    assert gold.totals[4] == Decimal("0.312")
    assert part(found, "sites").rows[0][4] == Decimal("0.312")


def test_a_weigh_in_that_cannot_be_placed_is_unknown_and_said():
    found = record(trips=(trip(visited=(HERE, ELSEWHERE)),), weighed=(weighed(is_divided=False),))
    assert part(found, "gold").rows[0][4] is None
    assert figure(found, "Gold weighed")[0] == "unknown"
    assert any("how much is from here is not known" in line for line in found.missing)


def test_a_whole_weigh_in_counts_when_the_trip_went_nowhere_else():
    found = record(weighed=(weighed(is_divided=False),))
    assert figure(found, "Gold weighed")[0] == "1.000 g"


def test_gold_over_two_sites_of_the_paper_is_in_the_sum_but_at_neither():
    both = (HERE, ALSO_HERE)
    found = record(trips=(trip(visited=both, covered=both),), weighed=(weighed(is_divided=False),))
    rows = part(found, "sites").rows
    assert [row[4] for row in rows] == ["nothing weighed", "nothing weighed", Decimal("1.000")]
    assert figure(found, "Gold weighed")[0] == "1.000 g"


def test_nothing_weighed_is_unknown_not_zero():
    assert figure(record(), "Gold weighed") == ("unknown", "nothing has been weighed")


def test_holes_opened_filled_and_open_with_size():
    """2.0 × 1.0 × 0.5 m = 1.00 m³."""
    found = record(
        holes=(
            hole(opened_on=dt.date(2030, 12, 1), filled_on=dt.date(2031, 1, 1)),
            hole(opened_on=dt.date(2030, 12, 1), filled_on=dt.date(2030, 12, 31)),
            hole(filled_on=dt.date(2031, 9, 30)),
            hole(filled_on=dt.date(2031, 10, 1)),
            hole(depth_mm=None),
        )
    )
    states = [row[-1] for row in part(found, "holes").rows]
    assert states == ["filled", "filled", "still open", "still open"]
    assert part(found, "holes").rows[0][8] == Decimal("1.00")
    assert part(found, "holes").rows[3][7] is None
    assert figure(found, "Holes opened") == ("3", "in the period; 2 filled in it")
    assert figure(found, "Holes still open")[0] == "2"
    assert any("without full size" in line for line in found.missing)


def missing_of_holes(*holes):
    told = renewal_record(facts(holes=holes), ASKED).missing
    return [text for text in told if "hole" in text]


def test_what_is_missing_of_holes_is_of_the_period_alone():
    """A hole that was filled before the period is in no table, so nothing is missing of it."""
    before = dt.date(2030, 12, 30)
    old = hole(opened_on=before, fill_by=before, filled_on=dt.date(2030, 12, 31), depth_mm=None)
    late = hole(fill_by=DAY, filled_on=DAY + dt.timedelta(days=2))
    still = hole(fill_by=DAY, width_mm=None)
    none = ["No hole is noted in the period. That is not the same as none dug."]
    assert missing_of_holes(old) == none
    assert missing_of_holes(old, late, still, replace(late, fill_by=None)) == [
        "1 hole without full size, opened 3 May 2031.",
        "1 hole is still open past the day for filling.",
        "1 hole was filled after the day for it.",
        "2 holes filled have no photo after filling.",
    ]
    assert missing_of_holes(late, late, still, still)[1:3] == [
        "2 holes are still open past the day for filling.",
        "2 holes were filled after the day for it.",
    ]


def test_outlay_of_a_trip_to_another_site_too_is_parted_by_time_on_the_ground():
    """30 min here, 60 min elsewhere: a third of 100.01 is 33.34 by largest remainder."""
    lines = (
        CostLine("fuel", "Fuel", 10_001, "estimated", True),
        CostLine("food", "Food", None, "not known", False),
        CostLine("wear", "Wear", 5_000, "worked out", True),
    )
    found = record(
        trips=(trip(visited=(HERE, ELSEWHERE), costs=lines),),
        blocks=(block(30), block(60, site_id=ELSEWHERE)),
    )
    outlay = part(found, "outlay")
    assert outlay.rows[0] == ("Fuel", Decimal("33.34"), Decimal("33.34"), 0)
    assert outlay.rows[1] == ("Food", None, None, 1)
    assert outlay.totals == ("Sum", Decimal("33.34"), Decimal("33.34"), 1)


def test_parts_of_the_outlay_of_all_sites_sum_to_the_whole():
    lines = (CostLine("fuel", "Fuel", 10_001, "as entered", False),)
    both = (HERE, ALSO_HERE)
    found = record(
        trips=(trip(visited=both, covered=both, costs=lines),),
        blocks=(block(31), block(59, site_id=ALSO_HERE)),
    )
    assert part(found, "outlay").totals[1] == Decimal("100.01")


def test_incidents_are_told_and_silence_is_not_none():
    assert part(record(trips=(trip(incidents="Slipped."),)), "incidents").rows == (
        (DAY, "Trip 1", "Slipped."),
    )
    assert any("That is not the same as none." in line for line in record().missing)


def test_what_the_paper_lacks_is_named():
    bare = replace(PAPER, number="", expires_on=None, conditions="")
    assert "Not noted of the paper: number, last day and conditions." in record(paper=bare).missing


def test_days_outside_the_term_are_listed_and_said():
    short = replace(PAPER, expires_on=DAY - dt.timedelta(days=1))
    found = record(paper=short)
    assert any("outside the paper's term: 3 May 2031" in line for line in found.missing)
    inside = record(paper=replace(PAPER, expires_on=DAY))
    assert not any("outside the paper's term" in line for line in inside.missing)


def test_a_paper_without_sites_says_so():
    found = record(paper=replace(PAPER, sites=()), site_names={}, trips=(), blocks=(), holes=())
    assert not found.has_sites
    assert any("No site is noted under this paper" in line for line in found.missing)


def test_a_period_beyond_the_day_it_is_told_for_is_said():
    found = record(asked=replace(ASKED, as_of=dt.date(2031, 6, 1)))
    assert any("what comes later can't be in it" in line for line in found.missing)


def test_no_sentence_of_the_record_calls_anything_allowed():
    found = record(holes=(hole(),), washed=(run(),))
    said = " ".join([*found.missing, *found.sources, *(part.empty for part in found.parts)])
    assert not {"legal", "lawful", "allowed", "permitted", "complies"} & set(said.lower().split())


@pytest.mark.parametrize("page_size", ["A4", "LETTER"])
def test_no_word_over_a_column_of_the_print_is_broken(page_size):
    """Of tables with widths of their own; a day of the longest kind fits its column, too."""
    kit = Kit(page_size)
    parts = {part.key: part for part in renewal_record(facts(holes=(hole(),)), ASKED).parts}
    assert set(WIDTHS) <= set(parts)
    for key, shares in WIDTHS.items():
        for column, share in zip(parts[key].columns, shares, strict=True):
            room = kit.width * share / sum(shares) - 8
            words = re.split(r"[ -]", column.header)
            broken = [word for word in words if stringWidth(word, BOLD, 8.5) > room]
            assert not broken, (key, column.header)
    of_holes = WIDTHS["holes"]
    assert stringWidth("20 May 2030", BODY, 8.5) <= kit.width * of_holes[2] / sum(of_holes) - 8
