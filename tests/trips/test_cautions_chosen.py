"""Cautions are chosen by the plan, each says why it is shown, and what isn't known shows still."""

import datetime as dt

import pytest

from tests.factories import (
    make_gear,
    make_hole,
    make_party,
    make_person,
    make_site,
    make_spot,
    make_trip,
)
from trips.selectors.trip_page import trip_page

pytestmark = pytest.mark.django_db
DAY = dt.date(2031, 5, 14)
UNITS = {"mass": "g", "volume": "L", "distance": "km"}
NORTH = {"latitude_udeg": 47_000_000, "longitude_udeg": 9_000_000}
SOUTH = {"latitude_udeg": -37_000_000, "longitude_udeg": 145_000_000}
TROPIC = {"latitude_udeg": 5_000_000, "longitude_udeg": 9_000_000}
FAR_NORTH = {"latitude_udeg": 68_000_000, "longitude_udeg": 27_000_000}


def cautions(*gear, day=DAY, last=None, people=2, holes=(), spots=(), **site):
    party = make_party()
    place = make_site(party, **site)
    for values in holes:
        make_hole(place, opened_on=day - dt.timedelta(2), **values)
    for feature in spots:
        make_spot(place, feature=feature)
    who = [make_person(party, f"P{n}") for n in range(people)]
    trip = make_trip(party, place, starts_on=day, ends_on=last or day, people=who)
    trip.gear.add(
        *[make_gear(party, name=name, kind=kind, power=power) for name, kind, power in gear]
    )
    page = trip_page(trip=trip, party=party, today=day, units=UNITS)
    return {line.text: line.why for line in page.cautions}


def why(found, word):
    """Why the one caution with a word in it is shown; empty if there is none."""
    return " ".join(said for text, said in found.items() if word in text)


PAN = ("Pan", "pan", "none")
SHOVEL = ("Shovel", "hand_tool", "none")
BOX = ("Magpie", "sluice_pumped", "engine")
DRY = ("Puffer", "dry_washer", "none")


def test_of_a_plan_of_which_nothing_is_known_every_caution_shows_and_says_so():
    found = cautions(people=0, latitude_udeg=None, longitude_udeg=None, water_name="")
    for word in ("alone", "undercut", "engine", "winch", "Heat", "fire ban", "Cold season",
                 "flooded", "Cold water", "mercury", "shafts"):  # fmt: skip
        assert "isn't known" in why(found, word), word


@pytest.mark.parametrize(
    ("place", "month", "heat", "cold"),
    [
        (NORTH, 1, False, True),
        (NORTH, 4, False, True),
        (NORTH, 5, True, True),
        (NORTH, 7, True, False),
        (NORTH, 8, True, False),
        (NORTH, 10, False, True),
        (SOUTH, 1, True, False),
        (SOUTH, 7, False, True),
        (SOUTH, 11, True, True),
        (TROPIC, 1, True, False),
        (FAR_NORTH, 7, True, True),
    ],
)
def test_heat_and_cold_go_by_month_and_place(place, month, heat, cold):
    """Regression values of our own rule of thumb."""
    found = cautions(PAN, day=dt.date(2031, month, 14), **place)
    assert bool(why(found, "Heat")) is heat
    assert bool(why(found, "fire ban")) is heat
    assert bool(why(found, "Cold season")) is cold


def test_the_season_is_named_where_it_chooses():
    found = cautions(PAN, **NORTH)
    assert why(found, "Heat").startswith("The trip is in May, at 47° north.")
    found = cautions(PAN, day=dt.date(2031, 7, 30), last=dt.date(2031, 10, 2), **NORTH)
    assert "July, August, September and October" in why(found, "Cold season")


def test_an_engine_brings_its_caution_and_the_fire_ban_in_winter():
    winter = dt.date(2031, 1, 14)
    found = cautions(BOX, day=winter, **NORTH)
    assert why(found, "Run the engine").startswith("An engine comes along: Magpie.")
    assert why(found, "fire ban").startswith("An engine comes along: Magpie.")
    found = cautions(PAN, day=winter, **NORTH)
    assert not why(found, "engine")
    assert not why(found, "fire ban")


def test_digging_is_read_from_the_gear_and_from_open_holes():
    found = cautions(PAN, **NORTH)
    assert not why(found, "undercut")
    assert not why(found, "boulder")
    found = cautions(PAN, SHOVEL, **NORTH)
    assert why(found, "undercut").startswith("Gear to dig with comes along: Shovel.")
    assert why(found, "boulder").startswith("Gear to dig with comes along: Shovel.")
    assert "winch" not in " ".join(found)
    found = cautions(PAN, holes=[{"depth_mm": 1_600}], **NORTH)
    assert why(found, "protection against").startswith("An open hole there is 1.60 m deep.")


def test_water_is_left_out_only_with_dry_gear_and_no_water_noted():
    assert why(cautions(DRY, SHOVEL, water_name="", **NORTH), "flooded") == ""
    found = cautions(DRY, SHOVEL, water_name="Chert Creek", **NORTH)
    assert why(found, "flooded").startswith("The plan goes to water: Chert Creek.")
    assert why(cautions(PAN, water_name="", **NORTH), "Cold water").startswith(
        "The gear needs water: Pan."
    )
    assert "isn't known" in why(cautions(SHOVEL, water_name="", **NORTH), "flooded")


def test_company_and_old_workings():
    assert why(cautions(PAN, people=1, **NORTH), "Going alone").startswith("Only P0 goes.")
    assert why(cautions(PAN, **NORTH), "alone") == ""
    found = cautions(PAN, spots=["tailings"], name="Old Cut", **NORTH)
    assert why(found, "there is mercury").startswith("Old tailings are noted at Old Cut.")
    assert why(found, "shafts").startswith("Old tailings are noted at Old Cut.")
    assert "fine drops" not in why(found, "mercury")
    pumped = cautions(BOX, spots=["tailings"], name="Old Cut", **NORTH)
    assert "fine drops that travel" in why(pumped, "stop and report the place")
