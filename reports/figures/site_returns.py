"""The report "Return per hour by site": the same rows for page, CSV, XLSX and PDF."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal

from reports.figures.report import Column, Report
from reports.figures.returns import Return, by_site, returns, whole_trips
from reports.figures.value import BASIS_WORDS, PriceBasis, ValuedTrip, price_words
from reports.figures.words import listed, trips_word
from trips.calc.gold import PricePoint, Unknown
from trips.calc.money import from_minor
from trips.calc.units import from_base, unit
from trips.calc.words import Spoken, marked, say

RANGE_WORDS = Spoken(
    {
        "none": marked("none"),
        "rough": marked("rough"),
        "bootstrap-t": marked("resampled"),
        "exact-equal": marked("none"),
    }
)
MOST_PRICES = 5  # more are summed up in one line
MASS_PLACES = {"g": 3, "dwt": 3, "grain": 1, "ozt": 5}
NUGGET = marked(
    "Every range here is too narrow in one respect: one big nugget not "
    "yet found is invisible to any resampling of past trips."
)


@dataclass(frozen=True)
class SiteName:
    """A site by its id and name."""

    site_id: int
    name: str


@dataclass(frozen=True)
class Asked:
    """What the report was asked for, and by whom."""

    party_name: str
    currency: str
    as_of: date
    season: str
    basis: PriceBasis
    mass_unit: str


def site_returns(
    sites: Sequence[SiteName],
    valued: Sequence[ValuedTrip],
    asked: Asked,
    price_today: PricePoint | Unknown,
) -> Report:
    """Net per door-to-door hour by site with its 80 % range, sums and evidence.

    Args: sites: in the order to show; valued: the trips of the season asked for.
    Returns: unknown figures as None; the notes name the trips that are not in the sums.
    """
    outings = by_site(valued)
    results = [(site, returns(outings.get(site.site_id, ()), asked.currency)) for site in sites]
    rows = tuple((site.name, *_cells(result, asked)) for site, result in results)
    whole = returns(whole_trips(valued), asked.currency)
    return Report(
        report_id="site-returns",
        title=say("Return per hour by site"),
        as_of=asked.as_of,
        party_name=asked.party_name,
        currency=asked.currency,
        filters=((say("Season"), asked.season), (say("Gold valued"), BASIS_WORDS[asked.basis])),
        columns=_columns(asked),
        rows=rows,
        totals=(say("All trips"), *_cells(whole, asked)) if rows else (),
        ranged=("low", "per_hour", "high"),
        notes=_notes(valued, whole, results),
        sources=_sources(valued, asked, price_today),
    )


def _columns(asked: Asked) -> tuple[Column, ...]:
    money, per_hour = asked.currency, f"{asked.currency}/h"
    return (
        Column("site", say("Site")),
        Column("trips", say("Trips"), align="right"),
        Column("known", say("Counted"), align="right"),
        Column("gold", say("Gold"), asked.mass_unit, "right"),
        Column("value", say("Value"), money, "right"),
        Column("outlay", say("Outlay"), money, "right"),
        Column("net", say("Net"), money, "right"),
        Column("hours", say("Hours"), "h", "right"),
        Column("per_hour", say("Net per hour"), per_hour, "right"),
        Column("low", say("80 % from"), per_hour, "right"),
        Column("high", say("80 % to"), per_hour, "right"),
        Column("range", say("Kind of range")),
        Column("fuel", say("Paid fuel"), align="right"),
        Column("fuel_known", say("Fuel told"), align="right"),
    )


def _cells(result: Return, asked: Asked) -> tuple[object, ...]:
    def money(minor: int | None) -> Decimal | None:
        return None if minor is None else from_minor(minor, asked.currency)

    mass = None
    if result.mass_ug is not None:
        mass = from_base(
            result.mass_ug, unit("mass", asked.mass_unit), MASS_PLACES[asked.mass_unit]
        )
    hours = (Decimal(result.minutes) / 60).quantize(Decimal("0.1"), ROUND_HALF_EVEN)
    return (
        result.trips,
        result.known,
        mass,
        money(result.value_minor),
        money(result.outlay_minor),
        money(result.net_minor),
        hours if result.minutes else None,
        money(result.per_hour_minor),
        money(result.low_minor),
        money(result.high_minor),
        RANGE_WORDS[result.method],
        result.fuel.reached,
        result.fuel.known,
    )


def _notes(
    valued: Sequence[ValuedTrip], whole: Return, results: Sequence[tuple[SiteName, Return]]
) -> tuple[str, ...]:
    notes = [
        say(
            "Net is value less outlay. Wear of car and gear and the party's "
            "own hours are not in it."
        ),
        say(
            "Net per hour is all net over all door-to-door hours, not a mean "
            "of the trips' own figures."
        ),
        say(
            "Counted are the trips whose net and hours are known. Hours are "
            "door to door, of whoever was out longest. Paid fuel, fuel told: "
            "how many trips paid their fuel, of how many where that can be "
            "told."
        ),
        say(
            "80 % ranges: none up to two trips or where all trips are alike; "
            "rough from three; resampled from eight."
        ),
        say(NUGGET),
    ]
    parted = [each.trip.name for each in valued if len(each.shares) > 1]
    if parted:
        notes.append(
            say(
                "{parted} to several sites ({parted_2}): gold follows the runs and "
                "pans, costs and hours the time on the ground; such a trip counts "
                "at each site.",
                parted=trips_word(len(parted)),
                parted_2=listed(parted),
            )
        )
    nowhere = [each.trip.name for each in valued if not each.shares]
    if nowhere:
        notes.append(
            say("Not placed at any site: {nowhere}. In the total only.", nowhere=listed(nowhere))
        )
    if whole.gaps:
        by_reason: dict[str, list[str]] = {}
        for gap in whole.gaps:
            by_reason.setdefault(gap.reason, []).append(gap.name)
        notes += [
            say("Not counted: {names}. {reason}", names=listed(names, len(names)), reason=reason)
            for reason, names in by_reason.items()
        ]
    everywhere = {gap.trip_id for gap in whole.gaps}
    notes += [
        say(
            "Not counted at {name}: {name_2}. {reason}",
            name=site.name,
            name_2=gap.name,
            reason=gap.reason,
        )
        for site, result in results
        for gap in result.gaps
        if gap.trip_id not in everywhere
    ]
    return tuple(notes)


def _sources(
    valued: Sequence[ValuedTrip], asked: Asked, price_today: PricePoint | Unknown
) -> tuple[str, ...]:
    if asked.basis == "today":
        return (say("Gold price: {price_today}", price_today=price_words(price_today)),)
    used = sorted({each.price for each in valued if each.price is not None}, key=lambda p: p.day)
    if len(used) <= MOST_PRICES:
        return tuple(say("Gold price: {point}", point=price_words(point)) for point in used)
    named = listed(tuple(dict.fromkeys(point.source for point in used)))
    return (
        say(
            "{used} gold prices, each the latest on or before the trip's last "
            "day; source: {named}. First: {used_2}. Last: {used_3}.",
            used=len(used),
            named=named,
            used_2=price_words(used[0]),
            used_3=price_words(used[-1]),
        ),
    )
