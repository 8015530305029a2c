"""Worked examples of money: value, cost, the pay ladder, and the mean that misleads."""

import datetime as dt
from decimal import Decimal as D
from statistics import fmean

from claims.web import show
from reports.help.choosing import HOURS, NETS
from reports.help.shape import CURRENCY, Example, sign
from trips.calc.costs import Leg, PaidLine, TripCost, trip_cost
from trips.calc.gold import PricePoint, fine_mass_ug, value_gold
from trips.calc.payladder import LABELS, break_even_ug, rungs
from trips.calc.returns import ratio_of_sums
from trips.calc.wear import GearUse
from trips.calc.words import say

PRICE = PricePoint(dt.date(2031, 5, 1), D("95"), "g", CURRENCY, "an invented price")
FINENESS, PAYABLE = 885, D("0.95")
MASS_UG = 640_000
MINUTES, HOURLY_MINOR = 8 * 60, 500


def _grams(mass_ug: int | None) -> str:
    return show.quantity("mass", mass_ug, "g", 3)


def _money(minor: int | None) -> str:
    return show.money(minor, CURRENCY)


def _cost() -> TripCost:
    return trip_cost(
        currency=CURRENCY,
        legs=[
            Leg(say("sealed road"), 120_000, 8_000),
            Leg(say("unsealed road"), 30_000, 10_500),
        ],
        engine_fuel_ml=1_200,
        fuel_price_milli_per_l=1_750,
        paid=[
            PaidLine("food", say("Food"), 1_150, CURRENCY),
            PaidLine("fee", say("Day permit"), 600, CURRENCY),
        ],
        vehicle_wear_milli_per_km=120,
        gear=[GearUse("pump", 42_000, 6_000, 300 * 60, 150)],
    )


def cost() -> tuple[Example, ...]:
    """One trip, line by line."""
    found = _cost()
    return (
        Example(
            say("A day trip with a small pump"),
            (
                say(
                    "120 km of sealed road at 8 L and 30 km of unsealed road at 10.5 L "
                    "per 100 km, there and back; 1.2 L for the pump; fuel at 1.75 a "
                    "litre."
                ),
                say(
                    "Food 11.50, a day permit 6.00. Car 0.12 a km. A pump of 420 that "
                    "fetches 60 after 300 hours ran two and a half."
                ),
            ),
            (say("Line"), say("From what"), say("Amount")),
            tuple((line.label, line.basis, _money(line.amount_minor)) for line in found.lines),
            (
                say(
                    "Fuel {fuel_minor}; outlay with it {outlay_minor}; wear on top "
                    "{wear_minor}, for which no money left a pocket that day.",
                    fuel_minor=_money(found.fuel_minor),
                    outlay_minor=_money(found.outlay_minor),
                    wear_minor=_money(found.wear_minor),
                ),
            ),
        ),
    )


def value() -> tuple[Example, ...]:
    """Gold to money, and money to gold."""
    worth = value_gold(mass_ug=MASS_UG, fineness=FINENESS, price=PRICE, payable_ratio=PAYABLE)
    outlay = _cost().outlay_minor
    even = break_even_ug(outlay, PRICE, FINENESS, PAYABLE)
    return (
        Example(
            say("What 0.64 g of creek gold is worth"),
            (
                say(
                    "Pure gold at {amount} {currency} a gram, 95 % of it paid.",
                    amount=PRICE.amount,
                    currency=CURRENCY,
                ),
            ),
            (say("Step"), say("Figure")),
            (
                (say("weighed"), _grams(MASS_UG)),
                (
                    say("pure gold in it, {fineness} ‰", fineness=FINENESS),
                    _grams(fine_mass_ug(MASS_UG, FINENESS)),
                ),
                (say("value at the price, times what is paid"), _money(worth.amount_minor)),
            ),
            (
                say(
                    "To pay an outlay of {outlay} takes {mass_ug} of such gold: the "
                    "same sum backwards, rounded up so that it does pay.",
                    outlay=_money(outlay),
                    mass_ug=_grams(even.mass_ug),
                ),
            ),
        ),
    )


def ladder() -> tuple[Example, ...]:
    """The four rungs of that trip."""
    worth = value_gold(mass_ug=MASS_UG, fineness=FINENESS, price=PRICE, payable_ratio=PAYABLE)
    steps = rungs(worth.amount_minor, _cost(), MINUTES, HOURLY_MINOR)
    return (
        Example(
            say("Did 0.64 g pay for the trip of “What a trip costs”?"),
            (
                say(
                    "The gold is worth {amount_minor}. One person, eight hours, an own "
                    "figure of {hourly_minor} an hour.",
                    amount_minor=_money(worth.amount_minor),
                    hourly_minor=_money(HOURLY_MINOR),
                ),
            ),
            (say("Pays"), say("Asks for"), say("Gold that takes"), say("Reached")),
            tuple(
                (
                    LABELS[step.key],
                    _money(step.threshold_minor),
                    _grams(break_even_ug(step.threshold_minor, PRICE, FINENESS, PAYABLE).mass_ug),
                    {True: say("yes"), False: say("no"), None: say("unknown")}[step.reached],
                )
                for step in steps
            ),
            (
                say(
                    "Each rung holds the ones above it, so a rung missed is missed all "
                    "the way down."
                ),
            ),
        ),
    )


def mean() -> tuple[Example, ...]:
    """The same trips by both sums."""
    whole = ratio_of_sums(NETS, HOURS) or 0.0
    each = [n / h for n, h in zip(NETS, HOURS, strict=True)]
    return (
        Example(
            say("Eight trips, two answers"),
            (),
            (
                say("Trip"),
                say("Net, {currency}", currency=CURRENCY),
                say("Hours"),
                say("Its own net an hour"),
            ),
            tuple(
                (str(number), sign(n, 0), f"{h:g}", sign(r))
                for number, (n, h, r) in enumerate(zip(NETS, HOURS, each, strict=True), 1)
            ),
            (
                say(
                    "All net over all hours: {nets} over {hours:g} h is {whole} "
                    "{currency} an hour.",
                    nets=sign(sum(NETS), 0),
                    hours=sum(HOURS),
                    whole=sign(whole),
                    currency=CURRENCY,
                ),
                say(
                    "The mean of the last column is {each} {currency} an hour: it says "
                    "loss where money was made, because short bad trips weigh as much "
                    "as long good ones.",
                    each=sign(fmean(each)),
                    currency=CURRENCY,
                ),
            ),
        ),
    )
