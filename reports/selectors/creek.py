"""What the tables of one trip rest on, from the record: belief, colours, gear, price, hours, ways.

Belief is as of the day before the trip, so that its own pans aren't counted twice.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from claims.models import Party, Site, Spot
from claims.whole import Part, whole
from reports.decide.belief import Belief
from reports.decide.colour_mass import ColourMass
from reports.decide.creek import Fallback, Ground, Setting
from reports.decide.equivalents import class_weights
from reports.decide.gammas import GammaMix
from reports.decide.moving import Move, WayHome, move_between
from reports.selectors.belief import party_ground
from reports.selectors.pace import Fed, Pace, Season
from trips.calc.counts import ClassCounts
from trips.calc.gold import PricePoint, Unknown, minor_per_ug, price_on
from trips.calc.money import minor_per_main
from trips.calc.words import say, several
from trips.models import Gear, HoursBlock, TestPan, Trip
from trips.models.field import Layer
from trips.selectors.costing import access_leg
from trips.selectors.prices import price_points
from trips.selectors.trip_parts import payable_ratio

USUAL_PAN_L = 8.0  # where neither the party nor its gear says what a pan holds
USUAL_MIN_PER_L = 10 / USUAL_PAN_L  # ten minutes a pan (own judgement)
CARRY_HOURS = 0.5  # to another spot of the same site and set up there (own judgement)
LEAST_RUNS = 3  # before a box is believed to take what it took
LEAST_PANS = 5  # before the party's own pace is believed
Activity = HoursBlock.Activity
_PARTS = (Part("trip_sites", ("site",)), Part("gear"), Part("pans"), Part("hours"))
_RUNS = Part("runs", ("spot__site", "gear", "derived_share"))
ON_THE_GROUND = (Activity.STRIP, Activity.DIG, Activity.RUN, Activity.CLEAN_UP, Activity.FILL_IN)


@dataclass(frozen=True)
class OnTrip:
    """A planned site in order, its spots, and the next choice with the move there."""

    site: Site
    rank: int
    spots: tuple[Spot, ...]
    second: Fallback | None
    move: Move | None


@dataclass(frozen=True)
class Told:
    """One input of the tables in words, for the page: what it is, its value, from what."""

    label: str
    value: str
    source: str


@dataclass(frozen=True)
class CreekFacts:
    """Everything that the tables of a trip are worked out from."""

    trip: Trip
    setting: Setting
    places: tuple[OnTrip, ...]
    belief: Belief
    colours: ColourMass
    told: tuple[Told, ...]
    price: PricePoint | Unknown
    belief_day: dt.date
    noted_minutes: int
    pans: tuple[TestPan, ...]
    season: Season
    tried_hours: float | None = None

    def ground(self, spot: Spot) -> Ground:
        """Belief about a spot; one of an untested site is like any site's."""
        known = spot.pk in self.belief.spots
        mix = self.belief.spot(spot.pk) if known else self.belief.new_spot(spot.site_id)
        return Ground(spot.name, *mix.moment_gamma())

    def new_ground(self, site: Site) -> Ground:
        """Belief about a spot of the site that nobody has tried."""
        return Ground(say("A new spot"), *self.belief.new_spot(site.pk).moment_gamma())

    def choices(self, place: OnTrip, spot: Spot | None) -> tuple[Fallback, ...]:
        """Where else to go from a spot: the plan's next site, and the best other spot here."""
        others = [
            fallback_to(each.name, self.belief.spot(each.pk), CARRY_HOURS, is_here=True)
            for each in place.spots
            if each != spot and each.pk in self.belief.spots
        ]
        another = say("a new spot here") if spot is not None else say("another new spot here")
        new = self.belief.new_spot(place.site.pk)
        others.append(fallback_to(another, new, CARRY_HOURS, is_here=True))
        best = max(others, key=lambda each: each.mean_rate)
        return tuple(each for each in (place.second, best) if each is not None)

    def place_of(self, site: Site) -> OnTrip:
        """A planned site; one that wasn't planned has no second choice and no spots known here."""
        known = (place for place in self.places if place.site.pk == site.pk)
        return next(known, None) or OnTrip(site, len(self.places), (), None, None)

    def counts_at(self, spot: Spot | None) -> tuple[list[tuple[ClassCounts, float]], int]:
        """Counts and litres of the day's pans at a spot, and how many of overburden are left out.

        Belief leaves overburden out too: nobody feeds it to a box.
        """
        here = [pan for pan in self.pans if spot is not None and pan.spot_id == spot.pk]
        used = [pan for pan in here if pan.layer != Layer.OVERBURDEN]
        counts = [
            (ClassCounts(pan.coarse, pan.medium, pan.fine), pan.volume_ml / 1000) for pan in used
        ]
        return counts, len(here) - len(used)

    def hours_left(self, spot: Spot | None = None) -> float | None:
        """Planned hours less those noted and the pans washed elsewhere; None if not planned."""
        if self.tried_hours is not None:
            return self.tried_hours
        planned = self.trip.planned_work_minutes
        if planned is None:
            return None
        elsewhere = sum(p.volume_ml for p in self.pans if spot is None or p.spot_id != spot.pk)
        panned = elsewhere / 1000 * self.setting.minutes_per_litre
        return max(0.0, planned - self.noted_minutes - panned) / 60


def creek_facts(
    party: Party,
    trip: Trip,
    as_of: dt.date,
    *,
    sites: Sequence[Site] | None = None,
    gear: Iterable[Gear] | None = None,
    pans: Iterable[TestPan] | None = None,
    hours: Iterable[HoursBlock] | None = None,
    prices: Sequence[PricePoint] | None = None,
    with_runs: bool = False,
) -> CreekFacts:
    """Gather the inputs; what a page has loaded already is taken from it.

    Args: sites: of the plan, in order; without them the trip is fetched with all that is needed,
        and `with_runs` with its runs.
    """
    if sites is None:
        trip = whole(trip, *_PARTS, *((_RUNS,) if with_runs else ()))
        sites = [row.site for row in trip.trip_sites.all()]
    gear = list(trip.gear.all()) if gear is None else list(gear)
    pans = tuple(trip.pans.all() if pans is None else pans)
    hours = list(trip.hours.all() if hours is None else hours)
    belief_day = min(as_of, trip.starts_on - dt.timedelta(days=1))
    known = party_ground(party, belief_day)
    belief, colours = known.belief, known.colours
    points = price_points(party) if prices is None else prices
    price = price_on(points, as_of, party.currency)
    minutes_per_litre, pace = _pace(known.pace)
    litres_per_hour, feed = _feed(known.pace.fed, gear, minutes_per_litre)
    cost, cost_words = _running_cost(party, trip, gear)
    pan_litres, pan_words = _pan_litres(party, gear)
    by_hand = _by_hand(gear)
    setting = Setting(
        currency=party.currency,
        money_per_mg=_money_per_mg(party, price),
        litres_per_hour=litres_per_hour,
        cost_per_hour=cost,
        hours=None if trip.planned_work_minutes is None else trip.planned_work_minutes / 60,
        pan_litres=(pan_litres,),
        minutes_per_litre=minutes_per_litre,
        weights=class_weights([ug / 1000 for ug in colours.mean_ug], colours.mix),
        transfer=1.0 if by_hand else belief.box.mean,
        phi=belief.region.dispersion,
        has_prior=any(row.seen.pans or row.seen.runs for row in belief.spots.values()),
        usual_rate=belief.region.expected_mean,
    )
    return CreekFacts(
        trip=trip,
        setting=setting,
        places=_places(sites, _spots_at(sites), belief),
        belief=belief,
        colours=colours,
        told=_told(
            setting,
            colours,
            pan=pan_words,
            pace=pace,
            feed=feed,
            cost=cost_words,
            box=say("dug and washed by hand: as the pans") if by_hand else _box_words(belief),
        ),
        price=price,
        belief_day=belief_day,
        noted_minutes=_noted(hours),
        pans=pans,
        season=known.pace.season,
    )


def _spots_at(sites: Sequence[Site]) -> dict[int, list[Spot]]:
    """Spots by site, in the order of their names; one query."""
    spots: dict[int, list[Spot]] = {site.pk: [] for site in sites}
    for spot in (
        Spot.objects.filter(site__in=list(spots)).select_related("site").order_by("name", "pk")
    ):
        spots[spot.site_id].append(spot)
    return spots


def _told(
    setting: Setting, colours: ColourMass, *, pan: str, pace: str, feed: str, cost: str, box: str
) -> tuple[Told, ...]:
    """The inputs in words.

    Args: pan, pace, feed, cost, box: from what each of them is.
    """
    [pan_litres] = setting.pan_litres
    return (
        Told(say("A pan holds"), f"{pan_litres:g} L", pan),
        Told(
            say("A pan takes"),
            say("{pan_litres:.0f} min", pan_litres=pan_litres * setting.minutes_per_litre),
            pace,
        ),
        Told(say("Gravel an hour"), _or_unknown(setting.litres_per_hour, "{:.0f} L"), feed),
        Told(
            say("Running cost an hour"),
            _or_unknown(setting.cost_per_hour, f"{{:.2f}} {setting.currency}"),
            cost,
        ),
        Told(
            say("Mean colour"),
            say("{mean_ug:.2f} mg", mean_ug=colours.mean.mean_ug / 1000),
            colours.words,
        ),
        Told(say("Box against pans"), f"{setting.transfer:.2f}", box),
        Told(
            say("Scatter of pans"),
            f"{setting.phi:.2f}",
            say("1 is plain chance; pooled over all spots"),
        ),
    )


def _or_unknown(value: float | None, form: str) -> str:
    return say("unknown") if value is None else form.format(value)


def _box_words(belief: Belief) -> str:
    number = belief.box.spots
    return (
        several("learned at {n} spot", "learned at {n} spots", number)
        if number
        else say("starting value")
    )


def _money_per_mg(party: Party, price: PricePoint | Unknown) -> float | None:
    if isinstance(price, Unknown):
        return None
    per_ug = minor_per_ug(price, party.fineness, payable_ratio(party))
    return float(per_ug * 1000 / minor_per_main(party.currency))


def _boxes(gear: Sequence[Gear]) -> list[Gear]:
    return [piece for piece in gear if piece.feed_ml_per_h]


def _by_hand(gear: Sequence[Gear]) -> bool:
    """Only pans and hand tools go along."""
    return bool(gear) and not _boxes(gear) and all(piece.kind in BY_HAND for piece in gear)


def _feed(
    fed: Sequence[Fed], gear: Sequence[Gear], minutes_per_litre: float
) -> tuple[float | None, str]:
    """Litres an hour: the box that takes most, by its own runs if there are some; else panning by
    hand; else all past runs.
    """
    boxes = _boxes(gear)
    if boxes:
        best = max(boxes, key=lambda piece: (piece.feed_ml_per_h, -piece.pk))
        own = next((row for row in fed if row.gear_id == best.pk), None)
        if own and own.runs >= LEAST_RUNS:
            per_hour = own.volume_ml / 1000 / (own.minutes / 60)
            return per_hour, say("{name}, from {runs} runs of yours", name=best.name, runs=own.runs)
        return best.feed_ml_per_h / 1000, say("{name}, as its gear says", name=best.name)
    if _by_hand(gear):
        return 60 / minutes_per_litre, say("only pans and hand tools go along: panned by hand")
    minutes = sum(row.minutes for row in fed)
    if minutes:
        number = sum(row.runs for row in fed)
        litres = sum(row.volume_ml for row in fed) / 1000
        return litres / (minutes / 60), say("from {number} runs of yours", number=number)
    return None, say("neither the gear nor any run says")


BY_HAND = (Gear.Kind.PAN, Gear.Kind.HAND_TOOL, Gear.Kind.HAND_PUMP, Gear.Kind.DETECTOR)


def _running_cost(party: Party, trip: Trip, gear: Sequence[Gear]) -> tuple[float | None, str]:
    """Fuel of the engines an hour, in the main unit; wear isn't money that leaves a pocket."""
    engines = [piece for piece in gear if piece.power == Gear.Power.ENGINE]
    if not engines:
        return 0.0, say("no engine goes along")
    milli = trip.fuel_price_milli_per_l
    milli = party.fuel_price_milli_per_l if milli is None else milli
    if milli is None or any(piece.fuel_ml_per_h is None for piece in engines):
        return None, say("the engine's use or the fuel's price isn't noted")
    litres = Decimal(sum(piece.fuel_ml_per_h for piece in engines)) / 1000
    names = ", ".join(piece.name for piece in engines)
    return float(litres * milli / 1000), say("fuel of {names}", names=names)


def _pan_litres(party: Party, gear: Sequence[Gear]) -> tuple[float, str]:
    if party.pan_volume_ml:
        return party.pan_volume_ml / 1000, say("the party's usual pan")
    pans = [p for p in gear if p.kind == Gear.Kind.PAN and p.volume_ml]
    if pans:
        best = max(pans, key=lambda piece: (piece.volume_ml, -piece.pk))
        return best.volume_ml / 1000, say("{name}, as its gear says", name=best.name)
    return USUAL_PAN_L, say("not noted: 8 L are taken")


def _pace(pace: Pace) -> tuple[float, str]:
    """Minutes a litre of test pans: all test minutes over all litres of trips that have both."""
    if pace.pans < LEAST_PANS:
        return USUAL_MIN_PER_L, say("no pace of yours on record: ten minutes for 8 L are taken")
    return pace.pan_minutes / (pace.pan_ml / 1000), say("from {pans} pans of yours", pans=pace.pans)


def _noted(hours: Sequence[HoursBlock]) -> int:
    """Minutes by the clock that went into other work than pans."""
    spent: dict[int | None, int] = {}
    for block in hours:
        if block.activity in ON_THE_GROUND:
            spent[block.person_id] = spent.get(block.person_id, 0) + block.minutes
    return spent.get(None, 0) + max((m for p, m in spent.items() if p is not None), default=0)


def _places(
    sites: Sequence[Site], spots: dict[int, list[Spot]], belief: Belief
) -> tuple[OnTrip, ...]:
    found = []
    for rank, site in enumerate(sites):
        second = sites[rank + 1] if rank + 1 < len(sites) else None
        move = next_choice = None
        if second is not None:
            move = move_between(_way(site), _way(second), straight_m(site, second))
            next_choice = fallback_to(second.name, _mix_at(belief, second), move.hours)
        found.append(OnTrip(site, rank, tuple(spots[site.pk]), next_choice, move))
    return tuple(found)


def _mix_at(belief: Belief, site: Site) -> GammaMix:
    """Belief where one would dig: the best spot known, or a new one if that promises more."""
    best = belief.best_spot(site.pk)
    return belief.new_spot(site.pk) if best is None else belief.spot(best)


def fallback_to(name: str, mix: GammaMix, hours: float, is_here: bool = False) -> Fallback:
    """A place to go, with the belief about it."""
    return Fallback(name, mix.mean(), hours, is_here, mix.moment_gamma()[0])


def _way(site: Site) -> WayHome:
    leg = access_leg(site)
    return WayHome(site.drive_minutes, site.walk_minutes, sum(leg) if leg else None)


def straight_m(one: Site, other: Site) -> float | None:
    """Metres between two sites as the crow flies; None where a position isn't noted."""
    places = [(site.latitude_udeg, site.longitude_udeg) for site in (one, other)]
    if any(None in place for place in places):
        return None
    from geographiclib.geodesic import Geodesic

    (a, b), (c, d) = places
    return float(Geodesic.WGS84.Inverse(a / 1e6, b / 1e6, c / 1e6, d / 1e6)["s12"])
