"""What does a trip cost: fuel, then all outlay, then the wear of things already bought?

Amounts are whole minor units of one currency, rounded once per line. A line without an amount is
unknown: it stays in the list with its reason and its layer counts as not fully known. Fuel bought
on receipts replaces the estimates of drive and engine fuel, so nothing is counted twice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

from trips.calc.errors import OutOfRange
from trips.calc.gold import Unknown
from trips.calc.kmrates import RatedDrive
from trips.calc.money import minor_per_main, round_minor
from trips.calc.wear import GearUse, gear_wear, vehicle_wear_minor
from trips.calc.words import say

CostKind = Literal["fuel", "consumables", "fee", "food", "camp", "gear_hire", "other", "wear"]
Layer = Literal["fuel", "outlay", "wear"]
LAYERS: tuple[Layer, ...] = ("fuel", "outlay", "wear")  # each rung of the ladder holds those before


@dataclass(frozen=True)
class Leg:
    """One stretch of the drive, there or back: metres, consumption on that road, towing extra.

    `ml_per_100km` None is "not known"; `towing_pct` is extra use in per cent, 0 without a trailer.
    """

    label: str
    distance_m: int
    ml_per_100km: int | None
    towing_pct: int = 0


@dataclass(frozen=True)
class PaidLine:
    """A cost that was entered; amount None is "not known yet"."""

    kind: CostKind
    label: str
    amount_minor: int | None
    currency: str
    basis: str = ""


class CostLine(NamedTuple):
    """One line of a trip's cost; `basis` says from what, `estimated` whether it was worked out."""

    kind: CostKind
    label: str
    amount_minor: int | None
    basis: str
    estimated: bool

    @property
    def layer(self) -> Layer:
        """The first rung of the pay ladder that holds this line."""
        return self.kind if self.kind in ("fuel", "wear") else "outlay"


class TripCost(NamedTuple):
    """A trip's cost in minor units: fuel, outlay (with the fuel), wear (without outlay).

    The figures hold the known lines only; `unknown` says in words what is not in them.
    """

    lines: tuple[CostLine, ...]
    fuel_minor: int
    outlay_minor: int
    wear_minor: int
    unknown: tuple[str, ...]
    currency: str

    def is_known(self, layer: Layer) -> bool:
        """Whether every line up to a layer has an amount (wear: all lines; outlay: with fuel)."""
        held = LAYERS[: LAYERS.index(layer) + 1]
        return not any(line.amount_minor is None and line.layer in held for line in self.lines)

    @property
    def known_wear_minor(self) -> int | None:
        """The wear by itself; None when one of its own lines has no amount."""
        known = all(line.amount_minor is not None for line in self.lines if line.layer == "wear")
        return self.wear_minor if known else None


def drive_fuel_ml(legs: Sequence[Leg]) -> Fraction | None:
    """Millilitres of fuel for the legs, exactly; None when a leg's consumption is not known.

    Raises: OutOfRange for a negative distance, consumption or towing extra.
    """
    total = Fraction(0)
    for leg in legs:
        if leg.distance_m < 0 or leg.towing_pct < 0 or (leg.ml_per_100km or 0) < 0:
            raise OutOfRange(
                f"{leg.label}: {leg.distance_m} m, {leg.ml_per_100km} ml per 100 km and "
                f"{leg.towing_pct} % for towing; zero or more was expected."
            )
        if leg.ml_per_100km is None and leg.distance_m:
            return None
        plain = Fraction(leg.distance_m, 100_000) * (leg.ml_per_100km or 0)
        total += plain * Fraction(100 + leg.towing_pct, 100)
    return total


def fuel_cost_minor(fuel_ml: Fraction | int, fuel_price_milli_per_l: int, currency: str) -> int:
    """Cost of fuel in minor units, rounded once; price in thousandths of the main unit per litre.

    Raises: OutOfRange for a negative volume or price; UnknownCurrency.
    """
    if fuel_ml < 0 or fuel_price_milli_per_l < 0:
        raise OutOfRange(
            f"{float(fuel_ml)} ml of fuel at {fuel_price_milli_per_l}: zero or more was expected."
        )
    main = Fraction(fuel_ml) / 1000 * Fraction(fuel_price_milli_per_l, 1000)
    return round_minor(main * minor_per_main(currency))


def trip_cost(
    *,
    currency: str,
    legs: Sequence[Leg] | None,
    engine_fuel_ml: int | None,
    fuel_price_milli_per_l: int | None,
    paid: Sequence[PaidLine],
    vehicle_wear_milli_per_km: int | None,
    gear: Sequence[GearUse] = (),
    rate: RatedDrive | Unknown | None = None,
) -> TripCost:
    """Cost of one trip in minor units, with every line and what is not known.

    Args: legs: None if the drive is not recorded, () for none; engine_fuel_ml: 0 for no engine,
        None if not known; paid: entered lines, a paper's share of its fee among them;
        vehicle_wear_milli_per_km: thousandths of the main unit, None if not known;
        rate: a published rate chosen instead of it, None for none. What such a rate holds of
        fuel is taken off, because the fuel is a line of its own.
    Returns: lines in another currency stay unknown, since no exchange rate is kept.
    Raises: OutOfRange for negative figures; UnknownCurrency.
    """
    entered = [_entered(line, currency) for line in paid]
    lines: list[tuple[CostLine, str]] = []
    if not any(line.kind == "fuel" for line, _ in entered):
        lines += _estimated_fuel(legs, engine_fuel_ml, fuel_price_milli_per_l, currency)
    lines += entered
    fuel = _fuel_of_drive(legs, [line for line, _ in entered], fuel_price_milli_per_l, currency)
    lines += _vehicle_wear(legs, vehicle_wear_milli_per_km, rate, fuel, currency)
    lines += _gear_wear(gear)
    by_layer = {"fuel": 0, "outlay": 0, "wear": 0}
    for line, _ in lines:
        by_layer[line.layer] += line.amount_minor or 0
    return TripCost(
        lines=tuple(line for line, _ in lines),
        fuel_minor=by_layer["fuel"],
        outlay_minor=by_layer["fuel"] + by_layer["outlay"],
        wear_minor=by_layer["wear"],
        unknown=tuple(reason for _, reason in lines if reason),
        currency=currency,
    )


def _entered(paid: PaidLine, currency: str) -> tuple[CostLine, str]:
    basis = paid.basis or say("as entered")
    if paid.kind == "fuel":
        basis = say("{basis}; replaces the estimate of drive and engine fuel", basis=basis)
    if paid.amount_minor is None:
        reason = say("{label}: the amount is not known.", label=paid.label)
    elif paid.currency != currency:
        reason = say(
            "{label}: paid in {currency}, this trip is in {ours}, and no exchange rate is kept.",
            label=paid.label,
            currency=paid.currency,
            ours=currency,
        )
    else:
        return CostLine(paid.kind, paid.label, paid.amount_minor, basis, False), ""
    return CostLine(paid.kind, paid.label, None, reason, False), reason


def _unknown_line(kind: CostKind, label: str, reason: str) -> tuple[CostLine, str]:
    return CostLine(kind, label, None, reason, True), reason


def _estimated_fuel(
    legs: Sequence[Leg] | None, engine_ml: int | None, price_milli: int | None, currency: str
) -> list[tuple[CostLine, str]]:
    """Lines for drive and engine fuel; none where there was no drive or no engine."""
    drive_ml = drive_fuel_ml(legs) if legs is not None else None
    reason_drive = say("The drive is not recorded.")
    if legs is not None:
        reason_drive = say("The consumption on one of the roads is not known.")
    burnt: list[tuple[str, Fraction | None, str]] = [
        (say("Fuel for the drive"), drive_ml, reason_drive),
        (
            say("Fuel for the engine"),
            None if engine_ml is None else Fraction(engine_ml),
            say("The fuel burnt by the engine is not recorded."),
        ),
    ]
    lines = []
    for label, fuel_ml, why in burnt:
        if fuel_ml is None:
            lines.append(_unknown_line("fuel", label, why))
        elif fuel_ml == 0:
            continue
        elif price_milli is None:
            lines.append(
                _unknown_line("fuel", label, say("{label}: no fuel price is known.", label=label))
            )
        else:
            amount = fuel_cost_minor(fuel_ml, price_milli, currency)
            at = say(
                "{currency} {price_milli:.3f} a litre",
                currency=currency,
                price_milli=price_milli / 1000,
            )
            basis = say("estimated: {fuel_ml:.1f} L at {at}", fuel_ml=float(fuel_ml) / 1000, at=at)
            lines.append((CostLine("fuel", label, amount, basis, True), ""))
    return lines


def _fuel_of_drive(
    legs: Sequence[Leg] | None,
    entered: Sequence[CostLine],
    price_milli: int | None,
    currency: str,
) -> int | None:
    """What of the fuel lines is the drive's, in minor units; None when it can't be known.

    Worked out where that is possible, but never more than was paid; else all that was paid.
    """
    receipts = [line.amount_minor for line in entered if line.kind == "fuel"]
    paid = None if None in receipts else sum(each or 0 for each in receipts)
    fuel_ml = drive_fuel_ml(legs) if legs is not None else None
    worked_out = None
    if fuel_ml is not None and (price_milli is not None or fuel_ml == 0):
        worked_out = fuel_cost_minor(fuel_ml, price_milli or 0, currency)
    if not receipts:
        return worked_out
    return paid if worked_out is None or paid is None else min(worked_out, paid)


def _vehicle_wear(
    legs: Sequence[Leg] | None,
    milli_per_km: int | None,
    rate: RatedDrive | Unknown | None,
    fuel_minor: int | None,
    currency: str,
) -> list[tuple[CostLine, str]]:
    """The line for the wear of the vehicle: by a published rate or by the party's own figure."""
    label = say("Wear of the vehicle")
    distance_m = sum(leg.distance_m for leg in legs) if legs is not None else None
    if distance_m is None:
        return [_unknown_line("wear", label, say("Vehicle wear: the drive is not recorded."))]
    if not distance_m:
        return []
    if isinstance(rate, RatedDrive):
        return [_by_rate(label, rate, fuel_minor, currency)]
    instead = say("{reason} Own figure instead: ", reason=rate.reason) if rate is not None else ""
    if milli_per_km is None:
        reason = rate.reason if rate is not None else say("Vehicle wear per km is not known.")
        return [_unknown_line("wear", label, reason)]
    amount = vehicle_wear_minor(distance_m, milli_per_km, currency)
    basis = say(
        "{instead}{distance_m:.1f} km at {currency} {milli_per_km:.3f} per km",
        instead=instead,
        distance_m=distance_m / 1000,
        currency=currency,
        milli_per_km=milli_per_km / 1000,
    )
    return [(CostLine("wear", label, amount, basis, True), "")]


def _by_rate(
    label: str, rate: RatedDrive, fuel_minor: int | None, currency: str
) -> tuple[CostLine, str]:
    """A published rate's charge, without the fuel that has lines of its own."""
    source = say(". Source: {source}", source=rate.source)
    if not rate.holds_fuel:
        basis = say("{basis}; it holds no fuel{source}", basis=rate.basis, source=source)
        return CostLine("wear", label, rate.amount_minor, basis, True), ""
    if fuel_minor is None:
        reason = say(
            "Vehicle wear: the published rate holds the fuel, and the drive's "
            "fuel, which would be taken off, is not known."
        )
        return _unknown_line("wear", label, reason)
    scale = minor_per_main(currency)
    charged, fuel = (f"{currency} {each / scale:.2f}" for each in (rate.amount_minor, fuel_minor))
    basis = say(
        "{basis}: {charged}, less {fuel} for the drive's fuel, which it holds{source}",
        basis=rate.basis,
        charged=charged,
        fuel=fuel,
        source=source,
    )
    return CostLine("wear", label, max(0, rate.amount_minor - fuel_minor), basis, True), ""


def _gear_wear(gear: Sequence[GearUse]) -> list[tuple[CostLine, str]]:
    """A line for the wear of each piece of gear."""
    lines = []
    for use in gear:
        worn = gear_wear(use)
        label = say("Wear of {label}", label=use.label)
        if isinstance(worn, Unknown):
            lines.append(_unknown_line("wear", label, worn.reason))
        else:
            lines.append((CostLine("wear", label, worn[0], worn[1], True), ""))
    return lines
