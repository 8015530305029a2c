"""The words of the tables: the same on page, card and phone."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from reports.decide.creek import SpotTable, Trigger
from reports.decide.equivalents import ClassWeights, weighted
from reports.decide.stopping import MOST_COLOURS, Row, row_for, says
from trips.calc.counts import CLASSES, ClassCounts, zero_bound

ACTIONS = {
    "pan": "keep panning",
    "dig": "dig",
    "move": "move",
    "home": "go home",
    "unknown": "can't say",
}


def number(value: float) -> str:
    """A count of weighted colours: halves as ½, whole numbers plain."""
    whole = int(value)
    half = "½" if value - whole >= 0.25 else ""
    return f"{whole}{half}" if whole or not half else half


def colours_word(count: float, weights: ClassWeights) -> str:
    """A count with its noun, which says where it is no plain count."""
    what = "colour" if weights.is_plain else "weighted colour"
    return f"{number(count)} {what}{'' if count == 1 else 's'}"


def litres_word(litres: float) -> str:
    """Litres without needless decimals."""
    return f"{litres:.1f}".removesuffix(".0") + " L"


def weights_words(weights: ClassWeights) -> str:
    """How each class is counted."""
    if weights.is_plain:
        return "Every colour counts 1, whatever its size."
    parts = [f"a {name} colour counts {number(weights.of(name))}" for name in CLASSES]
    said = f"{parts[0]}, {parts[1]}, {parts[2]}."
    return said[0].upper() + said[1:]


def count_words(trigger: Trigger, weights: ClassWeights, where: str = "") -> str:
    """The count that sends one on, at the spot where it is panned if that isn't plain."""
    if trigger.colours == 0:
        count = "without a colour"
    else:
        count = f"with {colours_word(trigger.colours, weights)} or fewer"
    pans = "pan" if trigger.pans == 1 else "pans"
    at = f" at {where}" if where else ""
    return f"after {trigger.pans} {pans} ({litres_word(trigger.litres)}){at} {count}"


def trigger_words(trigger: Trigger, second: str, weights: ClassWeights, where: str = "") -> str:
    """What sends one to the second choice."""
    go = f"go to {second}" if second else "go home"
    return f"{count_words(trigger, weights, where)}, {go}"


def row_words(row: Row) -> tuple[str, str]:
    """(move, dig) cells of a printed row, in words."""
    low, dig = row.move_at_most, row.dig_at_least
    if low is not None and low >= MOST_COLOURS and dig is None:
        return "any", "–"
    return (
        "–" if low is None else f"{low} or fewer" if low else "0",
        "–" if dig is None else f"{dig} or more" if dig else "any",
    )


def row_signs(row: Row) -> tuple[str, str]:
    """The same cells as signs, for a card with little room."""
    low, dig = row.move_at_most, row.dig_at_least
    if low is not None and low >= MOST_COLOURS and dig is None:
        return "any", "–"
    return (
        "–" if low is None else f"≤ {low}" if low else "0",
        "–" if dig is None else f"≥ {dig}" if dig else "any",
    )


@dataclass(frozen=True)
class Verdict:
    """What the table says to the pans so far; `colours` is weighted, `row` the one looked up."""

    action: Literal["pan", "dig", "move", "home", "unknown"]
    words: str
    why: str
    pans: int
    litres: float
    colours: float
    row: Row | None


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
    why = []
    if overburden:
        why.append(
            f"{overburden} pan{'' if overburden == 1 else 's'} of overburden left out: nobody "
            "feeds it to a box."
        )
    if left_out:
        why.append(
            f"{left_out} pan{'' if left_out == 1 else 's'} not counted and left out: "
            "“not counted” is not zero."
        )
    if used and colours == 0 and not lower:
        most = zero_bound(litres) or 0.0
        why.append(
            f"No colour in {litres_word(litres)}: with 90 % confidence fewer than {most:.2f} "
            "colours a litre."
        )
    row = row_for(table.rows, litres) if used else None
    action: Literal["pan", "dig", "move", "home", "unknown"]
    if table.method == "none":
        action = table.first
        why.append(table.why)
    elif row is None:
        action = table.first if not used else "pan"
        if used:
            why.append("Less than the first row's gravel is washed.")
        else:
            why.append("No counted pan here yet: this is what the table says before the first.")
    else:
        action = says(row, colours)
        if action in ("move", "home") and lower:
            action = "unknown"
            why.append(
                f"In {lower} pan{'' if lower == 1 else 's'} a class of colours was not counted, so "
                "there may have been more than this."
            )
    words = ACTIONS[action]
    if action == "move" and table.fallback is not None:
        words = f"go to {table.fallback.name}"
    if used:
        pans_word = f"{len(used)} pan{'' if len(used) == 1 else 's'}"
        words += f". {colours_word(colours, weights)} in {litres_word(litres)}, {pans_word}"
    return Verdict(
        action, words[0].upper() + words[1:], " ".join(why), len(used), litres, colours, row
    )
