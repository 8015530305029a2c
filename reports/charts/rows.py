"""Charts with one row for each thing: intervals, bars with intervals, hours, the pay ladder."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports.charts.frame import (
    LAYOUTS,
    SMALL,
    Layout,
    grid,
    name_and_number,
    row_axis,
    sheet,
    spans,
)
from reports.charts.scale import Say, fixed, plain
from reports.charts.scene import Anchor, Box, Dot, Figure, Line, Mark, Scene, Text
from trips.calc.digits import places_known
from trips.calc.words import marked, say

RANGE = marked("80 % range")


@dataclass(frozen=True)
class IntervalRow:
    """A ranked thing: best value and range in the chart's unit; None is not known."""

    name: str
    low: float | None
    best: float | None
    high: float | None
    note: str = ""


@dataclass(frozen=True)
class BarRow:
    """A measured thing under a heading; None is not known, which differs from zero."""

    group: str
    name: str
    value: float | None
    low: float | None = None
    high: float | None = None
    evidence: str = ""


@dataclass(frozen=True)
class Rung:
    """One rung of the pay ladder: what has to come in, and how likely it does, in words."""

    name: str
    threshold: float | None
    chance: str


def interval_plot(
    rows: Sequence[IntervalRow],
    *,
    title: str,
    desc: str,
    unit: str,
    range_name: str = "",
    words: Say | None = None,
    sign: bool = True,
) -> Figure | None:
    """Ranked rows on one common axis with a zero line; None when there is no row.

    Args: rows: in the order to show. unit: of every value, written under the axis.
    words: how a value is said beside its row. sign: whether values above zero bear a plus: not
    where nothing can be below. A row without a range gets a hollow dot only.
    """
    if not rows:
        return None
    wide, narrow = (_intervals(layout, rows, unit, words, sign) for layout in LAYOUTS)
    noted = any(row.note for row in rows)
    table = tuple(
        (
            row.name,
            _told(row.best, _sayer(words, row.low, row.high, sign)),
            _range(row.low, row.high, _sayer(words, row.low, row.high, sign)),
            *((row.note,) if noted else ()),
        )
        for row in rows
    )
    heads = (
        say("Name"),
        say("Best guess, {unit}", unit=unit),
        f"{range_name or say(RANGE)}, {unit}",
        *((say("Note"),) if noted else ()),
    )
    return Figure(wide, narrow, title, desc, heads, table)


def _intervals(
    layout: Layout, rows: Sequence[IntervalRow], unit: str, words: Say | None, sign: bool
) -> Scene:
    told = [v for row in rows for v in (row.low, row.best, row.high) if v is not None]
    scale, marks = row_axis(layout, told)
    bottom = layout.row * len(rows) + 4
    drawn: list[Mark] = grid(
        layout, scale, marks, [layout.row * i for i in range(len(rows))], bottom, unit
    )
    for i, row in enumerate(rows):
        top = layout.row * i
        y = layout.bar_y(top)
        ways = _ways(row.low, row.best, row.high, _sayer(words, row.low, row.high, sign))
        drawn += name_and_number(layout, top, row.name, ways, muted=row.best is None)
        if row.low is not None and row.high is not None:
            drawn += _whisker(scale.at(row.low), scale.at(row.high), y, 4.0)
        if row.best is not None:
            hollow = row.low is None or row.high is None
            tip = f"{row.name}: {ways[0]} {unit}"
            drawn.append(Dot(scale.at(row.best), y, 5.5, "a", hollow, tip))
    return sheet(layout, bottom, drawn)


def _whisker(low: float, high: float, y: float, width: float) -> list[Mark]:
    return [
        Line(low, y, high, y, "a", width),
        Line(low, y - 6, low, y + 6, "a", 2),
        Line(high, y - 6, high, y + 6, "a", 2),
    ]


def bars(
    rows: Sequence[BarRow],
    *,
    title: str,
    desc: str,
    unit: str,
    range_name: str = "",
    name_head: str = "",
    words: Say | None = None,
) -> Figure | None:
    """Bars from zero with their ranges, under a heading for each group; None without rows.

    Args: rows: in the order to show; rows of a group follow each other. unit: of every value.
    words: how a value is said beside its bar.
    """
    if not rows:
        return None
    wide, narrow = (_bars(layout, rows, unit, words) for layout in LAYOUTS)
    grouped = any(row.group for row in rows)
    ranged = any(row.low is not None for row in rows)
    noted = any(row.evidence for row in rows)
    heads = (
        *((say("Where"),) if grouped else ()),
        name_head or say("Name"),
        say("Value, {unit}", unit=unit),
        *((f"{range_name or say(RANGE)}, {unit}",) if ranged else ()),
        *((say("Evidence"),) if noted else ()),
    )
    table = tuple(
        (
            *((row.group,) if grouped else ()),
            row.name,
            _told(row.value, _sayer(words, row.low, row.high, False)),
            *(
                (_range(row.low, row.high, _sayer(words, row.low, row.high, False)),)
                if ranged
                else ()
            ),
            *((row.evidence,) if noted else ()),
        )
        for row in rows
    )
    return Figure(wide, narrow, title, desc, heads, table)


def _bars(layout: Layout, rows: Sequence[BarRow], unit: str, words: Say | None) -> Scene:
    told = [v for row in rows for v in (row.low, row.value, row.high) if v is not None]
    scale, marks = row_axis(layout, told)
    drawn: list[Mark] = []
    top, group = 0.0, ""
    tops: list[float] = []
    for row in rows:
        if row.group != group:
            group = row.group
            drawn.append(Text(0, top + 20, group, size=13, bold=True, role="muted"))
            top += 28
        tops.append(top)
        y = layout.bar_y(top)
        ways = _ways(row.low, row.value, row.high, _sayer(words, row.low, row.high, False))
        drawn += name_and_number(layout, top, row.name, ways, muted=row.value is None)
        if row.value is not None:
            left, right = sorted((scale.at(0.0), scale.at(row.value)))
            tip = f"{row.name}: {ways[0]} {unit}"
            drawn.append(Box(left, y - 6, max(right - left, 1.0), 12, "b", tip=tip))
        if row.low is not None and row.high is not None:
            low, high = scale.at(row.low), scale.at(row.high)
            drawn += [Line(low, y, high, y, "paper", 4), *_thin_whisker(low, high, y)]
        top += layout.row
    bottom = top + 4
    return sheet(layout, bottom, grid(layout, scale, marks, tops, bottom, unit) + drawn)


def _thin_whisker(low: float, high: float, y: float) -> list[Mark]:
    return [
        Line(low, y, high, y, "ink", 2),
        Line(low, y - 5, low, y + 5, "ink", 2),
        Line(high, y - 5, high, y + 5, "ink", 2),
    ]


def hours_by_activity(rows: Sequence[tuple[str, int]], *, title: str, desc: str) -> Figure | None:
    """Hours for each activity from (activity, minutes); None without rows."""
    return bars(
        [BarRow("", activity, minutes / 60) for activity, minutes in rows],
        title=title,
        desc=desc,
        unit="hours",
        name_head=say("Activity"),
        words=clock_words,
    )


def clock_words(hours: float) -> str:
    """Hours as hours and minutes, "6 h 10" or "40 min"."""
    minutes = round(hours * 60)
    if 0 < minutes < 60:
        return say("{minutes} min", minutes=minutes)
    return f"{minutes // 60} h {minutes % 60:02d}" if minutes % 60 else f"{minutes // 60} h"


def pay_ladder(
    rungs: Sequence[Rung],
    *,
    value: float | None,
    low: float | None = None,
    high: float | None = None,
    title: str,
    desc: str,
    unit: str,
    words: Say = plain,
) -> Figure | None:
    """Each rung's bar filled as far as the value reaches, open beyond; None without rungs.

    Args: value, low, high: what came in and its range, in `unit`; None is not known.
    """
    if not rungs:
        return None
    wide, narrow = (_ladder(layout, rungs, value, low, high, unit, words) for layout in LAYOUTS)
    table = tuple(
        (
            rung.name,
            _told(rung.threshold, words),
            _reached(rung.threshold, value),
            rung.chance,
        )
        for rung in rungs
    )
    heads = (say("Rung"), say("Has to bring in, {unit}", unit=unit), say("Reached"), say("Chance"))
    return Figure(wide, narrow, title, desc, heads, table)


def _ladder(
    layout: Layout,
    rungs: Sequence[Rung],
    value: float | None,
    low: float | None,
    high: float | None,
    unit: str,
    words: Say,
) -> Scene:
    told = [v for v in (*(rung.threshold for rung in rungs), value, low, high) if v is not None]
    scale, marks = row_axis(layout, told)
    head = 24.0
    bottom = head + layout.row * len(rungs) + 4
    drawn: list[Mark] = grid(
        layout, scale, marks, [head + layout.row * i for i in range(len(rungs))], bottom, unit
    )
    zero = scale.at(0.0)
    for i, rung in enumerate(rungs):
        top = head + layout.row * i
        y = layout.bar_y(top)
        state = _reached(rung.threshold, value)
        ways = _rung_ways(rung.chance, state)
        drawn += name_and_number(layout, top, rung.name, ways, muted=rung.threshold is None)
        if rung.threshold is None:
            continue
        end = scale.at(rung.threshold)
        tip = f"{rung.name}: {words(rung.threshold)} {unit}, {state}"
        filled = zero if value is None else max(zero, min(scale.at(value), end))
        if filled > zero:
            drawn.append(Box(zero, y - 6, filled - zero, 12, "b", tip=tip))
        if end > filled:
            drawn.append(Box(filled, y - 6, end - filled, 12, "paper", "b", True, tip))
    if low is not None and high is not None:
        drawn.append(Line(scale.at(low), head - 3, scale.at(high), head - 3, "a", 5))
    if value is not None:
        x = scale.at(value)
        drawn.append(Line(x, head - 6, x, head + 2, "a", 2.5))
        tops = [head + layout.row * i for i in range(len(rungs))]
        drawn += [Line(x, y1, x, y2, "a", 2.5) for y1, y2 in spans(layout, tops, bottom)]
        anchor: Anchor = "start" if x < layout.width / 2 else "end"
        label = say("brought in {value}", value=words(value))
        drawn.append(Text(x, head - 11, label, "a", SMALL, anchor, bold=True))
    else:
        drawn.append(Text(zero, head - 11, say("brought in: unknown"), "muted", SMALL, "start"))
    return sheet(layout, bottom, drawn)


def _rung_ways(chance: str, state: str) -> tuple[str, ...]:
    if not chance or chance == state:
        return (state,)
    return (chance,) if state == say("unknown") else (f"{chance}, {state}", chance)


def _reached(threshold: float | None, value: float | None) -> str:
    if threshold is None or value is None:
        return say("unknown")
    return say("reached") if value >= threshold else say("not reached")


def _told(value: float | None, words: Say) -> str:
    return say("unknown") if value is None else words(value)


def _range(low: float | None, high: float | None, words: Say) -> str:
    if low is None or high is None:
        return say("unknown")
    return say("{low} to {high}", low=words(low), high=words(high))


def _sayer(words: Say | None, low: float | None, high: float | None, sign: bool) -> Say:
    """How the numbers of one row are said: no more digits than its range knows."""
    if words is not None:
        return words
    if low is None or high is None:
        return _thin if sign else plain
    places = places_known(low, high)
    return lambda value: fixed(value, places, sign)


def _thin(value: float) -> str:
    """A figure with too little behind it for a range: two digits of its own."""
    return fixed(value, places_known(value, value), sign=True)


def _ways(low: float | None, best: float | None, high: float | None, words: Say) -> tuple[str, ...]:
    if best is None:
        return (_range(low, high, words),)
    if low is None or high is None:
        return (words(best),)
    return (f"{words(best)}  ({_range(low, high, words)})", words(best))
