"""The money of the demo: gold prices, what trips cost, and what became of the gold."""

import datetime as dt
from decimal import ROUND_HALF_EVEN, Decimal

from trips.calc.units import OZT_G
from trips.demo import places, story
from trips.demo.chance import Chance
from trips.demo.schedule import Outing

SITE = {site["code"]: site for site in places.SITES}
VEHICLE = {vehicle["code"]: vehicle for vehicle in story.VEHICLES}
DAILY_FROM = dt.date(2031, 9, 15)
SOLD_ON = {2030: dt.date(2030, 11, 15), 2031: dt.date(2031, 9, 19)}
FIRST_PRICE = 3_340.0
LARGEST_GIFT_UG = 120_000
GIVEN_TO = ("A cousin", "Edda Marrable", "Ada Vayle")
BUYER = "Coin and metal counter, Quillbeck (invented)"


def price_rows() -> list[dict]:
    """A price on the first weekday of each month, then on every weekday from mid-September."""
    chance = Chance("prices")
    rows, level, day = [], FIRST_PRICE, dt.date(2030, 1, 1)
    last = story.AS_OF - dt.timedelta(days=1)
    month_has_one = 0
    while day <= last:
        if day.weekday() < 5:
            level *= 1 + chance.normal(0.0003, 0.009)
            if day >= DAILY_FROM or day.month != month_has_one:
                amount = Decimal(str(level)).quantize(Decimal("0.05"), ROUND_HALF_EVEN)
                rows.append(
                    {
                        "day": day,
                        "currency": story.CURRENCY,
                        "amount": f"{amount:.2f}",
                        "per_unit": "ozt",
                        "source": story.PRICE_SOURCE,
                    }
                )
                month_has_one = day.month
        day += dt.timedelta(days=1)
    return rows


def fuel_price_milli(day: dt.date) -> int:
    """Fuel price of a day, thousandths of a euro per litre: a slow drift, one draw a month."""
    months = (day.year - 2030) * 12 + day.month
    return 1640 + 4 * months + Chance(f"fuel {day:%Y-%m}").between(-40, 40, 5)


def driven_m(outing: Outing) -> dict[str, int]:
    """Metres there and back by kind of road, with the detour to a second site."""
    first = SITE[outing.visited[0]]
    detour = 24_000 * (len(outing.visited) - 1)
    return {
        "driven_sealed_m": 2 * first["sealed_m"] + detour,
        "driven_unsealed_m": 2 * first["unsealed_m"],
        "driven_track_m": 2 * first["track_m"],
    }


def fuel_ml(outing: Outing) -> int:
    """Millilitres of fuel for the drive."""
    car, driven = VEHICLE[outing.vehicle], driven_m(outing)
    roads = ("sealed", "unsealed", "track")
    used = sum(driven[f"driven_{road}_m"] * car[f"{road}_ml_per_100km"] for road in roads)
    return used // 100_000


def cost_rows(outing: Outing) -> list[dict]:
    """What was paid on a trip, or is planned for it."""
    chance = Chance(f"{outing.code} costs")
    lines = planned_lines(outing)
    if outing.state in ("wrapped_up", "under_way"):
        lines += paid_lines(chance, outing)
    rows = []
    for number, (stage, kind, amount_minor, note) in enumerate(lines, start=1):
        payer = story.PERSON_OF[chance.pick(outing.people)] if stage == "paid" else ""
        rows.append(
            {
                "code": f"{outing.code}-C{number}",
                "trip": outing.code,
                "stage": stage,
                "kind": kind,
                "amount_minor": amount_minor,
                "currency": story.CURRENCY,
                "paid_by": payer,
                "note": note,
            }
        )
    return rows


def planned_lines(outing: Outing) -> list[tuple[str, str, int, str]]:
    lines = []
    if outing.state in ("planned", "under_way") or outing.sites[0] == "SKE":
        lines.append(("planned", "food", 700 * len(outing.people) * outing.days, ""))
    if outing.days > 1 and outing.sites[0] == "SKE":
        lines.append(("planned", "camp", 900 * len(outing.people), "one night"))
    return lines


def paid_lines(chance: Chance, outing: Outing) -> list[tuple[str, str, int, str]]:
    lines = []
    if outing.state == "wrapped_up" and chance.happens(0.35):
        exact = fuel_ml(outing) * fuel_price_milli(outing.starts_on) // 10_000
        amount = chance.around(exact, 0.08, 1)
        lines.append(("paid", "fuel", amount, "filled up on the way home"))
    if outing.days > 1 or chance.happens(0.55):
        each = chance.between(250, 650, 10)
        lines.append(("paid", "food", each * len(outing.people) * outing.days, ""))
    if outing.visited[0] == "SKE":
        lines.append(("paid", "camp", 900 * len(outing.people), "one night"))
    if outing.method == "hired":
        lines.append(("paid", "hire", 3500, "pump and box for a day"))
    if outing.visited[0] == "VWR" and chance.happens(0.6):
        lines.append(("paid", "fee", 300, "car park at the weir"))
    if chance.happens(0.14):
        what = chance.pick(["vials and labels", "new riffle mat", "hose clamp", "gloves"])
        lines.append(("paid", "consumables", chance.between(350, 1400, 5), what))
    return lines


def lot_rows(weigh_ins: list[dict], prices: list[dict]) -> list[dict]:
    """About every second weigh-in was made into lots: sold, given away or still on hand."""
    chance = Chance("lots")
    rows = []
    for number, weigh_in in enumerate(weigh_ins):
        net_ug = weigh_in["gross_ug"] - weigh_in["tare_ug"]
        specimen = weigh_in["code"] in ("T2030-10-W1", "T2031-20-W1")
        if not specimen and (number % 2 or net_ug < 20 * weigh_in["resolution_ug"]):
            continue
        sold_on = SOLD_ON[weigh_in["weighed_on"].year]
        lots = _parts(chance, net_ug, weigh_in["resolution_ug"], specimen)
        for place, (mass_ug, kind) in enumerate(lots, start=1):
            if kind == "sold" and weigh_in["weighed_on"] > sold_on:
                kind = "on_hand"
            lot = _lot(weigh_in, place, mass_ug, kind, sold_on, prices)
            if kind == "given":
                given = sum(row["state"] == "given" for row in rows)
                lot["to_whom"] = GIVEN_TO[given % len(GIVEN_TO)]
            rows.append(lot)
    return rows


def together(rows: list[dict]) -> tuple[list[dict], list[dict]]:
    """The lots with one of them split and two put together, and the merged lot.

    Only lots on hand without a price of their own are touched, so no figure of a trip moves.
    """
    loose = [row for row in rows if row["state"] == "on_hand" and row["own_value_minor"] is None]
    whole, *rest = sorted(loose, key=lambda row: (-row["mass_ug"], row["code"]))
    part = {**whole, "code": f"{whole['code']}-half", "name": "Half for a ring"}
    part["mass_ug"] = whole["mass_ug"] // 2
    whole["mass_ug"] -= part["mass_ug"]
    tin = {
        "code": "M1",
        "name": "Tin for the winter",
        "proceeds_minor": None,
        "fee_minor": None,
        "currency": story.CURRENCY,
        "note": "to be sold in one go",
    }
    inside = {row["code"] for row in rest[:2]}
    lots = [{**row, "merged": "M1" if row["code"] in inside else ""} for row in [*rows, part]]
    return lots, [tin]


def _parts(chance, net_ug, step, specimen) -> list[tuple[int, str]]:
    """Parts of a weigh-in, whole steps of its scale, together no more than it weighed."""
    if specimen:
        piece = net_ug // step // 3 * step
        return [(piece, "specimen"), (net_ug - piece, "sold")]
    if chance.happens(0.25):
        gift = min(net_ug // 4, LARGEST_GIFT_UG) // step * step
        return [(gift, "given"), (net_ug - gift, "on_hand")]
    return [(net_ug, "sold" if chance.happens(0.6) else "on_hand")]


def _lot(weigh_in, place, mass_ug, kind, sold_on, prices) -> dict:
    row = {
        "code": f"{weigh_in['code']}-L{place}",
        "weigh_in": weigh_in["code"],
        "name": {"given": "Vial for a birthday", "specimen": "Picked coarse pieces"}.get(
            kind, f"Vial of {weigh_in['weighed_on']:%d %b %Y}"
        ),
        "mass_ug": mass_ug,
        "state": "on_hand" if kind == "specimen" else kind,
        "moved_on": None,
        "to_whom": "",
        "proceeds_minor": None,
        "fee_minor": None,
        "own_value_minor": None,
        "currency": story.CURRENCY,
        "note": "",
    }
    if kind == "sold":
        value = worth_minor(mass_ug, weigh_in["fineness"] or 885, sold_on, prices)
        row |= {
            "moved_on": sold_on,
            "to_whom": BUYER,
            "proceeds_minor": value * 92 // 100,
            "fee_minor": 150,
        }
    elif kind == "given":
        row["moved_on"] = weigh_in["weighed_on"] + dt.timedelta(days=6)
    elif kind == "specimen":
        value = worth_minor(mass_ug, 867, weigh_in["weighed_on"], prices)
        row |= {"own_value_minor": value * 14 // 1000 * 100, "note": "kept whole, for its look"}
    return row


def worth_minor(mass_ug: int, fineness: int, day: dt.date, prices: list[dict]) -> int:
    """Metal value in cents at the latest price on or before the day, rounded down."""
    amount = [row["amount"] for row in prices if row["day"] <= day][-1]
    grams = Decimal(mass_ug) / 1_000_000 * fineness / 1000
    return int(grams * Decimal(amount) / OZT_G * 100)
