"""The ground that the row charts share: where names, bars and numbers go, and the axis below."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from reports.charts.scale import ELLIPSIS, LEADING, Axis, axis, fit_lines, letters, tick_words
from reports.charts.scene import Anchor, Line, Mark, Scene, Text

TEXT = 13.0
SMALL = 12.0


@dataclass(frozen=True)
class Layout:
    """Measures of one version of a row chart, in units of the drawing."""

    width: float
    name_width: float | None
    start: float
    end: float
    number_width: float
    row: float
    ticks: int
    stacked: bool

    def bar_y(self, top: float) -> float:
        """Height of the bar in a row that starts at `top`."""
        return top + (self.row * 0.7 if self.stacked else self.row / 2)


WIDE = Layout(640, 196, 208, 452, 178, 32, 6, False)
NARROW = Layout(340, None, 12, 328, 210, 50, 4, True)
LAYOUTS = (WIDE, NARROW)


def row_axis(
    layout: Layout, values: Iterable[float], zero: bool = True
) -> tuple[Axis, tuple[float, ...]]:
    """The axis of a layout that covers the values, with its ticks."""
    return axis(values, layout.start, layout.end, layout.ticks, zero)


def name_and_number(
    layout: Layout, top: float, name: str, numbers: tuple[str, ...], muted: bool = False
) -> list[Mark]:
    """The row's name on the left, in two lines where one is too short for it, and its number on
    the right; the full name of one that is cut all the same as a tip.

    Args: numbers: ways to say the number, longest first. The first that fits is shown: a
    number that is cut short would be read as another number.
    """
    base = top + 17 if layout.stacked else layout.bar_y(top) + 5
    number = next(
        (way for way in numbers if letters(way, SMALL) <= layout.number_width), numbers[-1]
    )
    size = TEXT
    if layout.stacked:
        number, size = _beside(layout, name, numbers) or (number, TEXT)
    room = layout.name_width or layout.width - letters(number, SMALL) - 10
    said = fit_lines(name, room, size, 1 if layout.stacked else 2)
    tip = name if any(line.endswith(ELLIPSIS) for line in said) else ""
    first = base - (len(said) - 1) * LEADING / 2
    return [
        *(
            Text(0, first + n * LEADING, line, size=size, bold=layout.stacked, tip=tip)
            for n, line in enumerate(said)
        ),
        Text(
            layout.width,
            base,
            number,
            role="muted" if muted else "ink",
            size=SMALL,
            anchor="end",
            tip=numbers[0] if number != numbers[0] else "",
        ),
    ]


def _beside(layout: Layout, name: str, numbers: tuple[str, ...]) -> tuple[str, float] | None:
    """The longest way to say the number that leaves the whole name its room, and the name's size.

    Returns: None where the name is too long for any.
    """
    for way in numbers:
        room = layout.width - letters(way, SMALL) - 10
        for size in (TEXT, SMALL, 11.0):
            if letters(name, size) <= room and letters(way, SMALL) <= layout.number_width:
                return way, size
    return None


def grid(
    layout: Layout,
    scale: Axis,
    marks: tuple[float, ...],
    tops: Sequence[float],
    bottom: float,
    unit: str,
) -> list[Mark]:
    """Grid lines, a stronger line at zero, tick labels and the unit below the axis.

    Args: tops: where each row starts; on a phone lines stand only beside the bars, so that
    none runs through a name.
    """
    found: list[Mark] = []
    for value, words in zip(marks, tick_words(marks), strict=True):
        x = scale.at(value)
        zero = abs(value) < 1e-12
        for high, low in spans(layout, tops, bottom):
            found.append(Line(x, high, x, low, "muted" if zero else "grid", 1.5 if zero else 1))
        found.append(Text(x, bottom + 16, words, "muted", SMALL, _anchor(layout, x)))
    middle = (layout.start + layout.end) / 2
    found.append(Text(middle, bottom + 34, unit, "muted", SMALL, "middle"))
    return found


def spans(layout: Layout, tops: Sequence[float], bottom: float) -> list[tuple[float, float]]:
    """From where to where an upright line runs: whole, or beside each bar on a phone."""
    if not layout.stacked:
        return [(tops[0], bottom)]
    return [(layout.bar_y(top) - 11, layout.bar_y(top) + 11) for top in tops]


def _anchor(layout: Layout, x: float) -> Anchor:
    if x < 20:
        return "start"
    return "end" if x > layout.width - 20 else "middle"


def sheet(layout: Layout, bottom: float, marks: list[Mark]) -> Scene:
    """The finished scene with room for the axis words below `bottom`."""
    return Scene(layout.width, bottom + 42, tuple(marks))
