"""The tables of a renewal record that tell what was asked and done: conditions, duties, ground."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal

from claims.rules.ground import Ground, HoleFact, disturbed
from reports.figures.renewal_facts import ConditionFact, DutyFact, RenewalAsked, RenewalFacts
from reports.figures.renewal_lists import holes_in, state_day
from reports.figures.renewal_parts import Part
from reports.figures.report import Column, cell_text
from trips.calc.words import marked, say, several

MM2_PER_M2 = 1_000_000
ML_PER_M3 = 1_000_000
NOBODY = marked("not said by anybody in this period")


@dataclass(frozen=True)
class GroundFigures:
    """Ground disturbed and restored in the period, up to the day the record is told for."""

    opened: Ground
    filled: Ground
    open_before: Ground
    open_after: Ground


def ground_figures(facts: RenewalFacts, asked: RenewalAsked) -> GroundFigures:
    """Holes at the paper's sites over the period."""
    rows = [
        HoleFact(
            hole.site_id,
            hole.opened_on,
            hole.filled_on,
            hole.length_mm,
            hole.width_mm,
            hole.depth_mm,
        )
        for hole in facts.holes
    ]
    found = disturbed(rows, asked.first, state_day(asked))
    return GroundFigures(found.opened, found.filled, found.open_before, found.open_after)


def square_metres(ground: Ground) -> Decimal | None:
    """Area of the measured holes; None when there are holes and none is measured."""
    if ground.holes and ground.without_area == ground.holes:
        return None
    exact = Decimal(ground.area_mm2) / MM2_PER_M2
    return exact.quantize(Decimal("0.01"), ROUND_HALF_EVEN)


def cubic_metres(ground: Ground) -> Decimal | None:
    """Box volume of the measured holes; None when there are holes and none is measured."""
    if ground.holes and ground.without_volume == ground.holes:
        return None
    exact = Decimal(ground.volume_ml) / ML_PER_M3
    return exact.quantize(Decimal("0.01"), ROUND_HALF_EVEN)


def ground_part(found: GroundFigures, asked: RenewalAsked) -> Part:
    """Ground disturbed and restored: holes balance, unmeasured ones are counted apart."""
    rows = (
        (say("Open before {first}", first=cell_text(asked.first)), found.open_before),
        (say("Opened in the period"), found.opened),
        (say("Filled in the period"), found.filled),
        (say("Still open on {asked}", asked=cell_text(state_day(asked))), found.open_after),
    )
    any_hole = any(ground.holes for _, ground in rows)
    unmeasured = any(ground.without_volume for _, ground in rows)
    notes = [say("A hole dug and filled in the period is in both lines. Sizes are boxes.")]
    if unmeasured:
        notes.append(say("Holes without a full size are counted, but not in area and volume."))
    return Part(
        key="ground",
        title=say("Ground disturbed and restored"),
        columns=(
            Column("what", say("Ground")),
            Column("holes", say("Holes"), align="right"),
            Column("area", say("Area"), "m²", "right"),
            Column("volume", say("Volume"), "m³", "right"),
            Column("unmeasured", say("Of them without full size"), align="right"),
        ),
        rows=tuple(
            (
                words,
                ground.holes,
                square_metres(ground),
                cubic_metres(ground),
                ground.without_volume,
            )
            for words, ground in rows
        )
        if any_hole
        else (),
        empty=say("No hole is noted at these sites up to the end of this period."),
        notes=tuple(notes) if any_hole else (),
    )


def conditions_part(facts: RenewalFacts, asked: RenewalAsked) -> Part:
    """Each condition with what was said of keeping it, and the duties done for it."""
    rows = [
        (number, condition.text, *_kept(condition, facts.duties, asked))
        for number, condition in enumerate(facts.paper.condition_lines, start=1)
    ]
    return Part(
        key="conditions",
        title=say("Conditions, and how each was kept"),
        columns=(
            Column("number", say("No.")),
            Column("text", say("Condition, as noted")),
            Column("kept", say("What the party says")),
            Column("evidence", say("Evidence")),
        ),
        rows=tuple(rows),
        empty=say("The conditions aren't noted line by line; see “The paper”.")
        if facts.paper.conditions
        else say("No condition of the paper is noted."),
    )


def _kept(
    condition: ConditionFact, duties: Sequence[DutyFact], asked: RenewalAsked
) -> tuple[str, str]:
    """What was said in the period, by day, and the evidence in the same order."""
    said, evidence = [], []
    for mark in condition.marks:
        if asked.first <= mark.day <= state_day(asked):
            who = f" ({mark.said_by})" if mark.said_by else ""
            said.append(f"{cell_text(mark.day)}: {mark.state}. {mark.how}{who}")
            evidence.append(mark.evidence)
    for duty in duties:
        if duty.condition_id == condition.condition_id:
            said.append(
                say(
                    "{title}, due {due_on}: {duty}",
                    title=duty.title,
                    due_on=cell_text(duty.due_on),
                    duty=_state(duty, asked),
                )
            )
            evidence += [duty.evidence, duty.work]
    if not said:
        return say(NOBODY), ""
    return "\n".join(said), "\n".join(text for text in evidence if text) or say("none noted")


def duties_part(facts: RenewalFacts, asked: RenewalAsked) -> Part:
    """Every due day of the paper's duties in the period, settled or not."""
    return Part(
        key="duties",
        title=say("Duties that fell due"),
        columns=(
            Column("due", say("Due on")),
            Column("duty", say("Duty")),
            Column("state", say("On {asked}", asked=cell_text(state_day(asked)))),
            Column("evidence", say("Evidence")),
        ),
        rows=tuple(
            (
                duty.due_on,
                duty.title,
                _state(duty, asked),
                "; ".join(text for text in (duty.evidence, duty.work) if text),
            )
            for duty in facts.duties
        ),
        empty=say("No duty of this paper is noted for this period."),
    )


def _outcome(duty: DutyFact) -> str:
    done_on = duty.done_on
    if done_on is None:
        return "open"
    late = (done_on - duty.due_on).days
    after = several(", {n} day after it", ", {n} days after it", late) if late > 0 else ""
    return f"{duty.outcome} {cell_text(done_on)}{after}"


def _state(duty: DutyFact, asked: RenewalAsked) -> str:
    if duty.done_on is not None:
        return _outcome(duty)
    return say("not noted as done") if _is_open(duty, asked) else say("not yet due")


def _is_open(duty: DutyFact, asked: RenewalAsked) -> bool:
    return duty.done_on is None and duty.due_on <= state_day(asked)


def kept_gaps(facts: RenewalFacts, asked: RenewalAsked) -> tuple[str, ...]:
    """What is missing about conditions, duties and photos, in words."""
    found = []
    silent = [
        str(number)
        for number, condition in enumerate(facts.paper.condition_lines, start=1)
        if _kept(condition, facts.duties, asked)[0] == say(NOBODY)
    ]
    if silent:
        found.append(
            several(
                "Nobody has said how condition no. {numbers} was kept in this period.",
                "Nobody has said how conditions no. {numbers} were kept in this period.",
                len(silent),
                numbers=", ".join(silent),
            )
        )
    late = [duty for duty in facts.duties if _is_open(duty, asked)]
    if late:
        found.append(
            several(
                "{n} due day is not noted as done: {late}.",
                "{n} due days are not noted as done: {late}.",
                len(late),
                late=_titles(late),
            )
        )
    holes = holes_in(facts, asked)
    filled = [line.hole for line in holes if line.was_filled(asked)]
    slow = [line for line in holes if line.hole.days_late(state_day(asked))]
    still = sum(1 for line in slow if line.is_open)
    if still:
        found.append(
            several(
                "{n} hole is still open past the day for filling.",
                "{n} holes are still open past the day for filling.",
                still,
            )
        )
    if filled_late := len(slow) - still:
        found.append(
            several(
                "{n} hole was filled after the day for it.",
                "{n} holes were filled after the day for it.",
                filled_late,
            )
        )
    bare = sum(1 for hole in filled if "after" not in {photo.role for photo in hole.photos})
    if bare:
        found.append(
            several(
                "{n} hole filled in the period has no photo after filling.",
                "{n} holes filled have no photo after filling.",
                bare,
            )
        )
    return tuple(found)


def _titles(duties: Sequence[DutyFact]) -> str:
    return "; ".join(f"{duty.title} ({cell_text(duty.due_on)})" for duty in duties[:6])


@dataclass(frozen=True)
class HolePhoto:
    """A photo to be printed, with its caption; `key` finds its bytes."""

    key: str
    caption: str
    day: date


def hole_photos(facts: RenewalFacts, asked: RenewalAsked) -> tuple[tuple[HolePhoto, ...], int]:
    """Photos of holes open in the period, before and after each other; how many are left out.

    At most one before and one after of each hole, and `MOST_PHOTOS` in all.
    """
    found: list[HolePhoto] = []
    total = 0
    for line in holes_in(facts, asked):
        hole = line.hole
        total += len(hole.photos)
        where = hole.spot or facts.site_names[hole.site_id]
        for role in ("before", "after", "other"):
            these = [photo for photo in hole.photos if photo.role == role]
            for photo in these[-1:] if role == "after" else these[:1]:
                words = {"before": say("before"), "after": say("after filling")}.get(role, "")
                caption = say(
                    "Hole at {where}, opened {opened_on}",
                    where=where,
                    opened_on=cell_text(hole.opened_on),
                )
                told = ", ".join(text for text in (words, photo.caption) if text)
                found.append(
                    HolePhoto(photo.key, f"{caption}: {told}" if told else caption, photo.day)
                )
    kept = tuple(found[:MOST_PHOTOS])
    return kept, total - len(kept)


MOST_PHOTOS = 24
