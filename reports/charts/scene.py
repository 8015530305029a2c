"""What a drawing is made of: marks with a role instead of a colour.

Both painters read the same marks, so page and print can't show different numbers. Lengths are
in units of the drawing, y grows downwards.
"""

from dataclasses import dataclass
from typing import Literal

Role = Literal["ink", "muted", "grid", "a", "b", "paper", "none"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Line:
    """A straight line; `dash` sets the second series apart without colour."""

    x1: float
    y1: float
    x2: float
    y2: float
    role: Role
    width: float = 1.0
    dash: bool = False


@dataclass(frozen=True)
class Path:
    """An open line through several points."""

    points: tuple[tuple[float, float], ...]
    role: Role
    width: float = 2.0
    dash: bool = False


@dataclass(frozen=True)
class Box:
    """A rectangle, filled with one role and edged with another; `tip` is read on hovering."""

    x: float
    y: float
    width: float
    height: float
    fill: Role
    edge: Role = "none"
    dash: bool = False
    tip: str = ""


@dataclass(frozen=True)
class Dot:
    """A round mark; hollow where the range around it is not known."""

    x: float
    y: float
    radius: float
    role: Role
    hollow: bool = False
    tip: str = ""


@dataclass(frozen=True)
class Text:
    """Words at a baseline; `tip` carries the full words where these are cut short."""

    x: float
    y: float
    text: str
    role: Role = "ink"
    size: float = 13.0
    anchor: Anchor = "start"
    bold: bool = False
    tip: str = ""


Mark = Line | Path | Box | Dot | Text


@dataclass(frozen=True)
class Scene:
    """Marks on a sheet of a given size, painted in order."""

    width: float
    height: float
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Figure:
    """One chart, drawn for a desk and for a phone, with its finding and numbers in words."""

    wide: Scene
    narrow: Scene
    title: str
    desc: str
    table_headers: tuple[str, ...]
    table_rows: tuple[tuple[str, ...], ...]
