"""What would a day at each site bring, what moves it up or down, and what would change the order?

Money in the main unit where it is a forecast, in minor units where it is a cost from the record.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from statistics import median
from typing import Literal

from reports.decide.gammas import GammaMix
from reports.decide.ranking import Outing, Per, Ranked
from reports.decide.scouting import Turn, turn
from reports.figures.facts import TripFacts
from trips.calc.gold import PricePoint, Unknown
from trips.calc.money import minor_per_main
from trips.calc.words import say, several

LITRES_PER_HOUR = 60.0  # washed per hour at the creek, before any own run (own judgement)
CREEK_HOURS = 5.0  # at the creek, before any own hours (own judgement)
PRICE_YEARLY_LOG_SD = 0.16  # how far gold's price strays in a year (own judgement)
PAN_L = 6.0  # a test pan, where the party has not set its own (own judgement)
PANS = 10  # the observation that is weighed: so many pans at one site
LATEST = 12  # trips that say how long a usual day is
OWN_FROM = 2  # trips from which a site's own hours count, and what the usual stay is worth
MIN_CREEK = 0.5  # hours; a shorter stay is no day's work


@dataclass(frozen=True)
class Stay:
    """How a trip usually goes: days, hours at the creek in all, litres an hour, other outlay."""

    days: int
    creek_hours: float
    litres_per_hour: float
    other_minor: int
    wear_minor: int | None
    trips: int


@dataclass(frozen=True)
class Habits:
    """How the party's trips go, in general and by site; `words` say from what."""

    usual: Stay
    sites: Mapping[int, Stay]
    people: float
    words: tuple[str, ...]

    def at(self, site_id: int) -> Stay:
        """The stay at a site: its own trips over the party's usual one."""
        return self.sites.get(site_id, self.usual)


def habits(trips: Sequence[TripFacts], travel_minutes: Mapping[int, int]) -> Habits:
    """Litres per creek hour by ratio of sums, hours at the creek, other outlay and wear.

    A site's own trips count with the party's usual stay as two trips more; its own hours and days
    from two trips on. A trip belongs to the site where most of its time went.
    Args: travel_minutes: by site, drive and walk there and back; trips elsewhere say nothing of
        creek hours.
    """
    by_site: dict[int, list[TripFacts]] = {}
    for trip in trips:
        if trip.parts:
            main = max(trip.parts, key=lambda part: (part.minutes, -part.site_id)).site_id
            by_site.setdefault(main, []).append(trip)
    pairs = [
        (t.person_minutes, t.door_minutes) for t in trips if t.person_minutes and t.door_minutes
    ]
    known = [(trip, creek) for trip in trips if (creek := _creek_hours(trip, travel_minutes))]
    washed = [(trip.washed_ml / 1000, hours) for trip, hours in known if trip.washed_ml]
    hours = [hours for trip, hours in known if trip.starts_on == trip.ends_on][-LATEST:]
    other = [cost for trip in trips if (cost := _other(trip)) is not None]
    wear = [trip.wear_minor for trip in trips if trip.wear_minor is not None]
    usual = Stay(
        days=1,
        creek_hours=median(hours) if hours else CREEK_HOURS,
        litres_per_hour=sum(v for v, _ in washed) / sum(h for _, h in washed)
        if washed
        else LITRES_PER_HOUR,
        other_minor=round(sum(other) / len(other)) if other else 0,
        wear_minor=round(sum(wear) / len(wear)) if wear else None,
        trips=len(trips),
    )
    words: tuple[str, ...] = (
        say(
            "{litres_per_hour:.0f} L washed per hour at the creek",
            litres_per_hour=usual.litres_per_hour,
        )
        + (
            say(", from {washed} of yours", washed=_count(washed))
            if washed
            else say(": assumed, no trip has both yet")
        ),
        say("{creek_hours:.1f} h at the creek on a day trip", creek_hours=usual.creek_hours)
        + (
            say(", the middle of your last {hours}", hours=_count(hours))
            if hours
            else say(": assumed, no hours yet")
        ),
        say("other outlay as on {other} of yours", other=_count(other))
        if other
        else say("no other outlay than fuel: no trip of yours has its costs yet"),
    )
    if any(len(its) > 1 for its in by_site.values()):
        words += (say("a site that you have worked keeps its own days, hours, litres and outlay"),)
    return Habits(
        usual,
        {site: _stay(its, usual, travel_minutes) for site, its in by_site.items()},
        sum(p for p, _ in pairs) / sum(d for _, d in pairs) if pairs else 1.0,
        words,
    )


def _creek_hours(trip: TripFacts, travel_minutes: Mapping[int, int]) -> float | None:
    """Door-to-door time less the way; None where either isn't known or nothing is left."""
    ways = [travel_minutes[part.site_id] for part in trip.parts if part.site_id in travel_minutes]
    if not trip.door_minutes or not ways:
        return None
    hours = (trip.door_minutes - max(ways)) / 60
    return hours if hours >= MIN_CREEK else None


def _other(trip: TripFacts) -> int | None:
    if trip.outlay_minor is None or trip.fuel_minor is None:
        return None
    return trip.outlay_minor - trip.fuel_minor


def _stay(trips: Sequence[TripFacts], usual: Stay, travel_minutes: Mapping[int, int]) -> Stay:
    known = [(trip, hours) for trip in trips if (hours := _creek_hours(trip, travel_minutes))]
    own = len(known) >= OWN_FROM
    washed = [(trip.washed_ml / 1000, hours) for trip, hours in known if trip.washed_ml]
    borrowed = OWN_FROM * usual.creek_hours  # hours lent by the usual stay
    other = [cost for trip in trips if (cost := _other(trip)) is not None]
    wear = [trip.wear_minor for trip in trips if trip.wear_minor is not None]
    return Stay(
        days=round(median((trip.ends_on - trip.starts_on).days + 1 for trip, _ in known))
        if own
        else usual.days,
        creek_hours=median(hours for _, hours in known[-LATEST:]) if own else usual.creek_hours,
        litres_per_hour=(sum(v for v, _ in washed) + borrowed * usual.litres_per_hour)
        / (sum(h for _, h in washed) + borrowed),
        other_minor=round((sum(other) + OWN_FROM * usual.other_minor) / (len(other) + OWN_FROM)),
        wear_minor=None
        if usual.wear_minor is None
        else round((sum(wear) + OWN_FROM * usual.wear_minor) / (len(wear) + OWN_FROM)),
        trips=len(trips),
    )


def _count(rows: Sequence[object]) -> str:
    return several("{n} trip", "{n} trips", len(rows))


@dataclass(frozen=True)
class Gold:
    """What gold is worth to the party: raw gold per gram in the main unit, and one mean colour.

    `log_sd` is of price × mass of a colour × ψ together, which all sites share.
    """

    per_raw_g: float
    mean_mg: float
    colour_cv: float
    psi_mean: float
    log_sd: float
    currency: str

    @property
    def per_colour(self) -> float:
        """Money for one colour that the pans foretell, as the box will bring it."""
        return self.per_raw_g * self.mean_mg / 1000 * self.psi_mean


def common_log_sd(*, psi_log_sd: float, mean_cv: float, price_days: int) -> float:
    """Doubt about price, mass of a colour and ψ together, as a log-normal factor."""
    price = PRICE_YEARLY_LOG_SD * sqrt(max(0, price_days) / 365)
    return sqrt(psi_log_sd**2 + mean_cv**2 + price**2)


@dataclass(frozen=True)
class Place:
    """A site on a day. None is not known; `raw_rate` is its best spot's own colours per litre."""

    site_id: int
    name: str
    stopped: bool
    drive_minutes: int | None
    walk_minutes: int | None
    light_minutes: int | None
    fuel_minor: int | None
    fuel_reason: str
    rate: GammaMix
    raw_rate: float | None

    @property
    def travel_hours(self) -> float:
        """Door to creek and back; a walk that isn't noted counts as none, and the card says so."""
        return 2 * ((self.drive_minutes or 0) + (self.walk_minutes or 0)) / 60


Standing = Literal["ranked", "stopped", "unknown"]


@dataclass(frozen=True)
class Outlook:
    """A place with its day: the outing where it can be ranked, else why not."""

    place: Place
    stay: Stay
    outing: Outing | None
    creek_hours: float
    standing: Standing
    reason: str


def outlook(
    place: Place, habits: Habits, gold: Gold | Unknown, creek_hours: float | None = None
) -> Outlook:
    """The trip to a place as far as it can be worked out; a stop of the checklist comes first.

    Args: creek_hours: for a day trip of so many hours at the creek instead of the usual stay.
    """
    stay = habits.at(place.site_id)
    if creek_hours is not None:
        stay = replace(stay, days=1, creek_hours=creek_hours)
    hours = _lit(place, stay)
    if place.stopped:
        stopped = say("The checklist says do not go as planned on this day.")
        return Outlook(place, stay, None, hours, "stopped", stopped)
    reason = ""
    if isinstance(gold, Unknown):
        reason = gold.reason
    elif place.drive_minutes is None:
        reason = say("How long the drive takes is not noted, so there is no door-to-door time.")
    elif place.fuel_minor is None:
        reason = place.fuel_reason
    elif hours < MIN_CREEK:
        reason = say("There is not half an hour of daylight left for work there on this day.")
    if reason or isinstance(gold, Unknown):
        return Outlook(place, stay, None, hours, "unknown", reason)
    return Outlook(place, stay, _outing(place, stay, hours, gold), hours, "ranked", "")


def _lit(place: Place, stay: Stay) -> float:
    """Hours of the stay that daylight leaves, the walk in the light too."""
    if place.light_minutes is None:
        return stay.creek_hours
    lit = stay.days * place.light_minutes / 60 - 2 * (place.walk_minutes or 0) / 60
    return min(stay.creek_hours, max(0.0, lit))


def _outing(place: Place, stay: Stay, hours: float, gold: Gold) -> Outing:
    cost = ((place.fuel_minor or 0) + stay.other_minor) / minor_per_main(gold.currency)
    return Outing(
        place.site_id,
        place.rate,
        hours * stay.litres_per_hour * gold.per_colour,
        cost,
        place.travel_hours + hours,
    )


def net(outing: Outing, rate: float, per: Per) -> float:
    """Net of the outing at a rate in colours per litre: an hour door to door, or the trip."""
    return (outing.gain * rate - outing.cost) / (outing.hours if per == "hour" else 1.0)


@dataclass(frozen=True)
class Effect:
    """How much one thing moves a site against the middle of the others, in the main unit."""

    key: Literal["gravel", "drive", "stay", "light", "evidence", "price"]
    amount: float


def effects(
    outlooks: Sequence[Outlook],
    habits: Habits,
    gold: Gold | Unknown,
    per: Per,
    usual_price_ratio: float | None,
) -> dict[int, tuple[Effect, ...]]:
    """What moves each ranked site up or down, biggest first.

    Gravel and drive: against the median of the ranked sites. Stay: how one works there, against
    the party's usual trip. Light: against days without end. Evidence: against what its own samples
    alone would say. Price: against the middle price of the last year, `usual_price_ratio` times
    today's (None: not known).
    """
    ranked = [(each, each.outing) for each in outlooks if each.outing is not None]
    if not ranked or isinstance(gold, Unknown):
        return {}
    usual_rate = median(outing.rate.mean() for _, outing in ranked)
    usual_travel = median(each.place.travel_hours for each, _ in ranked)
    usual_fuel = median(each.place.fuel_minor or 0 for each, _ in ranked)
    found = {}
    for each, outing in ranked:
        rate = outing.rate.mean()
        now = net(outing, rate, per)
        usual = _outing(each.place, habits.usual, _lit(each.place, habits.usual), gold)
        unlit = _outing(each.place, each.stay, each.stay.creek_hours, gold)
        fuel = ((each.place.fuel_minor or 0) - usual_fuel) / minor_per_main(gold.currency)
        near = replace(outing, cost=outing.cost - fuel, hours=usual_travel + each.creek_hours)
        rows = [
            Effect("gravel", now - net(outing, usual_rate, per)),
            Effect("drive", now - net(near, rate, per)),
            Effect("stay", now - net(usual, rate, per)),
            Effect("light", now - net(unlit, rate, per)),
        ]
        if each.place.raw_rate is not None:
            rows.append(Effect("evidence", now - net(outing, each.place.raw_rate, per)))
        if usual_price_ratio is not None:
            rows.append(Effect("price", now - net(outing, rate * usual_price_ratio, per)))
        told = [row for row in rows if abs(row.amount) >= 0.005]
        found[outing.site_id] = tuple(sorted(told, key=lambda row: -abs(row.amount)))
    return found


@dataclass(frozen=True)
class Turning:
    """The observation that would most likely change who is first."""

    site_id: int
    other_id: int
    turn: Turn


def turning(
    outlooks: Sequence[Outlook],
    rows: Sequence[Ranked],
    per: Per,
    *,
    pan_l: float,
    dispersion: float,
) -> Turning | None:
    """Of ten pans at each ranked site, those that would most likely put another site first."""
    if len(rows) < 2:
        return None
    by_id = {each.outing.site_id: each.outing for each in outlooks if each.outing is not None}
    found = []
    for row in rows:
        outing, leads = by_id[row.site_id], row is rows[0]
        other = rows[1] if leads else rows[0]
        if outing.gain <= 0:
            continue
        worth = other.mean * (outing.hours if per == "hour" else 1.0) + outing.cost
        shape, rate = outing.rate.moment_gamma()
        found.append(
            Turning(
                row.site_id,
                other.site_id,
                turn(
                    shape,
                    rate,
                    litres=PANS * pan_l,
                    dispersion=dispersion,
                    line=worth / outing.gain,
                    leads=leads,
                ),
            )
        )
    return max(found, key=lambda each: each.turn.chance, default=None)


def first_at_price(outlooks: Iterable[Outlook], price_ratio: float, per: Per) -> int | None:
    """The site that would be first if gold cost `price_ratio` times as much."""
    nets = [
        (-net(each.outing, each.outing.rate.mean() * price_ratio, per), each.outing.site_id)
        for each in outlooks
        if each.outing is not None
    ]
    return min(nets)[1] if nets else None


def year_of_prices(points: Iterable[PricePoint], now: PricePoint, currency: str) -> list[float]:
    """Prices of the year up to the latest one, per gram of pure gold, the latest included."""
    return [
        float(point.price_per_g)
        for point in points
        if point.currency == currency and 0 <= (now.day - point.day).days <= 365
    ]
