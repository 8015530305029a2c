"""Save past trips from a spreadsheet: everything that is good, once, in one transaction."""

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from claims.models import Party, Person, Site, Spot
from claims.services import changes
from claims.services.jobs import Tell, no_tell
from trips.calc.shares import split_evenly
from trips.calc.sheet_file import SheetLine
from trips.calc.sheet_rows import PastTrip, Reading, RefusedLine, read_lines
from trips.calc.words import say
from trips.models import Cost, HoursBlock, ImportBatch, Run, Trip, TripPerson, TripSite, WeighIn
from trips.services import derive

SPOT_NOT_NOTED = "Spot not noted"
# The scale's step is the coarsest of these that the weight is a whole number of; 10 mg first.
STEPS_UG = (10_000, 1_000, 100, 10, 1)
CHUNK = 250
NAMESPACE = uuid.uuid5(uuid.NAMESPACE_URL, "urn:gravel-ledger:imported-trip")


@dataclass(frozen=True)
class Ground:
    """Sites and people of the party by their names in lower case."""

    sites: dict[str, Site]
    people: dict[str, Person]


@dataclass(frozen=True)
class Plan:
    """What saving would do with each line."""

    new: tuple[tuple[uuid.UUID, PastTrip], ...]
    already: tuple[PastTrip, ...]
    refused: tuple[RefusedLine, ...]
    new_sites: tuple[str, ...]
    new_people: tuple[str, ...]


def plan_import(
    *, party: Party, rows: Sequence[PastTrip], make_sites: bool, make_people: bool
) -> Plan:
    """Tell new lines from those that are there already, and names from unknown ones.

    A line's id comes from its facts and from how often they stood in the file before, so that
    sending a file twice saves nothing twice.
    """
    ground = _ground(party)
    seen: Counter[str] = Counter()
    named, refused = [], []
    for row in rows:
        facts = row.canonical()
        seen[facts] += 1
        trip_id = uuid.uuid5(NAMESPACE, f"{party.pk}|{facts}|{seen[facts]}")
        reason = _unknown_name(row, ground, make_sites, make_people)
        if reason:
            refused.append(RefusedLine(row.line, *reason))
        else:
            named.append((trip_id, row))
    stored = set(
        Trip.objects.filter(party=party, uuid__in=[trip_id for trip_id, _ in named]).values_list(
            "uuid", flat=True
        )
    )
    new = tuple((trip_id, row) for trip_id, row in named if trip_id not in stored)
    # The first spelling of a name in the file is the one that is kept.
    sites = {row.site.casefold(): row.site for _, row in reversed(new)}
    people = {name.casefold(): name for _, row in reversed(new) for name in reversed(row.people)}
    return Plan(
        new=new,
        already=tuple(row for trip_id, row in named if trip_id in stored),
        refused=tuple(refused),
        new_sites=tuple(name for key, name in sites.items() if key not in ground.sites),
        new_people=tuple(name for key, name in people.items() if key not in ground.people),
    )


def plan_of(batch: ImportBatch, *, party: Party, today: dt.date) -> tuple[Plan, list[RefusedLine]]:
    """What saving a batch would do now, and every refused line in the order of the file."""
    choices = batch.choices
    order = choices.get("day_order", "")
    reading = Reading(
        today=today,
        currency=party.currency,
        mass_unit=choices.get("mass_unit", "g"),
        volume_unit=choices.get("volume_unit", "L"),
        distance_unit=choices.get("distance_unit", "km"),
        day_first={"day": True, "month": False}.get(order),
    )
    lines = [SheetLine(number, tuple(cells), problem) for number, cells, problem in batch.lines]
    rows, refused = read_lines(lines, batch.headers, choices["columns"], reading)
    plan = plan_import(
        party=party,
        rows=rows,
        make_sites=choices.get("make_sites", False),
        make_people=choices.get("make_people", False),
    )
    return plan, sorted([*refused, *plan.refused], key=lambda line: line.line)


@transaction.atomic
def save_batch(batch: ImportBatch, *, party: Party, today: dt.date, tell: Tell = no_tell) -> int:
    """Save the good lines of a batch and keep with it what became of each; trips saved in all.

    Sent twice, or begun once more after a stop, nothing is saved twice: one import of a party at
    a time, and a line's trip is known by its facts.
    Raises: ValidationError if a name doesn't pass the model; nothing is saved then.
    """
    Party.objects.select_for_update().get(pk=party.pk)
    plan, refused = plan_of(batch, party=party, today=today)
    saved = save_import(party=party, plan=plan, tell=tell)
    if plan.new or not batch.result:
        batch.result = {
            "saved": saved,
            "already": len(plan.already),
            "refused": [[line.line, line.column, line.reason] for line in refused],
        }
        batch.save(update_fields=["result"])
    return batch.result["saved"]


@transaction.atomic
def save_import(*, party: Party, plan: Plan, tell: Tell = no_tell) -> int:
    """Save the new lines of a plan; the number of trips saved.

    Raises: ValidationError if a name doesn't pass the model; nothing is saved then.
    """
    if not plan.new:
        return 0
    ground = _ground(party)
    tell(say("Saving trips"), 0, len(plan.new))
    for name in plan.new_sites:
        site = Site(party=party, name=name, notes="Named by an imported line.")
        _checked(site)
        site.save()
        ground.sites[name.casefold()] = site
    for name in plan.new_people:
        person = Person(party=party, name=name)
        _checked(person)
        person.save()
        ground.people[name.casefold()] = person
    trips = [_trip(party, trip_id, row) for trip_id, row in plan.new]
    pairs = list(zip(trips, (row for _, row in plan.new), strict=True))
    for start in range(0, len(pairs), CHUNK):
        chunk = pairs[start : start + CHUNK]
        changes.create_many(Trip, [trip for trip, _ in chunk], party=party)
        _save_parts(party, ground, chunk)
        tell(say("Saving trips"), start + len(chunk), len(pairs))
    tell(say("Working out what they cost and gave"))
    derive.rebuild_trips(party, [trip.pk for trip in trips])
    return len(trips)


def _ground(party: Party) -> Ground:
    return Ground(
        {site.name.casefold(): site for site in party.sites.all()},
        {person.name.casefold(): person for person in party.people.all()},
    )


def _unknown_name(
    row: PastTrip, ground: Ground, make_sites: bool, make_people: bool
) -> tuple[str, str] | None:
    if not make_sites and row.site.casefold() not in ground.sites:
        return "site", say("“{site}” is no site of this record", site=row.site)
    strangers = [name for name in row.people if name.casefold() not in ground.people]
    if strangers and not make_people:
        return "people", say("“{strangers}” is nobody of this record", strangers=strangers[0])
    return None


def _checked(record) -> None:
    try:
        record.full_clean()
    except ValidationError as error:
        raise ValidationError(f"“{record}”: {' '.join(error.messages)}") from error


def _trip(party: Party, trip_id: uuid.UUID, row: PastTrip) -> Trip:
    # A distance noted in one figure is taken as sealed road; the page says so.
    return Trip(
        party=party,
        uuid=trip_id,
        state=Trip.State.WRAPPED_UP,
        starts_on=row.starts_on,
        ends_on=row.ends_on,
        driven_sealed_m=row.driven_m,
        story=row.note,
    )


def _save_parts(party: Party, ground: Ground, pairs: Sequence[tuple[Trip, PastTrip]]) -> None:
    spots = {(s.site_id, s.name.casefold()): s for s in Spot.objects.filter(site__party=party)}
    sites, people, hours, runs, costs = [], [], [], [], []
    for trip, row in pairs:
        site = ground.sites[row.site.casefold()]
        sites.append(TripSite(trip=trip, site=site, rank=0, was_visited=True))
        names = dict.fromkeys(name.casefold() for name in row.people)
        people += [TripPerson(trip=trip, person=ground.people[name]) for name in names]
        hours += _hours(party, trip, site, row)
        costs += [
            Cost(party=party, trip=trip, kind=kind, amount_minor=minor, currency=party.currency)
            for kind, minor in row.costs_minor.items()
        ]
        if row.has_run:
            runs.append(_run(party, trip, _spot(spots, site, row.spot), row))
    changes.create_many(TripSite, sites, party=party)
    changes.create_many(TripPerson, people, party=party)
    changes.create_many(HoursBlock, hours, party=party)
    changes.create_many(Cost, costs, party=party)
    weigh_ins = [run.weigh_in for run in runs if run.weigh_in]
    changes.create_many(WeighIn, weigh_ins, party=party)
    changes.create_many(Run, runs, party=party)


def _spot(spots: dict[tuple[int, str], Spot], site: Site, name: str) -> Spot:
    key = (site.pk, (name or SPOT_NOT_NOTED).casefold())
    if key not in spots:
        spot = Spot(site=site, name=name or SPOT_NOT_NOTED)
        _checked(spot)
        spot.save()
        spots[key] = spot
    return spots[key]


def _hours(party: Party, trip: Trip, site: Site, row: PastTrip) -> list[HoursBlock]:
    """Hours of several days are shared evenly over them; hours at the creek count as digging."""
    days = (row.ends_on - row.starts_on).days + 1
    blocks = []
    for activity, minutes, where in (
        (HoursBlock.Activity.DRIVE, row.drive_minutes, None),
        (HoursBlock.Activity.DIG, row.work_minutes, site),
    ):
        for number, part in enumerate(split_evenly(minutes or 0, days)):
            if part:
                day = row.starts_on.fromordinal(row.starts_on.toordinal() + number)
                blocks.append(
                    HoursBlock(
                        party=party, trip=trip, site=where, day=day, activity=activity, minutes=part
                    )
                )
    return blocks


def _run(party: Party, trip: Trip, spot: Spot, row: PastTrip) -> Run:
    weigh_in = None
    if row.mass_ug is not None:
        step = next(step for step in STEPS_UG if row.mass_ug % step == 0)
        weigh_in = WeighIn(
            party=party,
            trip=trip,
            weighed_on=row.ends_on,
            gross_ug=row.mass_ug,
            resolution_ug=step,
            note="Net weight from an imported line.",
        )
    return Run(
        party=party,
        trip=trip,
        spot=spot,
        weigh_in=weigh_in,
        day=row.ends_on,
        volume_ml=row.volume_ml,
        coarse=row.coarse,
        medium=row.medium,
        fine=row.fine,
    )
