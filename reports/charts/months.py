"""The season calendar: sites by months, with the trips planned and the time that is open."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reports.charts.scale import ELLIPSIS, LEADING, fit, fit_lines, letters
from reports.charts.scene import Box, Figure, Line, Mark, Scene, Text
from trips.calc.words import say


@dataclass(frozen=True)
class SiteMonth:
    """One site in one month: trips planned, and days that nothing stops of the days there are."""

    trips: int
    open_days: int
    days: int


@dataclass(frozen=True)
class SiteRow:
    """A site with one cell for each month, in the order of the months."""

    name: str
    cells: tuple[SiteMonth, ...]


@dataclass(frozen=True)
class _Sheet:
    width: float
    names: float  # room for the names; 0: they stand above their row
    row: float
    text: float

    @property
    def cell_height(self) -> float:
        return self.row - (8 if self.names else 26)


WIDE = _Sheet(640, 176, 40, 13)
NARROW = _Sheet(340, 0, 58, 12)
HEAD = 24.0
# A long name takes room from the months, down to what still shows a number.
WIDEST_NAMES = 264.0


def season_calendar(
    months: Sequence[str], rows: Sequence[SiteRow], *, title: str, desc: str
) -> Figure | None:
    """Trips by site and month, and how much of each month is open; None without rows or months.

    Args: months: short names in order, as many as each row has cells.
    Raises: ValueError for a row with another number of cells.
    """
    if not rows or not months:
        return None
    longest = max(letters(row.name, WIDE.text) for row in rows) + 8
    roomy = replace(WIDE, names=min(WIDEST_NAMES, max(WIDE.names, longest)))
    wide, narrow = (_calendar(s, months, rows) for s in (roomy, NARROW))
    table = tuple(
        (
            row.name,
            month,
            str(cell.trips),
            say("{open_days} of {days}", open_days=cell.open_days, days=cell.days),
        )
        for row in rows
        for month, cell in zip(months, row.cells, strict=True)
    )
    heads = (say("Site"), say("Month"), say("Trips planned"), say("Days that no checklist stops"))
    return Figure(wide, narrow, title, desc, heads, table)


def _calendar(s: _Sheet, months: Sequence[str], rows: Sequence[SiteRow]) -> Scene:
    step = (s.width - s.names) / len(months)
    drawn: list[Mark] = [
        Text(s.names + step * (n + 0.5), 15, fit(month, step - 2, 12), "muted", 12, "middle")
        for n, month in enumerate(months)
    ]
    for number, row in enumerate(rows):
        top = HEAD + number * s.row
        drawn += _name(s, top, row.name)
        for n, (month, cell) in enumerate(zip(months, row.cells, strict=True)):
            left = s.names + step * n + 2
            place = (left, top + (2 if s.names else 20), step - 4)
            drawn += _cell(s, place, cell, f"{row.name}, {month}")
    return Scene(s.width, HEAD + len(rows) * s.row + 4, tuple(drawn))


def _name(s: _Sheet, top: float, name: str) -> list[Mark]:
    """The site's name before its row, in two lines where one is too short; above it on a phone."""
    said = fit_lines(name, (s.names or s.width) - 8, s.text, 2 if s.names else 1)
    tip = name if any(line.endswith(ELLIPSIS) for line in said) else ""
    first = top + (s.row / 2 + 4 - (len(said) - 1) * LEADING / 2 if s.names else 14)
    return [
        Text(0, first + n * LEADING, line, size=s.text, bold=not s.names, tip=tip)
        for n, line in enumerate(said)
    ]


def _cell(s: _Sheet, place: tuple[float, float, float], cell: SiteMonth, where: str) -> list[Mark]:
    left, top, width = place
    height = s.cell_height
    middle, base = left + width / 2, top + height / 2 + 3
    tip = say(
        "{where}: {trips} planned, {open_days} of {days} days open",
        where=where,
        trips=cell.trips,
        open_days=cell.open_days,
        days=cell.days,
    )
    if cell.open_days <= 0 and cell.trips == 0:
        box = Box(left, top, width, height, "none", "grid", dash=True, tip=tip)
        return [box, Text(middle, base, "–", "muted", 12, "middle", tip=tip)]
    bar = top + height - 2
    share = min(1.0, cell.open_days / cell.days) if cell.days else 0.0
    drawn: list[Mark] = [
        Box(left, top, width, height, "a" if cell.trips else "none", "grid", tip=tip),
        Line(left, bar, left + width * share, bar, "b", 4),
    ]
    if cell.trips:
        drawn.append(Text(middle, base, str(cell.trips), "paper", 14, "middle", bold=True))
    return drawn
