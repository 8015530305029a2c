"""Does a piece of gear fit a rule's words, and does its number lie within a bound?"""

from collections.abc import Iterable

from claims.rules import words
from claims.rules.facts import Gear
from claims.rules.quantities import Bound, in_unit
from claims.rules.schema import Pack
from claims.rules.truth import Verdict, all_of, any_of, known, unknown
from claims.rules.when import GearFilter
from trips.calc.words import say

# What a class says about its power by itself; others must be noted.
POWER_OF: dict[str, str] = {
    "pan": "none",
    "hand_tool": "none",
    "sieve": "none",
    "detector": "battery",
    "hand_pump": "none",
    "sluice_stream_fed": "none",
    "dry_washer_hand": "none",
    "dry_washer_battery": "battery",
    "dry_washer_engine": "engine",
    "dredge_gravity_siphon": "none",
    "rocker": "none",
    "winch_hand": "none",
    "winch_vehicle": "engine",
    "generator": "engine",
    "excavator": "engine",
    "explosives": "none",
    "chemicals": "none",
}

# What can work side by side, so that several small ones do the work of a big one.
GANGED = (
    "pump",
    "sluice_stream_fed",
    "sluice_pumped",
    "dry_washer_hand",
    "dry_washer_battery",
    "dry_washer_engine",
    "dredge_suction",
    "dredge_gravity_siphon",
    "rocker",
    "trommel",
)


def power_of(item: Gear) -> str | None:
    """Its source of power: as noted, otherwise what its class says."""
    return item.power or POWER_OF.get(item.cls or "")


def gear_words(item: Gear) -> str:
    """A piece of gear for people, e.g. "engine-powered Magpie box (pump-fed sluice)"."""
    power = power_of(item)
    kind = words.GEAR_WORDS.get(item.cls or "", "")
    same = kind.casefold() in item.name.casefold()
    bracket = f" ({kind})" if kind and not same else ""
    said = power is not None and power in item.name.casefold()
    powered = power in ("battery", "engine") and not said
    prefix = f"{words.POWER_WORDS[power or '']} " if powered else ""
    return f"{prefix}{item.name}{bracket}"


def fits(item: Gear, wanted: GearFilter, pack: Pack) -> Verdict:
    """Whether every key of the filter fits the piece."""
    checks = []
    if wanted.cls or wanted.not_cls:
        if item.cls is None:
            checks.append(
                unknown(
                    f"gear:{item.name}:class", say("What kind of gear is {name}?", name=item.name)
                )
            )
        else:
            fit = (not wanted.cls or item.cls in wanted.cls) and item.cls not in wanted.not_cls
            checks.append(known(fit, gear_words(item)))
    if wanted.power:
        power = power_of(item)
        checks.append(
            unknown(
                f"gear:{item.name}:power",
                say("What drives {name}: nothing, battery, engine?", name=item.name),
            )
            if power is None
            else known(power in wanted.power, gear_words(item))
        )
    if wanted.use:
        uses = item.used_for
        checks.append(
            unknown(f"gear:{item.name}:use", say("What is {name} put to?", name=item.name))
            if uses is None
            else known(bool(set(uses) & set(wanted.use)), gear_words(item))
        )
    if wanted.group:
        group = next(each for each in pack.group if each.id == wanted.group)
        checks.append(any_of([fits(item, one, pack) for one in group.any_of]))
    if not checks:
        return known(True, gear_words(item))
    return all_of(checks)


def number_within(item: Gear, number: str, bound: Bound) -> Verdict:
    """Whether one number of a piece lies in the bound."""
    name = say(words.GEAR_NUMBERS[number][0])
    base = item.numbers.get(number)
    if base is None:
        return unknown(
            f"gear:{item.name}:{number}",
            say("What is the {name} of {name_2}?", name=name, name_2=item.name),
        )
    bound = bound.in_steps(item.steps.get(number, 1))
    return known(
        bound.holds(base),
        say(
            "{name} of {name_2}: {base}",
            name=name,
            name_2=item.name,
            base=in_unit(base, bound.sides[0].unit),
        ),
    )


def count_fitting(gear: Iterable[Gear], wanted: GearFilter, pack: Pack) -> tuple[int, Verdict]:
    """How many pieces fit for certain, and what is open about the others (yes: nothing)."""
    sure, open_ones = 0, []
    for item in gear:
        fit = fits(item, wanted, pack)
        if fit.value is True:
            sure += item.count
        elif fit.value is None:
            open_ones.append(fit)
    return sure, all_of(open_ones)


def several_within(
    gear: Iterable[Gear], wanted: GearFilter, number: str, bound: Bound, pack: Pack
) -> str | None:
    """What several pieces come to together where that passes a bound that each keeps alone.

    None where they don't pass it, or where only one piece can work at a time.
    """
    fitting = [
        item for item in gear if item.cls in GANGED and fits(item, wanted, pack).value is not False
    ]
    most = bound.under or bound.at_most
    if most is None or sum(item.count for item in fitting) < 2:
        return None
    sizes = [item.numbers[number] * item.count for item in fitting if number in item.numbers]
    upper = Bound(under=bound.under, at_most=bound.at_most)
    if len(sizes) < len(fitting) or upper.holds(sum(sizes)):
        return None
    names = ", ".join(gear_words(item) for item in fitting)
    return say("{names}: {sizes} together", names=names, sizes=in_unit(sum(sizes), most.unit))


def sum_within(
    gear: Iterable[Gear], wanted: GearFilter, number: str, bound: Bound, pack: Pack
) -> Verdict:
    """Whether a number added up over all pieces that fit lies in the bound."""
    name = say(words.GEAR_NUMBERS[number][0])
    low, open_ones, fitting = 0, [], 0
    for item in gear:
        fit = fits(item, wanted, pack)
        if fit.value is False:
            continue
        base = item.numbers.get(number)
        if fit.value is None:
            open_ones.append(fit)
        elif base is None:
            open_ones.append(number_within(item, number, bound))
        else:
            low += base * item.count
            fitting += 1
    over = (bound.under and low >= bound.under.base) or (bound.at_most and low > bound.at_most.base)
    enough = (bound.over is None or low > bound.over.base) and (
        bound.at_least is None or low >= bound.at_least.base
    )
    total = say(
        "{name} of {fitting} together: {low}",
        name=name,
        fitting=fitting,
        low=in_unit(low, bound.sides[0].unit),
    )
    upper = bound.under or bound.at_most
    if over:
        return known(False, total)
    if not open_ones or (enough and not upper):
        return known(enough and bool(fitting), total)
    return all_of(open_ones)
