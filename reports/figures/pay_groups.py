"""The pay ladder by site, gear, method, month or year.

A trip to several sites, or through several boxes, is parted as everywhere: gold by its runs and
pans, costs and hours by time. What the next trip asks for is the mean of the past ones; what it
may bring comes from gold and litres, or, without litres, from the share of trips that reached it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from reports.decide.colour_mass import MeanColour
from reports.decide.next_trip import Fed, NextTrip, chance_by_share, next_trip, pooled_rate_per_l
from reports.figures.attribution import attribute
from reports.figures.facts import GearPart, PartyFacts, SitePart
from reports.figures.returns import Outing, Return, of_share, past_share, returns, whole_trips
from reports.figures.season import RungCount, outing_rungs
from reports.figures.value import ValuedTrip
from trips.calc import local
from trips.calc.gold import PricePoint, Unknown, minor_per_ug
from trips.calc.money import round_minor
from trips.calc.payladder import (
    LABELS,
    BreakEven,
    BreakEvenPrice,
    Rung,
    break_even_price_per_g,
    break_even_ug,
)
from trips.calc.words import Spoken, marked, say

GroupBy = Literal["site", "gear", "method", "month", "year"]
GROUP_WORDS = Spoken(
    {
        "site": marked("site"),
        "gear": marked("gear"),
        "method": marked("method"),
        "month": marked("month"),
        "year": marked("year"),
    }
)
PANS_ONLY = marked("pans only")
NOT_NOTED = marked("gear not noted")
GearNames = Mapping[int | None, tuple[str, str]]


@dataclass(frozen=True)
class Group:
    """A name with the trips, or parts of trips, that belong to it."""

    name: str
    outings: tuple[Outing, ...]


@dataclass(frozen=True)
class PayGroup:
    """One row of the ladder: sums, rungs reached, the next trip, and what would break even.

    `chances` run along the rungs, 0 to 1; `by_gold` says whether they rest on gold and litres.
    """

    name: str
    result: Return
    rungs: tuple[RungCount, ...]
    chances: tuple[float | None, ...]
    by_gold: NextTrip | None
    break_even: BreakEven
    break_even_price: BreakEvenPrice


@dataclass(frozen=True)
class Basis:
    """What all rows share: the party, today's price, the mean colour and its usual rate."""

    party: PartyFacts
    price: PricePoint | Unknown
    mean: MeanColour

    @property
    def payable(self) -> Decimal:
        """Share of the contained value that buyers pay."""
        return Decimal(self.party.payable_ppt) / 1000


def grouped(
    valued: Sequence[ValuedTrip],
    by: GroupBy,
    site_names: Sequence[tuple[int, str]],
    gear_names: GearNames,
) -> tuple[Group, ...]:
    """The trips by site, gear, kind of gear, calendar month or year; empty groups are left out.

    Args: gear_names: name and kind by the gear's number, for grouping by one of them.
    """
    if by == "site":
        found = _by_part(valued, dict(site_names))
    elif by in ("gear", "method"):
        place = 0 if by == "gear" else 1
        none = (say(NOT_NOTED),) * 2
        found = _by_gear(valued, lambda part: gear_names.get(part.gear_id, none)[place])
    else:
        found = {}
        for each in sorted(valued, key=lambda one: one.trip.ends_on):
            day = each.trip.ends_on
            name = f"{day.month:02d}" if by == "month" else str(day.year)
            found.setdefault(name, []).extend(whole_trips([each]))
        ordered = sorted(found.items())
        label: Callable[[str], str] = (
            (lambda name: local.month_name(int(name))) if by == "month" else (lambda name: name)
        )
        return tuple(Group(label(name), tuple(outings)) for name, outings in ordered)
    return tuple(Group(name, tuple(outings)) for name, outings in sorted(found.items()) if outings)


def _by_part(valued: Iterable[ValuedTrip], names: dict[int, str]) -> dict[str, list[Outing]]:
    found: dict[str, list[Outing]] = {}
    for each in valued:
        for share in each.shares:
            if share.site_id in names:
                found.setdefault(names[share.site_id], []).append(of_share(each, share))
    return found


def _by_gear(
    valued: Iterable[ValuedTrip], name_of: Callable[[GearPart], str]
) -> dict[str, list[Outing]]:
    found: dict[str, list[Outing]] = {}
    for each in valued:
        gear = each.trip.gear
        if not gear:
            found.setdefault(say(PANS_ONLY), []).extend(whole_trips([each]))
            continue
        merged = _merged(gear, name_of)
        timed = all(part.minutes is not None for part in merged.values())
        parts = tuple(
            SitePart(
                site_id=at,
                minutes=(part.minutes or 0) if timed else 0,
                mass_ug=part.mass_ug,
                unweighed=part.unweighed,
                washed_ml=part.washed_ml,
            )
            for at, part in enumerate(merged.values())
        )
        names = list(merged)
        trip = each.trip._replace(parts=parts)
        for share in attribute(trip, each.value_minor):
            found.setdefault(names[share.site_id], []).append(of_share(each, share))
    return found


def _merged(parts: Sequence[GearPart], name_of: Callable[[GearPart], str]) -> dict[str, GearPart]:
    """One part a name, over all sites of the trip."""
    found: dict[str, GearPart] = {}
    for part in parts:
        name = name_of(part)
        before = found.get(name)
        if before is None:
            found[name] = part
            continue
        found[name] = before._replace(
            minutes=_both(before.minutes, part.minutes),
            mass_ug=_either(before.mass_ug, part.mass_ug),
            unweighed=before.unweighed + part.unweighed,
            washed_ml=_both(before.washed_ml, part.washed_ml),
        )
    return found


def _both(one: int | None, other: int | None) -> int | None:
    return None if one is None or other is None else one + other


def _either(one: int | None, other: int | None) -> int | None:
    return (one or 0) + (other or 0) if one is not None or other is not None else None


def pay_groups(groups: Sequence[Group], basis: Basis) -> tuple[PayGroup, ...]:
    """Every group as a row of the ladder, in the order given."""
    everything = [fed for group in groups for fed in _fed(group.outings)]
    usual = pooled_rate_per_l(everything, basis.mean.mean_ug)
    labels = LABELS.items()
    return tuple(_pay_group(group, basis, usual, labels) for group in groups)


def _pay_group(
    group: Group, basis: Basis, usual_rate_per_l: float | None, labels: Sequence[tuple[str, str]]
) -> PayGroup:
    """One group as a row of the ladder.

    Args: labels: of the rungs, in the reader's words.
    """
    party = basis.party
    result = returns(group.outings, party.currency)
    by_trip = [outing_rungs(outing, party) for outing in group.outings]
    by_rung = [[rungs[at] for rungs in by_trip] for at in range(len(labels))]
    counts = tuple(
        _rung_count(key, label, same) for (key, label), same in zip(labels, by_rung, strict=True)
    )
    fed = _fed(group.outings)
    fineness, payable = _fineness(group.outings) or party.fineness, basis.payable
    per_ug = _paid_per_ug(basis.price, fineness, payable)
    asked = tuple(_asked_ug(same, per_ug) for same in by_rung)
    forecast = next_trip(fed, asked, basis.mean, usual_rate_per_l)
    chances = (
        forecast.chances
        if forecast is not None and any(chance is not None for chance in forecast.chances)
        else tuple(chance_by_share(each.share.reached, each.share.known) for each in counts)
    )
    known = [outing for outing in group.outings if outing.net_minor is not None]
    outlay = sum(outing.outlay_minor or 0 for outing in known)
    return PayGroup(
        name=group.name,
        result=result,
        rungs=counts,
        chances=chances,
        by_gold=forecast if chances == (forecast.chances if forecast else None) else None,
        break_even=break_even_ug(
            round_minor(Fraction(outlay, len(known))) if known else None,
            basis.price,
            fineness,
            payable,
        ),
        break_even_price=break_even_price_per_g(
            outlay if known else None,
            party.currency,
            sum(outing.fine_ug or 0 for outing in known) if known else None,
            1000,  # `fine_ug` is pure gold already
            payable,
        ),
    )


def _rung_count(key: str, label: str, same: Sequence[Rung]) -> RungCount:
    """One rung over all trips of a group; `same` is this rung of each of them."""
    thresholds = [rung.threshold_minor for rung in same if rung.threshold_minor is not None]
    return RungCount(
        key=key,
        label=label,
        share=past_share(rung.reached for rung in same),
        not_known=sum(rung.reached is None for rung in same),
        threshold_minor=sum(thresholds) if thresholds else None,
        reasons=tuple(dict.fromkeys(rung.reason for rung in same if rung.reached is None)),
    )


def _fed(outings: Iterable[Outing]) -> list[Fed]:
    """Trips whose gold and litres are both known."""
    return [
        Fed(outing.mass_ug, outing.washed_ml / 1000)
        for outing in outings
        if outing.mass_ug is not None and outing.washed_ml
    ]


def _fineness(outings: Iterable[Outing]) -> int | None:
    """Fineness of all the gold together, in ‰."""
    rows = [(each.mass_ug, each.fine_ug) for each in outings if each.mass_ug and each.fine_ug]
    mass = sum(mass for mass, _ in rows)
    return round(Fraction(1000 * sum(fine for _, fine in rows), mass)) if mass else None


def _paid_per_ug(price: PricePoint | Unknown, fineness: int, payable: Decimal) -> Fraction | None:
    """Minor units for a microgram of raw gold; None without a price, or if nothing is paid."""
    if isinstance(price, Unknown):
        return None
    per_ug = minor_per_ug(price, fineness, payable)
    return per_ug if per_ug > 0 else None


def _asked_ug(same: Sequence[Rung], per_ug: Fraction | None) -> float | None:
    """Raw gold that a rung asks for on a mean trip; None if no trip's threshold is known."""
    known = [rung.threshold_minor for rung in same if rung.threshold_minor is not None]
    if not known or per_ug is None:
        return None
    return float(Fraction(sum(known), len(known)) / per_ug)
