"""What a plan and the party's record say to rules: gear, people, amounts so far, answers.

A handful of grouped queries for any number of sites; an amount is only fetched where a rule asks
for it.
"""

import datetime as dt
from collections.abc import Iterable, Sequence

from django.db.models import Count, Value

from claims.models import Hole, Party, Person, Site
from claims.rulebook import PlanFacts, RuleBook, Said, said_at
from claims.rulecheck import person_fact
from claims.rules.facts import AmountFact, Gear, PersonFact
from claims.rules.ground import hole_volume_ml
from claims.rules.windows import Sun
from claims.web.asof import zone
from trips.calc.daylight import daylight
from trips.calc.errors import OutOfRange
from trips.calc.words import say
from trips.models import Gear as GearRow
from trips.models import HoursBlock, Run, TestPan, Trip, WeighIn

UNCOUNTED = frozenset({"removed_mass", "camp_days"})
# A power of "none" says nothing for these: something has to drive them.
DRIVEN = ("pump", "generator", "dredge_suction")
PUMP_FED = ("sluice_pumped", "trommel")
MM_STEPS = {"nozzle": 1000, "hose": 1000, "intake": 1000, "length": 1000}


def trip_facts(
    trip: Trip,
    party: Party,
    *,
    sites: Iterable[Site],
    gear: Iterable[GearRow],
    people: Iterable[Person],
    holes: Iterable[Hole],
    book: RuleBook,
    as_of: dt.date,
    amounts: Sequence[AmountFact] | None = None,
) -> PlanFacts:
    """What is known of a planned trip; at most five queries.

    Args: amounts: of the record, at least those that rules at these sites ask for, where they
        are at hand already.
    """
    wanted = book.amounts_used(sites)
    if amounts is None:
        amounts = recorded_amounts(party, wanted, holes)
    gear, people = tuple(gear), tuple(people)
    return PlanFacts(
        as_of=as_of,
        gear=gear_facts(gear) if gear else None,
        people=people_facts(people, trip.starts_on.year) if people else None,
        amounts=tuple(line for line in amounts if line.amount in wanted),
        uncounted=UNCOUNTED,
        answers=answers_of(trip),
        sun=lambda site, day: sun_of(site, day, party),
    )


def idea_facts(
    party: Party,
    *,
    sites: Iterable[Site],
    holes: Iterable[Hole],
    book: RuleBook,
    as_of: dt.date,
) -> PlanFacts:
    """What is known before there is a plan: the record so far, nothing of gear or people."""
    return PlanFacts(
        as_of=as_of,
        amounts=recorded_amounts(party, book.amounts_used(sites), holes),
        uncounted=UNCOUNTED,
        sun=lambda site, day: sun_of(site, day, party),
    )


def gear_facts(gear: Iterable[GearRow]) -> tuple[Gear, ...]:
    """Gear as rules see it."""
    gear = tuple(gear)
    has_pump = any(piece.kind == GearRow.Kind.PUMP for piece in gear)
    return tuple(_gear(piece, has_pump) for piece in gear)


def _gear(piece: GearRow, has_pump: bool) -> Gear:
    power = None if piece.power == GearRow.Power.NONE else piece.power
    drives_itself = piece.kind not in DRIVEN and (piece.kind not in PUMP_FED or has_pump)
    if power is None and drives_itself:
        power = "none"
    numbers = {
        "nozzle": _scaled(piece.nozzle_mm, 1000),
        "hose": _scaled(piece.nozzle_mm, 1000),
        "intake": _scaled(piece.intake_mm, 1000),
        "length": _scaled(piece.length_mm, 1000),
        "riffle_area": _scaled(piece.riffle_area_cm2, 100),
        "throughput": piece.feed_ml_per_h,
        "engine_power": None
        if piece.hp_hundredths is None
        else round(piece.hp_hundredths * 7456.99872),
    }
    return Gear(
        name=piece.name,
        cls=_class(piece, power),
        power=power,
        numbers={name: base for name, base in numbers.items() if base is not None},
        steps=MM_STEPS,
    )


def _scaled(value: int | None, by: int) -> int | None:
    return None if value is None else value * by


def _class(piece: GearRow, power: str | None) -> str:
    if piece.kind == GearRow.Kind.DRY_WASHER:
        return {"battery": "dry_washer_battery", "engine": "dry_washer_engine"}.get(
            power or "", "dry_washer_hand"
        )
    if piece.kind == GearRow.Kind.WINCH:
        return "winch_hand" if power in (None, "none") else "winch_vehicle"
    return piece.kind


def people_facts(people: Iterable[Person], year: int) -> tuple[PersonFact, ...]:
    """People as rules see them in a year."""
    return tuple(person_fact(person, year) for person in people)


def answers_of(trip: Trip) -> dict[int, dict[str, Said]]:
    """Answers to a trip's checklist, by site and key; one query, none where they are prefetched."""
    found: dict[int, dict[str, Said]] = {}
    for row in trip.answers.all():
        said = Said(value=row.value, by=row.said_by, at=said_at(row.said_at), note=row.note)
        found.setdefault(row.site_id, {})[row.key] = said
    return found


def sun_of(site: Site, day: dt.date, party: Party) -> Sun:
    """Sunrise and sunset at a site in minutes after its midnight; empty without a position."""
    if site.latitude_udeg is None or site.longitude_udeg is None:
        return Sun()
    zone_name = site.time_zone or party.time_zone
    try:
        light = daylight(site.latitude_udeg / 1e6, site.longitude_udeg / 1e6, day, zone_name)
    except OutOfRange:
        return Sun()
    return Sun(_minute(light.sunrise, zone_name), _minute(light.sunset, zone_name))


def _minute(instant: dt.datetime | None, zone_name: str) -> int | None:
    if instant is None:
        return None
    face = instant.astimezone(zone(zone_name))
    return face.hour * 60 + face.minute


def recorded_amounts(
    party: Party, wanted: Iterable[str], holes: Iterable[Hole]
) -> tuple[AmountFact, ...]:
    """Lines of the record that count towards caps, as far as a rule asks for them."""
    wanted = set(wanted)
    lines: list[AmountFact] = []
    if wanted & {"moved_volume", "washed_volume"}:
        washed = _washed(party)
        lines += [line for line in washed if "washed_volume" in wanted]
        if "moved_volume" in wanted:
            lines += _moved(washed, holes)
    if "gold_mass" in wanted:
        lines += _gold(party)
    if "hours" in wanted:
        lines += _hours(party)
    return tuple(lines)


def _washed(party: Party) -> list[AmountFact]:
    """Runs, then pans, in the order in which they were noted; one query."""
    runs, pans = (
        model.objects.filter(party=party)
        .order_by()
        .annotate(who=Count("trip__people", distinct=True))
        .values_list(
            *(Value(at), "day", "pk", "who", "volume_ml"),
            *("spot__site__name", "spot__site__water_name"),
        )
        for at, model in enumerate((Run, TestPan))
    )
    words = (say("box run"), say("test pan"))
    return [
        AmountFact(
            amount="washed_volume",
            day=day,
            base=volume_ml,
            site=site,
            water=water,
            people=max(1, who),
            evidence=f"{site}, {words[at]}",
        )
        for at, day, _, who, volume_ml, site, water in sorted(
            runs.union(pans, all=True), key=lambda row: row[:3]
        )
    ]


def _moved(washed: list[AmountFact], holes: Iterable[Hole]) -> list[AmountFact]:
    """Ground moved on a day at a site: gravel washed or holes dug, whichever is more.

    What was washed came out of the holes, so that the two aren't added.
    """
    by_place: dict[tuple[dt.date, str], list[AmountFact]] = {}
    for line in washed:
        by_place.setdefault((line.day, line.site), []).append(line)
    dug: dict[tuple[dt.date, str], list[Hole]] = {}
    for hole in holes:
        dug.setdefault((hole.opened_on, hole.site.name), []).append(hole)
    made = []
    for key in by_place.keys() | dug.keys():
        lines, its_holes = by_place.get(key, []), dug.get(key, [])
        volumes = [hole_volume_ml(h.length_mm, h.width_mm, h.depth_mm) for h in its_holes]
        through = [line.base for line in lines if line.base is not None]
        known = [volume for volume in volumes if volume is not None]
        more_holes = sum(known) > sum(through)
        day, site = key
        people = max((line.people for line in lines), default=1)
        water = lines[0].water if lines else its_holes[0].site.water_name
        common = {"amount": "moved_volume", "day": day, "site": site, "water": water}
        words = say("holes dug") if more_holes else say("gravel washed")
        if through or known:
            made.append(
                AmountFact(
                    **common,
                    base=max(sum(known), sum(through)),
                    people=people,
                    evidence=f"{site}, {words}",
                )
            )
        if len(through) < len(lines) or len(known) < len(volumes):
            made.append(
                AmountFact(
                    **common,
                    base=None,
                    people=people,
                    evidence=say("{site}, a size isn't noted", site=site),
                )
            )
    return sorted(made, key=lambda line: (line.day, line.site))


def _gold(party: Party) -> list[AmountFact]:
    rows = WeighIn.objects.filter(trip__party=party).select_related("trip")
    rows = rows.annotate(who=Count("trip__people", distinct=True))
    return [
        AmountFact(
            amount="gold_mass",
            day=row.trip.ends_on,
            base=row.gross_ug - row.tare_ug,
            people=max(1, row.who),
            evidence=say("weigh-in of {trip}", trip=row.trip),
        )
        for row in rows
    ]


def _hours(party: Party) -> list[AmountFact]:
    work = ("test", "strip", "dig", "run", "clean_up", "fill_in")
    rows = HoursBlock.objects.filter(party=party, activity__in=work)
    return [
        AmountFact(
            amount="hours",
            day=row.day,
            base=row.minutes,
            site=row.site.name if row.site else "",
            water=row.site.water_name if row.site else "",
            evidence=f"{row.get_activity_display()}",
        )
        for row in rows.select_related("site")
    ]
