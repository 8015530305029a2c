"""What the page of one weigh-in shows: the fact, and what is worked out from it."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy

from claims.models import Party
from claims.web import show
from claims.web.basis import Basis, Input
from trips.calc.counts import CLASSES, ClassCounts, ClassMasses, estimate_mass
from trips.calc.digits import sensible
from trips.calc.gold import PricePoint, price_on, value_gold
from trips.calc.words import say
from trips.models import DerivedShare, GoldLot, WeighIn
from trips.selectors.gold import lots_of, shares_of
from trips.selectors.masses import class_masses
from trips.selectors.prices import price_points
from trips.tables.gold import price_words

METHODS = {
    "tilt": gettext_lazy(
        "by the mass expected from the colours; coarse gold, whose mass is "
        "least certain, takes up most of the gap to the scale"
    ),
    "proportional": gettext_lazy("in proportion to the mass expected from the colours"),
    "litres": gettext_lazy("by the litres washed, because colours could not carry the split"),
    "minutes": gettext_lazy(
        "by the minutes run, because neither colours nor litres could carry the split"
    ),
    "equal": gettext_lazy("evenly, because colours, litres and minutes are all missing"),
    "single": gettext_lazy("whole: only one run or pan is in it"),
    "nothing": gettext_lazy("nothing was weighed, so every share is zero"),
}
PER_UNIT = {"ozt": gettext_lazy("troy ounce"), "g": gettext_lazy("gram")}


@dataclass(frozen=True)
class ShareLine:
    """One run or pan of the split, in words; `steps` are whole steps of the scale."""

    what: str
    where: str
    colours: str
    estimated: str
    steps: int
    on_scale: str
    own_unit: str
    spread: str
    flag: str


@dataclass(frozen=True)
class ValueLine:
    """A value on a day; `amount` is None when unknown, `basis` then gives the reason."""

    label: str
    amount: str | None
    basis: str


@dataclass(frozen=True)
class WeighInPage:
    """Everything on the page. `own_unit_label` is empty for a person who reads grams."""

    weigh_in: WeighIn
    currency: str
    net: str
    gross: str
    tare: str
    step: str
    fineness: str
    shares: tuple[ShareLine, ...]
    total_steps: int
    total_on_scale: str
    total_own_unit: str
    own_unit_label: str
    has_flags: bool
    method: str
    estimate: str
    values: tuple[ValueLine, ...]
    lots: tuple[GoldLot, ...]
    left_ug: int
    bases: tuple[Basis, ...]


def scale_places(resolution_ug: int) -> int:
    """Decimals of a gram that write every step of the scale exactly: 2 for 0.01 g."""
    places = 6
    while places and resolution_ug % 10 == 0:
        resolution_ug //= 10
        places -= 1
    return places


def build(weigh_in: WeighIn, party: Party, units: dict[str, str], day: dt.date) -> WeighInPage:
    """Three queries: shares, lots, prices."""
    shares = shares_of(weigh_in)
    lots = lots_of(weigh_in)
    masses = class_masses(party)
    places = scale_places(weigh_in.resolution_ug)
    unit = units["mass"]

    def grams(mass_ug: int) -> str:
        return show.quantity("mass", mass_ug, "g", places)

    lines = tuple(_line(share, weigh_in, masses, unit, places) for share in shares)
    return WeighInPage(
        weigh_in=weigh_in,
        currency=party.currency,
        net=grams(weigh_in.net_ug),
        gross=grams(weigh_in.gross_ug),
        tare=grams(weigh_in.tare_ug),
        step=grams(weigh_in.resolution_ug),
        fineness=f"{weigh_in.fineness}\u202f‰"
        if weigh_in.fineness
        else gettext("{fineness}\u202f‰, the party's own figure").format(fineness=party.fineness),
        shares=lines,
        total_steps=sum(line.steps for line in lines),
        total_on_scale=grams(sum(share.mass_ug for share in shares)),
        total_own_unit=show.quantity("mass", weigh_in.net_ug, unit),
        own_unit_label="" if unit == "g" else unit,
        has_flags=any(line.flag for line in lines),
        method=METHODS.get(shares[0].method, shares[0].method) if shares else "",
        estimate=_estimate_words(shares, weigh_in.net_ug, masses),
        values=_values(weigh_in, party, price_points(party), day),
        lots=tuple(lots),
        left_ug=weigh_in.net_ug - sum(lot.mass_ug for lot in lots),
        bases=_bases(weigh_in, lines, shares, masses, grams),
    )


def _line(
    share: DerivedShare, weigh_in: WeighIn, masses: ClassMasses, unit: str, places: int
) -> ShareLine:
    record = share.run or share.pan
    word = gettext("Box run") if share.run else gettext("Test pan")
    expected = estimate_mass(_counts(record), masses)
    return ShareLine(
        what=f"{word} {record.sequence or ''}, {show.day(record.day)}".replace(" ,", ","),
        where=f"{record.spot}, {record.spot.site}",
        colours=show.counts(record.coarse, record.medium, record.fine),
        estimated=_mg(expected.mass_ug) if expected else say(show.UNKNOWN),
        steps=share.mass_ug // weigh_in.resolution_ug,
        on_scale=show.quantity("mass", share.mass_ug, "g", places),
        own_unit=show.quantity("mass", share.mass_ug, unit),
        spread=say(show.UNKNOWN) if share.sd_ug is None else f"±\u202f{_mg(share.sd_ug)}",
        flag=say(share.flag),
    )


def _bases(weigh_in, lines, shares, masses: ClassMasses, grams) -> tuple[Basis, ...]:
    """How the shares came about, with the runs and pans that they are of."""
    if not shares:
        return ()
    trip = reverse("trips:trip_detail", args=[weigh_in.trip_id])
    each = [masses.of(name) for name in CLASSES]
    weighed = gettext("{gross_ug} less {tare_ug}").format(
        gross_ug=grams(weigh_in.gross_ug), tare_ug=grams(weigh_in.tare_ug)
    )
    return (
        Basis(
            gettext("Shares of the weigh-in"),
            grams(weigh_in.net_ug),
            gettext(
                "Colours × mass promise a mass for each run; the promises are changed as little as "
                "possible until they make the weight, then whole steps of the scale are handed out."
            ),
            (
                Input(
                    gettext("Gross less tare"),
                    weighed,
                    gettext("in steps of {resolution_ug}").format(
                        resolution_ug=grams(weigh_in.resolution_ug)
                    ),
                ),
                Input(
                    gettext("A coarse, medium, fine colour"),
                    " · ".join(_mg(mass.mean_ug) for mass in each),
                    gettext("as the party set them"),
                    reverse("claims:party_detail"),
                ),
                *(
                    Input(
                        f"{line.what}, {line.where}",
                        gettext("{colours}: promised {estimated}, given {on_scale}").format(
                            colours=line.colours, estimated=line.estimated, on_scale=line.on_scale
                        ),
                        line.flag,
                        f"{trip}#{'run' if share.run_id else 'pan'}",
                    )
                    for line, share in zip(lines, shares, strict=True)
                ),
            ),
            "split",
        ),
    )


def _counts(record) -> ClassCounts:
    return ClassCounts(record.coarse, record.medium, record.fine)


def _mg(mass_ug: float) -> str:
    return show.quantity("mass", round(mass_ug), "mg", 1)


def _estimate_words(shares: Sequence[DerivedShare], net_ug: int, masses: ClassMasses) -> str:
    """How the colours' promise compares with the scale, in a sentence."""
    counts = [_counts(share.run or share.pan) for share in shares]
    if not counts:
        return ""
    by_class = {
        name: [n for each in counts if (n := getattr(each, name)) is not None] for name in CLASSES
    }
    together = ClassCounts(**{name: sum(n) if n else None for name, n in by_class.items()})
    expected = estimate_mass(together, masses)
    if expected is None:
        return gettext("What the colours promised is unknown: none were counted.")
    words = gettext(
        "The counted colours promised {mass_ug} (±\u202f{sd_ug}); the scale says {net_ug}"
    ).format(mass_ug=_mg(expected.mass_ug), sd_ug=_mg(expected.sd_ug), net_ug=_mg(net_ug))
    if expected.mass_ug > 0:
        words += gettext(", {sensible} times that").format(
            sensible=sensible(Decimal(net_ug) / Decimal(round(expected.mass_ug)), 2)
        )
    if any(each.missing for each in counts):
        words += gettext(". Some colours were not counted, so the promise is only a part")
    return f"{words}."


def _values(
    weigh_in: WeighIn, party: Party, points: Sequence[PricePoint], day: dt.date
) -> tuple[ValueLine, ...]:
    days = (
        (
            gettext("On the trip's day, {ends_on}").format(ends_on=show.day(weigh_in.trip.ends_on)),
            weigh_in.trip.ends_on,
        ),
        (gettext("On {day}").format(day=show.day(day)), day),
    )
    fineness = weigh_in.fineness or party.fineness
    payable = Decimal(party.payable_ppt) / 1000
    lines = []
    for label, each in days:
        value = value_gold(
            mass_ug=weigh_in.net_ug,
            fineness=fineness,
            price=price_on(points, each, party.currency),
            payable_ratio=payable,
        )
        if value.amount_minor is None or value.price is None:
            lines.append(ValueLine(label, None, value.reason))
            continue
        # Never an exponent, which `normalize` alone would write for 100.
        percent = f"{(payable * 100).normalize():f}"
        basis = gettext("{price}; {fineness}\u202f‰ fine; {percent}\u202f% of it paid").format(
            price=price_basis(value.price), fineness=fineness, percent=percent
        )
        lines.append(ValueLine(label, show.money(value.amount_minor, party.currency), basis))
    return tuple(lines)


def price_basis(price: PricePoint) -> str:
    """The price a value rests on, with its day and source."""
    return gettext("at {price_words}\u202f{currency} per {PER_UNIT} of {day} ({source})").format(
        price_words=price_words(int(price.amount * 1000000)),
        currency=price.currency,
        PER_UNIT=PER_UNIT[price.unit],
        day=show.day(price.day),
        source=price.source,
    )
