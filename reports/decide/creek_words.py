"""The words of the tables: the same on page, card and phone."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from reports.decide.creek import SpotTable, Trigger
from reports.decide.equivalents import ClassWeights, weighted
from reports.decide.stopping import MOST_COLOURS, Row, row_for, says
from trips.calc.counts import CLASSES, ClassCounts, zero_bound
from trips.calc.words import Spoken, marked, say, several

Action = Literal["pan", "dig", "move", "home", "unknown"]
ACTIONS = Spoken(
    {
        "pan": marked("keep panning"),
        "dig": marked("dig"),
        "move": marked("move"),
        "home": marked("go home"),
        "unknown": marked("can't say"),
    }
)


def number(value: float) -> str:
    """A count of weighted colours: halves as ½, whole numbers plain."""
    whole = int(value)
    half = "½" if value - whole >= 0.25 else ""
    return f"{whole}{half}" if whole or not half else half


def colours_word(count: float, weights: ClassWeights) -> str:
    """A count with its noun, which says where it is no plain count."""
    # Half a colour takes the form of more than one.
    forms = int(count) if count == int(count) else max(2, int(count))
    if weights.is_plain:
        return several("{count} colour", "{count} colours", forms, count=number(count))
    return several(
        "{count} weighted colour", "{count} weighted colours", forms, count=number(count)
    )


def litres_word(litres: float) -> str:
    """Litres without needless decimals."""
    return f"{litres:.1f}".removesuffix(".0") + " L"


def weights_words(weights: ClassWeights) -> str:
    """How each class is counted."""
    if weights.is_plain:
        return say("Every colour counts 1, whatever its size.")
    coarse, medium, fine = (number(weights.of(name)) for name in CLASSES)
    return say(
        "A coarse colour counts {coarse}, a medium colour counts {medium}, a fine colour counts "
        "{fine}.",
        coarse=coarse,
        medium=medium,
        fine=fine,
    )


def count_words(trigger: Trigger, weights: ClassWeights, where: str = "") -> str:
    """The count that sends one on, at the spot where it is panned if that isn't plain."""
    if trigger.colours == 0:
        count = say("without a colour")
    else:
        count = say("with {colours} or fewer", colours=colours_word(trigger.colours, weights))
    at = say(" at {where}", where=where) if where else ""
    return several(
        "after {n} pan ({litres}){at} {count}",
        "after {n} pans ({litres}){at} {count}",
        trigger.pans,
        litres=litres_word(trigger.litres),
        at=at,
        count=count,
    )


def trigger_words(trigger: Trigger, second: str, weights: ClassWeights, where: str = "") -> str:
    """What sends one to the second choice."""
    go = say("go to {second}", second=second) if second else say("go home")
    return f"{count_words(trigger, weights, where)}, {go}"


def row_words(row: Row) -> tuple[str, str]:
    """(move, dig) cells of a printed row, in words."""
    low, dig = row.move_at_most, row.dig_at_least
    if low is not None and low >= MOST_COLOURS and dig is None:
        return say("any"), "–"
    return (
        "–" if low is None else say("{low} or fewer", low=low) if low else "0",
        "–" if dig is None else say("{dig} or more", dig=dig) if dig else say("any"),
    )


def row_signs(row: Row) -> tuple[str, str]:
    """The same cells as signs, for a card with little room."""
    low, dig = row.move_at_most, row.dig_at_least
    if low is not None and low >= MOST_COLOURS and dig is None:
        return say("any"), "–"
    return (
        "–" if low is None else f"≤ {low}" if low else "0",
        "–" if dig is None else f"≥ {dig}" if dig else say("any"),
    )


@dataclass(frozen=True)
class Verdict:
    """What the table says to the pans so far; `colours` is weighted, `row` the one looked up.

    `left_out`: pans that it says nothing to.
    """

    action: Action
    words: str
    why: str
    pans: int
    litres: float
    colours: float
    row: Row | None
    left_out: int = 0


def verdict(
    table: SpotTable,
    pans: Sequence[tuple[ClassCounts, float]],
    weights: ClassWeights,
    overburden: int = 0,
) -> Verdict:
    """Look the pans up in the table: the last row whose litres are reached, and its thresholds.

    Args: pans: counts and litres in order. A pan without any count is left out with its litres.
        overburden: pans of it that were left out before.
        One with a class that wasn't counted gives a lower figure: it can say dig, never move.
    """
    counted = [(weighted(counts, weights), litres) for counts, litres in pans]
    used = [(each.colours, each.missing, v) for each, v in counted if each.colours is not None]
    colours = sum(count for count, _, _ in used)
    litres = sum(v for _, _, v in used)
    lower = sum(bool(missing) for _, missing, _ in used)
    left_out = len(pans) - len(used)
    row = row_for(table.rows, litres) if used else None
    action, its_reason = _action(table, row, colours, lower, any_used=bool(used))
    why = _left_out_words(overburden, left_out)
    if used and colours == 0 and not lower:
        why.append(
            say(
                "No colour in {litres}: with 90 % confidence fewer than {most:.2f} "
                "colours a litre.",
                litres=litres_word(litres),
                most=zero_bound(litres) or 0.0,
            )
        )
    words = ACTIONS[action]
    if action == "move" and table.fallback is not None:
        words = say("go to {name}", name=table.fallback.name)
    if used:
        pans_word = several("{n} pan", "{n} pans", len(used))
        words += say(
            ". {colours} in {litres}, {pans_word}",
            colours=colours_word(colours, weights),
            litres=litres_word(litres),
            pans_word=pans_word,
        )
    return Verdict(
        action,
        words[0].upper() + words[1:],
        " ".join([*why, *its_reason]),
        len(used),
        litres,
        colours,
        row,
        left_out + overburden,
    )


def _action(
    table: SpotTable, row: Row | None, colours: float, lower: int, *, any_used: bool
) -> tuple[Action, list[str]]:
    """What the table says to a count, and why where that isn't its threshold.

    Args: row: the last one reached; lower: pans that may hold more than was counted.
    """
    if table.method == "none":
        return table.first, [table.why]
    if row is None:
        if any_used:
            return "pan", [say("Less than the first row's gravel is washed.")]
        words = say("No counted pan here yet: this is what the table says before the first.")
        return table.first, [words]
    action = says(row, colours)
    if action not in ("move", "home") or not lower:
        return action, []
    return "unknown", [
        several(
            "In {n} pan a class of colours was not counted, so there may have been more than this.",
            "In {n} pans a class of colours was not counted, so there may have "
            "been more than this.",
            lower,
        )
    ]


def _left_out_words(overburden: int, left_out: int) -> list[str]:
    """Which pans say nothing, and why."""
    why = []
    if overburden:
        why.append(
            several(
                "{n} pan of overburden left out: nobody feeds it to a box.",
                "{n} pans of overburden left out: nobody feeds it to a box.",
                overburden,
            )
        )
    if left_out:
        why.append(
            several(
                "{n} pan not counted and left out: “not counted” is not zero.",
                "{n} pans not counted and left out: “not counted” is not zero.",
                left_out,
            )
        )
    return why
