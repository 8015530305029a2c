"""Every query behind the answers: what is kept with each trip's figures, and rows of one site.

The number of queries doesn't depend on how many trips, sites or pans there are.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from typing import Any, NamedTuple, get_args

from django.db.models import Q

from claims.models import Party
from reports.figures.facts import (
    OwnPriced,
    PanFacts,
    PartyFacts,
    RunFacts,
    SitePart,
    TripFacts,
)
from trips.calc.costs import CostKind, CostLine
from trips.calc.gold import fine_mass_ug
from trips.calc.words import Said, say
from trips.models import Gear, GoldLot, Run, TestPan, Trip
from trips.selectors.costing import cost_of, paper_trips, trips_for_costing
from trips.selectors.rates import car_rates
from trips.selectors.worked import around, worked

KIND_WORDS = dict(Gear.Kind.choices)


def party_facts(party: Party) -> PartyFacts:
    """What a valuation needs to know of the party; no query."""
    return PartyFacts(
        currency=party.currency,
        payable_ppt=party.payable_ppt,
        fineness=party.fineness,
        hourly_figure_minor=party.hourly_figure_minor,
    )


def _wrapped(party: Party, until: dt.date, prefix: str = "", year: int | None = None) -> Q:
    """Wrapped-up trips over by `until`, seen from a table that reaches trips by `prefix`.

    Args: year: only those that ended in it.
    """
    conditions = {"party": party, "state": Trip.State.WRAPPED_UP, "ends_on__lte": until}
    if year is not None:
        conditions["ends_on__year"] = year
    return Q(**{f"{prefix}{key}": value for key, value in conditions.items()})


def trip_years(party: Party, until: dt.date) -> tuple[int, ...]:
    """Calendar years in which such a trip ended, earliest first; one query."""
    years = Trip.objects.filter(_wrapped(party, until)).order_by("ends_on__year")
    return tuple(years.values_list("ends_on__year", flat=True).distinct())


class _Kept(NamedTuple):
    """What is read of a trip, then of the figures kept with it."""

    pk: int
    name: str
    starts_on: dt.date
    ends_on: dt.date
    mass_ug: int | None
    fine_ug: int | None
    door_minutes: int | None
    person_minutes: int | None
    washed_ml: int | None
    fuel_minor: int | None
    outlay_minor: int | None
    wear_minor: int | None
    sum_version: int | None
    currency: str | None
    unknown: list[str] | None
    worked: dict[str, Any] | None


OF_TRIP = 4  # so many of them are the trip's own


def trip_facts(party: Party, until: dt.date, year: int | None = None) -> tuple[TripFacts, ...]:
    """Every wrapped-up trip that was over on `until`, earliest first; two queries.

    Args: year: only trips that ended in this calendar year.
    """
    own_names, kept = _Kept._fields[:OF_TRIP], _Kept._fields[OF_TRIP:]
    rows = [
        _Kept._make(row)
        for row in Trip.objects.filter(_wrapped(party, until, year=year))
        .order_by("ends_on", "pk")
        .values_list(*own_names, *(f"derived_figures__{name}" for name in kept))
    ]
    worked_out = _worked_out(party, [row.pk for row in rows if row.worked is None])
    own = own_priced(party, _wrapped(party, until, "weigh_in__trip__", year))
    said = Said()
    return tuple(
        _trip_facts(row, row.worked or worked_out[row.pk], party, own.get(row.pk), said)
        for row in rows
    )


def _worked_out(party: Party, missing: Sequence[int]) -> dict[int, dict[str, Any]]:
    """Where the work was of trips whose figures were kept without it; no query for none."""
    if not missing:
        return {}
    trips = trips_for_costing(party, missing)
    its = around(trips)
    return {trip.pk: worked(trip, its) for trip in trips}


def _trip_facts(
    row: _Kept, at: dict[str, Any], party: Party, own: OwnPriced | None, said: Said
) -> TripFacts:
    in_currency = row.currency == party.currency
    return TripFacts(
        trip_id=row.pk,
        own_name=row.name,
        starts_on=row.starts_on,
        ends_on=row.ends_on,
        mass_ug=row.mass_ug,
        fine_ug=row.fine_ug,
        fuel_minor=row.fuel_minor if in_currency else None,
        outlay_minor=row.outlay_minor if in_currency else None,
        wear_minor=row.wear_minor if in_currency else None,
        door_minutes=row.door_minutes,
        person_minutes=row.person_minutes,
        washed_ml=row.washed_ml,
        unknown=_unknown(row, party, said),
        parts=tuple(map(SitePart._make, at["sites"])),
        own=own,
        gear_rows=at["gear"],
        activity_minutes=tuple(at["minutes"].items()),
    )


def _unknown(row: _Kept, party: Party, said: Said) -> tuple[str, ...]:
    """What isn't known of a trip's figures, in words."""
    if row.sum_version is None:
        return (say("The trip's figures have not been worked out yet."),)
    if row.currency != party.currency:
        return (
            say(
                "Its costs are in {row}, the record is in {currency}.",
                row=row.currency,
                currency=party.currency,
            ),
        )
    return tuple(said[reason] for reason in row.unknown or ())


def gear_names(party: Party) -> dict[int | None, tuple[str, str]]:
    """Name and kind in words of every piece of gear; one query."""
    rows = Gear.objects.filter(party=party).values_list("pk", "name", "kind")
    return {pk: (name, str(KIND_WORDS.get(kind, kind))) for pk, name, kind in rows}


def own_priced(party: Party, of_lots: Q) -> dict[int, OwnPriced]:
    """Trip → its gold that counts at a lot's own price; one query."""
    found: dict[int, list] = defaultdict(list)
    rows = GoldLot.objects.filter(of_lots, own_value_minor__isnull=False).order_by("pk")
    for trip_id, fineness, mass_ug, value_minor, currency in rows.values_list(
        *("weigh_in__trip_id", "weigh_in__fineness", "mass_ug", "own_value_minor", "currency")
    ):
        fine_ug = fine_mass_ug(mass_ug, fineness or party.fineness)
        found[trip_id].append((fine_ug, value_minor, currency))
    return {trip_id: _own(rows, party.currency) for trip_id, rows in found.items()}


def _own(rows: list, currency: str) -> OwnPriced:
    fine_ug = sum(fine for fine, _, _ in rows)
    other = next((code for _, _, code in rows if code != currency), None)
    if other is not None:
        reason = say(
            "A lot's own price is in {other}, the record is in {currency}.",
            other=other,
            currency=currency,
        )
        return OwnPriced(None, fine_ug, reason)
    return OwnPriced(sum(value for _, value, _ in rows), fine_ug)


def site_pans(site_id: int, until: dt.date) -> tuple[PanFacts, ...]:
    """Every test pan at a site; one query."""
    return _pans(TestPan.objects.filter(spot__site_id=site_id, day__lte=until))


def _pans(pans) -> tuple[PanFacts, ...]:
    rows = pans.order_by("day", "sequence", "pk").values_list(
        *("spot__site_id", "spot_id", "spot__name", "layer", "day"),
        *("volume_ml", "coarse", "medium", "fine", "trip_id"),
    )
    return tuple(PanFacts(*row) for row in rows)


def site_runs(site_id: int, until: dt.date) -> tuple[RunFacts, ...]:
    """Every run at a site with its worked-out share; one query."""
    rows = Run.objects.filter(spot__site_id=site_id, day__lte=until).order_by("day", "sequence")
    return tuple(
        RunFacts(*row)
        for row in rows.values_list(
            *("spot_id", "spot__name", "layer", "day", "volume_ml", "minutes"),
            *("derived_share__mass_ug", "trip_id"),
        )
    )


def kept_lines(
    party: Party, trips: Sequence[TripFacts], kinds: Collection[str] = get_args(CostKind)
) -> dict[int, tuple[CostLine, ...] | None]:
    """Trip → the lines of its cost, None where it was kept without them; one query.

    What a line rests on is left out.

    Args: trips: all of a stretch of days, earliest first; kinds: which lines are wanted.
    """
    if not trips:
        return {}
    said = Said()
    return {
        pk: _lines(lines, kinds, said) if lines is not None and currency == party.currency else None
        for pk, currency, lines in Trip.objects.filter(
            _wrapped(party, trips[-1].ends_on), ends_on__gte=trips[0].ends_on
        )
        .order_by()
        .values_list("pk", "derived_figures__currency", "derived_figures__cost_lines")
    }


def _lines(lines: list[dict[str, Any]], kinds: Collection[str], said: Said) -> tuple[CostLine, ...]:
    """Lines as they were kept, in English, with their names in the reader's words."""
    return tuple(
        CostLine(line["kind"], said[line["label"]], line["amount_minor"], "", line["estimated"])
        for line in lines
        if line["kind"] in kinds
    )


def cost_lines(
    party: Party,
    trips: Sequence[TripFacts],
    kept: Mapping[int, tuple[CostLine, ...] | None],
) -> tuple[CostLine, ...]:
    """The cost lines of all the trips.

    No query where all of them are `kept`; else they are worked out anew, of every kind, in a
    constant number of queries.
    """
    by_trip = [kept.get(trip.trip_id) for trip in trips]
    if None not in by_trip:
        return tuple(line for lines in by_trip for line in lines or ())
    under = paper_trips(party)
    found = trips_for_costing(party, [trip.trip_id for trip in trips])
    rates = car_rates(party, found)
    return tuple(line for trip in found for line in cost_of(trip, under, rates).lines)
