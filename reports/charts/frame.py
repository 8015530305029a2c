"""The ground that the row charts share: where names, bars and numbers go, and the axis below."""

from collections.abc import Iterable
from dataclasses import dataclass

from reports.charts.scale import Axis, axis, fit, tick_words
from reports.charts.scene import Anchor, Line, Mark, Scene, Text

TEXT = 13.0
SMALL = 12.0


@dataclass(frozen=True)
class Layout:
    """Measures of one version of a row chart, in units of the drawing."""

    width: float
    name_width: float
    start: float
    end: float
    number_width: float
    row: float
    ticks: int
    stacked: bool

    def bar_y(self, top: float) -> float:
        """Height of the bar in a row that starts at `top`."""
        return top + (self.row * 0.7 if self.stacked else self.row / 2)


WIDE = Layout(640, 176, 190, 448, 180, 32, 6, False)
NARROW = Layout(340, 178, 12, 328, 150, 50, 4, True)
LAYOUTS = (WIDE, NARROW)


def row_axis(
    layout: Layout, values: Iterable[float], zero: bool = True
) -> tuple[Axis, tuple[float, ...]]:
    """The axis of a layout that covers the values, with its ticks."""
    return axis(values, layout.start, layout.end, layout.ticks, zero)


def name_and_number(
    layout: Layout, top: float, name: str, number: str, muted: bool = False
) -> list[Mark]:
    """The row's name on the left and its number on the right; the full name as a tip."""
    base = top + 17 if layout.stacked else layout.bar_y(top) + 5
    short = fit(name, layout.name_width, TEXT)
    told = fit(number, layout.number_width, SMALL)
    return [
        Text(0, base, short, size=TEXT, bold=layout.stacked, tip=name if short != name else ""),
        Text(
            layout.width,
            base,
            told,
            role="muted" if muted else "ink",
            size=SMALL,
            anchor="end",
            tip=number if told != number else "",
        ),
    ]


def grid(
    layout: Layout, scale: Axis, marks: tuple[float, ...], top: float, bottom: float, unit: str
) -> list[Mark]:
    """Grid lines, a stronger line at zero, tick labels and the unit below the axis."""
    found: list[Mark] = []
    for value, words in zip(marks, tick_words(marks), strict=True):
        x = scale.at(value)
        if abs(value) < 1e-12:
            found.append(Line(x, top, x, bottom, "muted", 1.5))
        else:
            found.append(Line(x, top, x, bottom, "grid"))
        anchor = _anchor(layout, x)
        found.append(Text(x, bottom + 16, words, "muted", SMALL, anchor))
    middle = (layout.start + layout.end) / 2
    found.append(Text(middle, bottom + 34, unit, "muted", SMALL, "middle"))
    return found


def _anchor(layout: Layout, x: float) -> Anchor:
    if x < 20:
        return "start"
    return "end" if x > layout.width - 20 else "middle"


def sheet(layout: Layout, bottom: float, marks: list[Mark]) -> Scene:
    """The finished scene with room for the axis words below `bottom`."""
    return Scene(layout.width, bottom + 42, tuple(marks))
