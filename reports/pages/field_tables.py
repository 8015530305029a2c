"""The tables of a trip as its page, its card and the phone show them: one source for all three.

The file for the phone, in the order of the plan; nothing in it has to be worked out there:

    {
      "version": "16 hex digits",       another one whenever any input changes
      "made_for": "trip, day, price",   words for the head of the page
      "spots": [                        every spot of every planned site
        {
          "spot": "uuid", "name": "…", "site": 7,
          "method": "stopping" | "card" | "none",
          "words": "why this method; what stands in for what isn't known",
          "first": "pan" | "dig" | "move" | "home",     before the first pan
          "second": "where poor pans send one, or empty",
          "trigger": "after 4 pans (22 L) with 1 weighted colour or fewer, go to …, or empty",
          "coarse_weight": {"coarse": 11, "medium": 2.5, "fine": 0.5},
          "rows": [
            {"pans": 1, "litres": 5.5, "move_at_most": null, "dig_at_least": 3, "low": "move"}
          ]
        }
      ],
      "new_spot": {…},    a spot of the first choice that nobody has tried; "spot" is null
      "new_spots": [{…}], the same for every planned site, in order
      "leave": {"site": 7, "rate_ug_per_h": 180000, "words": "…"}
    }

How to look up: weigh the colours of the counted pans (Σ weight × count), add their litres, take
the last row with row.litres ≤ 1.1 × litres. At `dig_at_least` or more: dig. At `move_at_most` or
fewer: `low` ("move" to the second choice, or "home"). Between: keep panning. Before the first row
is reached: keep panning; before any pan: `first`. Beyond the last row the last one speaks. Pans
of overburden and pans without any count are left out, litres too; with a class not counted, the
count can say dig but never move. "none": no table, `first` is the advice. `leave.rate_ug_per_h`
may be null.
"""

import hashlib
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.utils.translation import gettext

from claims.models import Site, Spot
from claims.web import show
from reports.decide.creek import (
    Ground,
    SpotTable,
    Trigger,
    main_trigger,
    table_for,
    with_hours,
)
from reports.decide.creek_words import Verdict, count_words, trigger_words, verdict, weights_words
from reports.decide.equivalents import ClassWeights
from reports.selectors.creek import CreekFacts, OnTrip
from trips.calc.counts import CLASSES
from trips.calc.gold import Unknown
from trips.calc.words import remembered, several
from trips.selectors.trip_parts import price_words

TABLES_VERSION = 2  # raise when the same inputs would give other tables

table_of = remembered(512)(table_for)


@dataclass(frozen=True)
class SpotOnCard:
    """One printed table: a spot, or None for a new one, with what it says to its pans so far."""

    site: Site
    spot: Spot | None
    ground: Ground
    table: SpotTable
    verdict: Verdict
    second: str
    trigger: str

    @property
    def name(self) -> str:
        return self.ground.name


@dataclass(frozen=True)
class PlaceTables:
    """One planned site with its spots' tables, best belief first, and a new spot's.

    leave_site: what sends one to the next choice of the plan, in words; empty without one.
    """

    place: OnTrip
    spots: tuple[SpotOnCard, ...]
    new: SpotOnCard
    leave_site: str


@dataclass(frozen=True)
class Leave:
    """The season's leave rate in raw µg per hour of work; None with the reason in `words`."""

    site_id: int | None
    rate_ug_per_h: int | None
    words: str


@dataclass(frozen=True)
class TripTables:
    """Everything that page, card and phone share."""

    version: str
    made_for: str
    weights: ClassWeights
    weights_words: str
    places: tuple[PlaceTables, ...]
    leave: Leave


def trip_tables(facts: CreekFacts) -> TripTables:
    """Every table of a trip; no query."""
    places = tuple(_place(facts, place) for place in facts.places)
    leave = leave_rate(facts)
    price = gettext("no price") if isinstance(facts.price, Unknown) else price_words(facts.price)
    return TripTables(
        version=_version(facts, places, leave),
        made_for=f"{facts.trip}, {show.day(facts.trip.starts_on)}; {price}",
        weights=facts.setting.weights,
        weights_words=weights_words(facts.setting.weights),
        places=places,
        leave=leave,
    )


def _place(facts: CreekFacts, place: OnTrip) -> PlaceTables:
    cards = [_card(facts, place, spot) for spot in place.spots]
    cards.sort(key=lambda card: (-card.ground.shape / card.ground.rate, card.name))
    new = _card(facts, place, None)
    return PlaceTables(place, tuple(cards), new, _leave_site(facts, place))


def onward_triggers(facts: CreekFacts) -> dict[int, str]:
    """What sends one to each fallback, for the plan's own box; none where no count does."""
    found = {}
    for place, after in pairwise(facts.places):
        best, spot = _best_ground(facts, place)
        point = _onward_point(_onward_table(facts, place, best, spot))
        if point is not None:
            found[after.site.pk] = count_words(point, facts.setting.weights, _panned_at(best, spot))
    return found


def _best_ground(facts: CreekFacts, place: OnTrip) -> tuple[Ground, Spot | None]:
    """Where one would dig at a site: the most promising spot, or a new one."""
    spots: list[tuple[Ground, Spot | None]] = [(facts.ground(spot), spot) for spot in place.spots]
    spots.append((facts.new_ground(place.site), None))
    return max(spots, key=lambda each: each[0].shape / each[0].rate)


def _onward_table(facts: CreekFacts, place: OnTrip, ground: Ground, spot: Spot | None) -> SpotTable:
    setting = with_hours(facts.setting, facts.hours_left(spot))
    return table_of(ground, setting, (place.second,) if place.second else ())


def _onward_point(table: SpotTable) -> Trigger | None:
    """The trigger among the rows that send one on; late in the day they only send one home."""
    return main_trigger([row for row in table.rows if row.low == "move"])


def _panned_at(ground: Ground, spot: Spot | None) -> str:
    return ground.name if spot is not None else gettext("a new spot")


def _leave_site(facts: CreekFacts, place: OnTrip) -> str:
    """The plan's trigger: the same table at the best spot, with only the next site to go to."""
    if place.second is None:
        return ""
    best, spot = _best_ground(facts, place)
    table = _onward_table(facts, place, best, spot)
    where, second = _panned_at(best, spot), place.second.name
    if table.method == "none":
        return table.why.removesuffix(".")
    if point := _onward_point(table):
        said = trigger_words(point, second, facts.setting.weights, where)
        if table.first != "move":
            return said
        return gettext("{second} is believed to bring more from the start; {said}").format(
            second=second, said=said
        )
    if any(row.move_at_most is not None for row in table.rows):
        return gettext(
            "{second} isn't expected to bring anything after the move: poor pans send you home"
        ).format(second=second)
    said = gettext("no count of pans at {name} speaks for {name_2}").format(
        name=where, name_2=second
    )
    return gettext("{said}: dig there").format(said=said) if table.first == "dig" else said


def _card(facts: CreekFacts, place: OnTrip, spot: Spot | None) -> SpotOnCard:
    ground = facts.new_ground(place.site) if spot is None else facts.ground(spot)
    setting = with_hours(facts.setting, facts.hours_left(spot))
    table = table_of(ground, setting, facts.choices(place, spot))
    pans, overburden = facts.counts_at(spot)
    point = main_trigger(table.rows)
    second = table.fallback.name if table.fallback else ""
    moves = point is not None and table.rows[point.pans - 1].low == "move"
    return SpotOnCard(
        site=place.site,
        spot=spot,
        ground=ground,
        table=table,
        verdict=verdict(table, pans, setting.weights, overburden),
        second=second,
        trigger=trigger_words(point, second if moves else "", setting.weights) if point else "",
    )


def leave_rate(facts: CreekFacts) -> Leave:
    """What an hour of work has brought over the season: below it, a hole costs more than it gives.

    Marginal value: one number for all spots, all gold over all hours of work with testing and
    stripping in it, because those are the way to the next hole.
    """
    site = facts.places[0].site if facts.places else None
    where = site.pk if site else None
    season = facts.season
    if not season.work_minutes:
        return Leave(
            where,
            None,
            gettext(
                "No wrapped-up trip with gold weighed and hours noted yet: no leave rate is known."
            ),
        )
    rate = round(season.mass_ug * 60 / season.work_minutes)
    trips = several("{n} trip", "{n} trips", season.trips)
    return Leave(
        where,
        rate,
        gettext(
            "Leave a hole when a clean-up brings less than {value:.0f} mg an hour: "
            "what an hour of work brought on average over {trips} of yours."
        ).format(value=rate / 1000, trips=trips),
    )


def _version(facts: CreekFacts, places: tuple[PlaceTables, ...], leave: Leave) -> str:
    """A hash of every input: belief, money, gear, hours, names and the sums' own version."""
    rows: list[object] = [TABLES_VERSION, facts.trip.pk, str(facts.trip), facts.setting]
    for each in places:
        rows.append((each.place.site.pk, each.place.site.name, each.place.second))
        rows += [
            (str(card.spot.uuid) if card.spot else "", card.ground, card.second, card.table.hours)
            for card in (*each.spots, each.new)
        ]
    rows.append(leave)
    return hashlib.sha256(repr(rows).encode()).hexdigest()[:16]


def payload(tables: TripTables) -> dict[str, Any]:
    """The file for the phone, in the shape that the head of this module describes."""
    new = [_plain(place.new, tables.weights) for place in tables.places]
    return {
        "version": tables.version,
        "made_for": tables.made_for,
        "spots": [_plain(card, tables.weights) for place in tables.places for card in place.spots],
        "new_spot": new[0] if new else None,
        "new_spots": new,
        "leave": {
            "site": tables.leave.site_id,
            "rate_ug_per_h": tables.leave.rate_ug_per_h,
            "words": tables.leave.words,
        },
    }


def _plain(card: SpotOnCard, weights: ClassWeights) -> dict[str, Any]:
    return {
        "spot": str(card.spot.uuid) if card.spot else None,
        "name": card.name,
        "site": card.site.pk,
        "method": card.table.method,
        "words": " ".join([card.table.why, *card.table.notes]),
        "first": card.table.first,
        "second": card.second,
        "trigger": card.trigger,
        "coarse_weight": {name: weights.of(name) for name in CLASSES},
        "rows": [
            {
                "pans": row.pans,
                "litres": round(row.litres, 3),
                "move_at_most": row.move_at_most,
                "dig_at_least": row.dig_at_least,
                "low": row.low,
            }
            for row in card.table.rows
        ],
    }
