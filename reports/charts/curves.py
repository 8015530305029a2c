"""Charts along time: value against cost over the season, and the clean-up rates of a hole."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reports.charts.scale import Axis, Say, axis, fit, plain, tick_words
from reports.charts.scene import Anchor, Dot, Figure, Line, Mark, Path, Role, Scene, Text
from trips.calc import local
from trips.calc.words import say


@dataclass(frozen=True)
class StairPoint:
    """Running totals after one day, in the chart's unit; None from where they aren't known."""

    day: dt.date
    value: float | None
    cost: float | None


@dataclass(frozen=True)
class RateStep:
    """One run between clean-ups: minutes since the hole was begun, and gold per hour."""

    label: str
    start_min: float
    end_min: float
    rate: float | None
    fitted: float | None = None


@dataclass(frozen=True)
class _Sheet:
    width: float
    height: float
    left: float
    right: float
    x_ticks: int
    y_ticks: int

    @property
    def bottom(self) -> float:
        return self.height - 44


WIDE = _Sheet(640, 330, 64, 510, 6, 6)
NARROW = _Sheet(340, 300, 52, 322, 3, 5)


def value_against_cost(
    points: Sequence[StairPoint], *, title: str, desc: str, unit: str, words: Say = plain
) -> Figure | None:
    """Running value (solid) against running cost (dashed) as stairs; None without points.

    Args: points: one a trip, in any order. unit: the currency. words: how a total is said.
    """
    if not points:
        return None
    ordered = sorted(points, key=lambda point: point.day)
    wide, narrow = (_stairs(s, ordered, unit, words) for s in (WIDE, NARROW))
    table = tuple(
        (
            local.day(point.day),
            "unknown" if point.value is None else words(point.value),
            "unknown" if point.cost is None else words(point.cost),
        )
        for point in ordered
    )
    heads = (
        say("Day"),
        say("Value so far, {unit}", unit=unit),
        say("Cost so far, {unit}", unit=unit),
    )
    return Figure(wide, narrow, title, desc, heads, table)


def _stairs(s: _Sheet, points: Sequence[StairPoint], unit: str, words: Say) -> Scene:
    first, last = points[0].day, points[-1].day
    # A day before the first trip stands at zero, so that the first step can be seen.
    along = Axis(first.toordinal() - 1, max(last, first).toordinal(), s.left, s.right)
    told = [v for point in points for v in (point.value, point.cost) if v is not None]
    up, drawn = _ground(s, told, unit)
    one_year = first.year == last.year
    said = local.day_of_month if one_year else local.day
    if one_year:
        drawn.append(
            Text((s.left + s.right) / 2, s.bottom + 36, str(first.year), "muted", 12, "middle")
        )
    for day in _days(first, last, s.x_ticks if one_year else min(s.x_ticks, 4)):
        x = along.at(day.toordinal())
        drawn.append(Line(x, s.bottom, x, s.bottom + 4, "muted"))
        anchor: Anchor = "end" if s is NARROW and day == last != first else "middle"
        drawn.append(Text(x, s.bottom + 18, said(day), "muted", 12, anchor))
    days = [point.day.toordinal() for point in points]
    ends: list[tuple[float, str, bool]] = []
    for values, name, dashed in (
        ([point.cost for point in points], say("cost"), True),
        ([point.value for point in points], say("value"), False),
    ):
        drawn += _stair(along, up, days, values, dashed)
        known = [v for v in values if v is not None]
        if known:
            ends.append((up.at(known[-1]), f"{name} {words(known[-1])}", dashed))
    return Scene(s.width, s.height, (*drawn, *_end_labels(s, ends)))


def _stair(
    along: Axis, up: Axis, days: Sequence[int], values: Sequence[float | None], dashed: bool
) -> list[Mark]:
    role: Role = "b" if dashed else "a"
    drawn: list[Mark] = []
    path = [(along.start, up.at(0.0))]
    for day, value in zip(days, values, strict=True):
        x = along.at(day)
        path.append((x, path[-1][1]))
        if value is None:
            drawn.append(Dot(x, path[-1][1], 4, role, hollow=True, tip=say("not known from here")))
            break
        path.append((x, up.at(value)))
    return [Path(tuple(path), role, 2.5, dashed), *drawn]


def _end_labels(s: _Sheet, ends: list[tuple[float, str, bool]]) -> list[Mark]:
    """Series named at the line's end on a desk, in a key above the drawing on a phone."""
    drawn: list[Mark] = []
    if s is NARROW:
        for i, (_, words, dashed) in enumerate(ends):
            x = s.left + 138 * i
            drawn.append(Line(x, 10, x + 22, 10, "b" if dashed else "a", 2.5, dashed))
            drawn.append(Text(x + 27, 14, fit(words, 112, 12), "ink", 12))
        return drawn
    last = -100.0
    for y, words, dashed in sorted(ends):
        y = max(y, last + 16)
        last = y
        role: Role = "b" if dashed else "a"
        drawn.append(Text(s.right + 8, y + 4, fit(words, 122, 13), role, 13, bold=True, tip=words))
    return drawn


def _days(first: dt.date, last: dt.date, most: int) -> list[dt.date]:
    span = (last - first).days
    count = min(most - 1, span)
    if count <= 0:
        return [first]
    return [first + dt.timedelta(days=round(span * i / count)) for i in range(count + 1)]


def rate_steps(
    steps: Sequence[RateStep],
    *,
    leave_rate: float | None = None,
    title: str,
    desc: str,
    unit: str,
    words: Say = plain,
) -> Figure | None:
    """Gold per hour of each clean-up, the falling fit dashed, and the rate to leave at.

    Args: steps: in order of time. leave_rate, rates: in `unit`. None without steps.
    """
    if not steps:
        return None
    wide, narrow = (_rates(s, steps, leave_rate, unit, words) for s in (WIDE, NARROW))
    table = tuple(
        (
            step.label,
            say("{start_min:.0f} to {end_min:.0f}", start_min=step.start_min, end_min=step.end_min),
            "unknown" if step.rate is None else words(step.rate),
            "unknown" if step.fitted is None else words(step.fitted),
        )
        for step in steps
    )
    heads = (
        say("Clean-up"),
        say("Minutes at the hole"),
        say("Rate, {unit}", unit=unit),
        say("Smoothed rate, {unit}", unit=unit),
    )
    return Figure(wide, narrow, title, desc, heads, table)


def _rates(
    s: _Sheet, steps: Sequence[RateStep], leave: float | None, unit: str, words: Say
) -> Scene:
    told = [v for step in steps for v in (step.rate, step.fitted) if v is not None]
    up, drawn = _ground(s, [*told, *([leave] if leave is not None else [])], unit)
    most_min = max(step.end_min for step in steps)
    along, minutes = axis([0.0, most_min], s.left, s.right, s.x_ticks)
    for minute, label in zip(minutes, tick_words(minutes), strict=True):
        drawn.append(Text(along.at(minute), s.bottom + 18, label, "muted", 12, "middle"))
    middle = (s.left + s.right) / 2
    drawn.append(Text(middle, s.bottom + 36, say("minutes at the hole"), "muted", 12, "middle"))
    for step in steps:
        left, right = along.at(step.start_min), along.at(step.end_min)
        if step.rate is None:
            tip = say("{label}: rate not known", label=step.label)
            drawn.append(Dot((left + right) / 2, up.at(0.0), 4, "a", hollow=True, tip=tip))
            continue
        y = up.at(step.rate)
        drawn.append(Line(left, y, right, y, "a", 4))
        tip = f"{step.label}: {words(step.rate)} {unit}"
        drawn.append(Dot((left + right) / 2, y, 4, "a", tip=tip))
    drawn += _fit_line(steps, along.at, up)
    if leave is not None:
        y = up.at(leave)
        drawn.append(Line(s.left, y, s.right, y, "ink", 1.5, True))
        told_leave = say("leave below {leave}", leave=words(leave))
        if s is WIDE:
            drawn.append(Text(s.right + 8, y + 4, fit(told_leave, 122, 12), size=12, bold=True))
        else:
            drawn.append(Text(s.right, y - 5, told_leave, "ink", 12, "end", bold=True))
    return Scene(s.width, s.height, tuple(drawn))


def _fit_line(steps: Sequence[RateStep], x_at: Callable[[float], float], up: Axis) -> list[Mark]:
    path: list[tuple[float, float]] = []
    for step in steps:
        if step.fitted is not None:
            y = up.at(step.fitted)
            path += [(x_at(step.start_min), y), (x_at(step.end_min), y)]
    return [Path(tuple(path), "b", 2, True)] if path else []


def _ground(s: _Sheet, values: Sequence[float], unit: str) -> tuple[Axis, list[Mark]]:
    """The upright axis with its grid; the unit stands above it."""
    head = 44.0
    up, marks = axis(values, s.bottom, head, s.y_ticks)
    drawn: list[Mark] = [Text(0, 32 if s is NARROW else 18, unit, "muted", 12)]
    for value, label in zip(marks, tick_words(marks), strict=True):
        y = up.at(value)
        zero = abs(value) < 1e-12
        drawn.append(Line(s.left, y, s.right, y, "muted" if zero else "grid", 1.5 if zero else 1))
        drawn.append(Text(s.left - 7, y + 4, label, "muted", 12, "end"))
    return up, drawn
