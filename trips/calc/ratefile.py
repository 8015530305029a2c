"""What a file of published distance rates says, checked before anything rests on it."""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from itertools import pairwise

from trips.calc.errors import CalcError
from trips.calc.kmrates import RateTable, Tier, distance_charge

NEEDED = {"name", "first_day", "last_day", "unit", "currency", "tiers", "source"}
KEYS = NEEDED | {"year_starts", "holds_fuel"}


class RateFileError(CalcError):
    """A file of rates is wrong; the message names the entry and the key."""


def rate_tables(content: Mapping[str, object]) -> tuple[RateTable, ...]:
    """The tables of a parsed file, each name's days apart from each other.

    Raises: RateFileError naming the entry and key for anything missing, unknown or out of range.
    """
    entries = content.get("rate")
    if not isinstance(entries, list) or set(content) != {"rate"}:
        raise RateFileError("A list of [[rate]] and nothing else was expected.")
    tables = tuple(_table(at, entry) for at, entry in enumerate(entries, start=1))
    for name in {table.name for table in tables}:
        same = sorted((t for t in tables if t.name == name), key=lambda table: table.first_day)
        for before, after in pairwise(same):
            if after.first_day <= before.last_day:
                raise RateFileError(f"{name}: two rates hold on {after.first_day}.")
    return tables


def _table(at: int, entry: object) -> RateTable:
    if not isinstance(entry, dict):
        raise RateFileError(f"Rate {at}: a table was expected.")
    where = f"Rate {at} ({entry.get('name', 'without a name')})"
    wrong = sorted(set(entry) - KEYS) or sorted(NEEDED - set(entry))
    if wrong:
        raise RateFileError(f"{where}: {wrong[0]} is unknown or missing.")
    first, last = entry["first_day"], entry["last_day"]
    if not isinstance(first, date) or not isinstance(last, date) or last < first:
        raise RateFileError(f"{where}: first_day and last_day, in order, were expected.")
    if entry["unit"] not in ("km", "mi"):
        raise RateFileError(f"{where}: unit is km or mi.")
    if not re.fullmatch(r"[A-Z]{3}", str(entry["currency"])):
        raise RateFileError(f"{where}: currency is three capital letters.")
    starts = str(entry.get("year_starts", ""))
    if starts and not re.fullmatch(r"\d\d-\d\d", starts):
        raise RateFileError(f"{where}: year_starts is a month and day such as 04-06.")
    holds_fuel = entry.get("holds_fuel", True)
    if not isinstance(holds_fuel, bool):
        raise RateFileError(f"{where}: holds_fuel is true or false.")
    tiers = tuple(_tier(where, tier) for tier in entry["tiers"])
    try:
        distance_charge(tiers, Decimal(1))
    except CalcError as error:
        raise RateFileError(f"{where}: {error}") from error
    return RateTable(
        name=str(entry["name"]),
        first_day=first,
        last_day=last,
        unit=entry["unit"],
        currency=str(entry["currency"]),
        tiers=tiers,
        source=str(entry["source"]),
        year_starts=starts,
        holds_fuel=holds_fuel,
    )


def _tier(where: str, tier: object) -> Tier:
    if not isinstance(tier, dict) or not {"rate"} <= set(tier) <= {"rate", "upto"}:
        raise RateFileError(f"{where}: a tier has a rate and perhaps upto.")
    try:
        rate = Decimal(str(tier["rate"]))
        limit = Decimal(str(tier["upto"])) if "upto" in tier else None
    except InvalidOperation as error:
        raise RateFileError(f"{where}: a tier's rate and upto are numbers.") from error
    if rate < 0:
        raise RateFileError(f"{where}: a rate of {rate} is below zero.")
    return Tier(limit, rate)
