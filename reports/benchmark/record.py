"""An invented party with a record of a given size, the same for the same seed."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import connection, models, transaction

from claims.models import (
    Hole,
    Membership,
    Party,
    Spot,
    User,
)
from reports.benchmark.ground import AS_OF, Ground, Sizes
from trips.models import (
    Cost,
    GoldLot,
    HoursBlock,
    Price,
    Run,
    TestPan,
    Trip,
    TripPerson,
    TripSite,
    WeighIn,
)
from trips.services.derive import rebuild_party

NOON = dt.datetime(2021, 1, 1, 12, tzinfo=dt.UTC)
KINDS = (Cost.Kind.FUEL, Cost.Kind.FOOD, Cost.Kind.CAMP, Cost.Kind.CONSUMABLES, Cost.Kind.OTHER)
WORKED = (
    (HoursBlock.Activity.DRIVE, 130), (HoursBlock.Activity.WALK, 25),
    (HoursBlock.Activity.TEST, 70), (HoursBlock.Activity.DIG, 150),
    (HoursBlock.Activity.RUN, 110), (HoursBlock.Activity.CLEAN_UP, 35),
)  # fmt: skip


SINGLE = Sizes(sites=40, trips=500, pans=20_000, runs=3_000, costs=2_500)
MEMBER = Sizes(sites=40, trips=500, pans=2_000, runs=600, costs=1_000)


@dataclass(frozen=True)
class Built:
    """The party and the keeper who signs in for it."""

    party: Party
    user: User


@transaction.atomic
def build(name: str, sizes: Sizes, seed: int) -> Built:
    """Invent a party's record with the past of every row and everything derived."""
    return _Maker(name, sizes, seed).make()


class _Maker(Ground):
    def make(self) -> Built:
        user = User(username=f"keeper-of-{self.name}", password="!")
        user.save()
        self.party = Party.objects.create(
            name=self.name, fuel_price_milli_per_l=1800, hourly_figure_minor=1200
        )
        Membership.objects.create(party=self.party, user=user)
        self._people_and_kit()
        self._ground()
        self._papers()
        self._water()
        self._trips()
        self._records()
        self._holes()
        self._prices()
        for model in self.made:
            _remember(model, self.party)
        rebuild_party(self.party)
        return Built(self.party, user)

    def _trips(self) -> None:
        """The last two are under way and planned; the rest are over."""
        total, states = self.sizes.trips, Trip.State
        days = self.sizes.years * 365
        self.trips = self._keep(
            Trip,
            [
                self._new(
                    Trip, starts_on=day, ends_on=day, state=state, vehicle=self.car,
                    planned_work_minutes=360, created_at=NOON,
                )
                for n in range(total)
                for left in [total - n]
                for state in [
                    states.PLANNED if left == 1 and total > 2
                    else states.UNDER_WAY if left == 2 and total > 2
                    else states.WRAPPED_UP
                ]
                for day in [
                    AS_OF + dt.timedelta(2 if state == states.PLANNED else -days * left // total)
                    if state != states.UNDER_WAY else AS_OF
                ]
            ],
        )  # fmt: skip
        # Some places are liked better: the first sites see more trips than the last ones.
        self.place = {
            trip.pk: self.sites[
                n
                if n < len(self.sites)
                else min(int(self.dice.expovariate(4 / len(self.sites))), len(self.sites) - 1)
            ]
            for n, trip in enumerate(self.trips)
        }
        self._keep(TripSite, [row for trip in self.trips for row in self._plan(trip)])
        self._keep(
            TripPerson,
            [
                TripPerson(trip=trip, person=person)
                for trip in self.trips
                for person in self.people[:2]
            ],
        )

    def _plan(self, trip: Trip) -> Iterable[TripSite]:
        first = self.place[trip.pk]
        over = trip.state != Trip.State.PLANNED
        yield TripSite(trip=trip, site=first, rank=0, was_visited=True if over else None)
        other = self.sites[(self.sites.index(first) + 1) % len(self.sites)]
        yield TripSite(trip=trip, site=other, rank=1, trigger="Water too high", was_visited=False)

    def _gone(self) -> list[Trip]:
        return [trip for trip in self.trips if trip.state != Trip.State.PLANNED]

    def _spread(self, total: int) -> Iterable[tuple[int, Trip]]:
        """So many rows over all trips that went out; `number` counts within the trip."""
        gone = self._gone()
        for at in range(total):
            yield at // len(gone), gone[at % len(gone)]

    def _counts(self, spot: Spot, litres: float) -> dict[str, int]:
        mean = self.rates[spot.pk] * litres * self.dice.gammavariate(2, 0.5)
        found = int(mean + self.dice.random())
        return {"coarse": found // 20, "medium": found // 6, "fine": found - found // 6}

    def _records(self) -> None:
        dice, new, party = self.dice, self._new, self.party
        self._keep(
            HoursBlock,
            [
                new(
                    HoursBlock, trip=trip, day=trip.starts_on, activity=activity,
                    minutes=minutes + dice.randrange(-10, 30),
                    site=None if minutes in (130, 25) else self.place[trip.pk],
                )
                for trip in self._gone()
                for activity, minutes in WORKED
            ],
        )  # fmt: skip
        self._keep(
            Cost,
            [
                new(
                    Cost, trip=trip, kind=KINDS[number % len(KINDS)], currency=party.currency,
                    amount_minor=dice.randrange(300, 6_000), paid_by=self.people[number % 2],
                )
                for number, trip in self._spread(self.sizes.costs)
            ],
        )  # fmt: skip
        over = [trip for trip in self.trips if trip.state == Trip.State.WRAPPED_UP]
        weighed = self._keep(
            WeighIn,
            [
                new(
                    WeighIn, trip=trip, weighed_on=trip.ends_on + dt.timedelta(1),
                    tare_ug=2_000_000,
                    gross_ug=2_000_000 + 10_000 * dice.randrange(2, 90), resolution_ug=10_000,
                )
                for n, trip in enumerate(over)
                if n % 10
            ],
        )  # fmt: skip
        of_trip = {row.trip_id: row for row in weighed}
        self._keep(
            Run,
            [
                new(
                    Run, trip=trip, spot=spot, gear=self.gear[number % 6], day=trip.starts_on,
                    weigh_in=of_trip.get(trip.pk), sequence=number, layer="gravel", minutes=50,
                    volume_ml=litres * 1000, **self._counts(spot, litres / 3),
                )
                for number, trip in self._spread(self.sizes.runs)
                for spot in [dice.choice(self.spots[self.place[trip.pk].pk])]
                for litres in [dice.randrange(40, 200)]
            ],
        )  # fmt: skip
        self._keep(
            TestPan,
            [
                new(
                    TestPan, trip=trip, spot=spot, day=trip.starts_on, sequence=number,
                    layer="gravel" if number % 3 else "bedrock", volume_ml=6_000,
                    **self._counts(spot, 6),
                )
                for number, trip in self._spread(self.sizes.pans)
                for spot in [dice.choice(self.spots[self.place[trip.pk].pk])]
            ],
        )  # fmt: skip
        self._keep(
            GoldLot,
            [
                new(
                    GoldLot, weigh_in=row, name=f"Lot {n}", mass_ug=row.net_ug,
                    currency=party.currency,
                    **(
                        {
                            "state": "sold", "moved_on": row.weighed_on, "fee_minor": 100,
                            "proceeds_minor": 900 + row.net_ug // 200,
                        }
                        if n % 3 == 0
                        else {}
                    ),
                )
                for n, row in enumerate(weighed[::2])
            ],
        )  # fmt: skip

    def _holes(self) -> None:
        self._keep(
            Hole,
            [
                self._new(
                    Hole, site=site, spot=self.spots[site.pk][0], opened_on=trip.starts_on,
                    filled_on=None if n == 0 else trip.ends_on,
                    length_mm=1200, width_mm=800, depth_mm=600,
                )
                for n, trip in enumerate(reversed(self._gone()[::4]))
                for site in [self.place[trip.pk]]
            ],
        )  # fmt: skip

    def _prices(self) -> None:
        """One price a month."""
        months = [AS_OF.replace(day=1) - dt.timedelta(30 * n) for n in range(self.sizes.years * 12)]
        self._keep(
            Price,
            [
                Price(
                    party=self.party, day=day, currency=self.party.currency, source="Invented",
                    amount_micros=2_000_000_000 + 5_000_000 * self.dice.randrange(200),
                )
                for day in months
            ],
        )  # fmt: skip


def _remember(model: type[models.Model], party: Party) -> None:
    """The first state of every row that has no past yet, as a save would have kept it."""
    past = model.history.model
    names = {field.column for field in past._meta.concrete_fields}
    columns = [f.column for f in model._meta.concrete_fields if f.column in names]
    quote = connection.ops.quote_name
    listed = ", ".join(map(quote, columns))
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {quote(past._meta.db_table)} ({listed}, history_date, history_type, "
            f"called, record_party_id) SELECT {listed}, %s, '+', '', %s "
            f"FROM {quote(model._meta.db_table)} f WHERE NOT EXISTS (SELECT 1 FROM "
            f"{quote(past._meta.db_table)} p WHERE p.id = f.id)",
            [NOON, party.pk],
        )
