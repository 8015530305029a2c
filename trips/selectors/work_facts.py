"""What the cautions of a trip hang on, read from its plan: water, digging, engine, season, place.

Seasons are a rule of thumb by months from midsummer and latitude (common practice, no source);
they overlap on purpose, and a place without a position gets both.
"""

from collections.abc import Iterable, Sequence

from claims.cautions import WorkFacts
from claims.checklist import is_open
from claims.models import Hole, Person, Site, Spot
from reports.figures.words import listed
from trips.calc import local
from trips.calc.words import say
from trips.models import Gear, Trip

DRY = (Gear.Kind.DRY_WASHER, Gear.Kind.DETECTOR)
# Worked without a hole; whoever brings a shovel or a box digs.
NO_HOLE = (Gear.Kind.PAN, Gear.Kind.DETECTOR, Gear.Kind.SIEVE, Gear.Kind.SPIRAL_WHEEL)
TROPIC_UDEG = 23_440_000
FAR_UDEG = 60_000_000
MIDSUMMER = {"north": 7, "south": 1}
HOT_MONTHS, MILD_MONTHS = 2, 1  # months from midsummer: up to which hot, from beyond which cold


def work_facts(
    trip: Trip,
    places: Iterable[Site],
    people: tuple[Person, ...],
    gear: tuple[Gear, ...],
    holes: Iterable[Hole],
    tailings: Sequence[tuple[int, str]] | None = None,
) -> WorkFacts:
    """Facts for `claims.cautions`, with the words that say where each is from; one query.

    Args: tailings: what `tailings_at` found for at least these places: no query then.
    """
    places = list(places)
    at = {site.pk: site for site in places}
    here = [hole for hole in holes if hole.site_id in at and is_open(hole, trip.starts_on)]
    deepest = max((hole.depth_mm for hole in here if hole.depth_mm), default=None)
    tailings = tailings_at(at) if tailings is None else tailings
    old = list(dict.fromkeys(name for pk, name in tailings if pk in at))
    heat, cold = seasons(trip, places)
    engines = [piece.name for piece in gear if piece.power == Gear.Power.ENGINE]
    winches = [piece.name for piece in gear if piece.kind == Gear.Kind.WINCH]
    at_water, water_words = _water(places, gear)
    digs, digs_words = _digs(gear, len(here))
    words = {
        "has_engine": say("an engine comes along: {engines}", engines=", ".join(engines)),
        "has_winch": say("a winch comes along: {winches}", winches=", ".join(winches)),
        "is_alone": say("only {person} goes", person=people[0]) if len(people) == 1 else "",
        "deepest_mm": say(
            "an open hole there is {deepest:.2f} m deep", deepest=(deepest or 0) / 1000
        ),
        "near_old_workings": say("old tailings are noted at {old}", old=", ".join(old))
        if old
        else "",
        "heat": season_words(trip, places),
        "cold": season_words(trip, places),
        "at_water": water_words,
        "digs": digs_words,
    }
    return WorkFacts(
        has_engine=bool(engines) if gear else None,
        has_winch=bool(winches) if gear else None,
        is_alone=len(people) == 1 if people else None,
        deepest_mm=deepest,
        heat=heat,
        cold=cold,
        near_old_workings=True if old else None,
        at_water=at_water,
        digs=digs,
        words={name: said for name, said in words.items() if said and not said.endswith(": ")},
    )


def tailings_at(site_ids: Iterable[int]) -> list[tuple[int, str]]:
    """Id and name of those sites where old tailings are noted, by name; one query."""
    return list(
        Spot.objects.filter(site_id__in=list(site_ids), feature=Spot.Feature.TAILINGS)
        .order_by("site__name", "site_id")
        .values_list("site_id", "site__name")
        .distinct()
    )


def _water(places: list[Site], gear: tuple[Gear, ...]) -> tuple[bool | None, str]:
    """At water by a water's name or wet gear; away from it only with dry gear and no name."""
    names = [site.water_name for site in places if site.water_name]
    if names:
        return True, say("the plan goes to water: {names}", names=", ".join(dict.fromkeys(names)))
    wet = [piece.name for piece in gear if piece.kind not in (*DRY, Gear.Kind.HAND_TOOL)]
    if wet:
        return True, say("the gear needs water: {wet}", wet=", ".join(wet))
    dry = bool(gear) and any(piece.kind in DRY for piece in gear)
    return (False, "") if dry else (None, "")


def _digs(gear: tuple[Gear, ...], open_holes: int) -> tuple[bool | None, str]:
    if open_holes:
        return True, say("holes are open there")
    if not gear:
        return None, ""
    tools = [piece.name for piece in gear if piece.kind not in NO_HOLE]
    return (
        (True, say("gear to dig with comes along: {tools}", tools=", ".join(tools)))
        if tools
        else (False, "")
    )


def _months(trip: Trip) -> list[int]:
    """Months that the trip touches, at most twelve."""
    first, last = trip.starts_on, trip.ends_on
    count = min(11, (last.year - first.year) * 12 + last.month - first.month)
    return [(first.month - 1 + step) % 12 + 1 for step in range(count + 1)]


def seasons(trip: Trip, places: list[Site]) -> tuple[bool | None, bool | None]:
    """Whether it may be hot, and cold, on the trip; None where no place has a position."""
    heat: list[bool | None] = []
    cold: list[bool | None] = []
    for site in places:
        if site.latitude_udeg is None:
            heat.append(None)
            cold.append(None)
            continue
        for month in _months(trip):
            hot, chilly = _season(site.latitude_udeg, month)
            heat.append(hot)
            cold.append(chilly)
    return _any(heat), _any(cold)


def _season(latitude_udeg: int, month: int) -> tuple[bool, bool]:
    if abs(latitude_udeg) < TROPIC_UDEG:
        return True, False
    middle = MIDSUMMER["north" if latitude_udeg >= 0 else "south"]
    away = min((month - middle) % 12, (middle - month) % 12)
    return away <= HOT_MONTHS, away > MILD_MONTHS or abs(latitude_udeg) >= FAR_UDEG


def _any(values: list[bool | None]) -> bool | None:
    """Yes if any place says so; not known if any isn't; else no."""
    if True in values:
        return True
    return None if not values or None in values else False


def season_words(trip: Trip, places: list[Site]) -> str:
    """The months and where, e.g. "the trip is in May, at 47° north"."""
    months = listed(list(dict.fromkeys(local.month_name(month) for month in _months(trip))))
    known = [site.latitude_udeg for site in places if site.latitude_udeg is not None]
    where = dict.fromkeys(
        say("{degrees}° north", degrees=lat // 1_000_000)
        if lat >= 0
        else say("{degrees}° south", degrees=-lat // 1_000_000)
        for lat in known
    )
    if len(known) < len(places) or not places:
        where["a site without a position"] = None
    return say("the trip is in {months}, at {where}", months=months, where=listed(list(where)))
