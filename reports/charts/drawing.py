"""Paints a scene for print, from the same marks as the page."""

from collections.abc import Callable
from typing import Any

from reports.charts.scene import Box, Dot, Line, Mark, Path, Role, Scene, Text

# The print colours of the page's style sheet; a test compares the two.
PRINT: dict[Role, str] = {
    "ink": "#000000",
    "muted": "#444444",
    "grid": "#bbbbbb",
    "a": "#0a464b",
    "b": "#6b3f05",
    "paper": "#ffffff",
}


def paint_drawing(
    scene: Scene,
    *,
    width: float,
    font: str,
    bold_font: str,
    string: Callable[..., Any] | None = None,
) -> Any:
    """The scene as a reportlab Drawing `width` points wide, in two registered faces.

    Args: string: makes the shape of a text from x, y, text, face, size, colour and anchor, for
    letters that the faces lack.
    """
    from reportlab.graphics.shapes import Drawing

    factor = width / scene.width
    drawing = Drawing(width, scene.height * factor, initialFontName=font)
    for mark in scene.marks:
        drawing.add(_shape(mark, factor, scene.height, (font, bold_font), string or _string))
    return drawing


def _shape(
    mark: Mark, k: float, height: float, faces: tuple[str, str], string: Callable[..., Any]
) -> Any:
    from reportlab.graphics import shapes

    def up(y: float) -> float:
        return (height - y) * k

    match mark:
        case Line():
            return shapes.Line(mark.x1 * k, up(mark.y1), mark.x2 * k, up(mark.y2), **_pen(mark, k))
        case Path():
            flat = [c for x, y in mark.points for c in (x * k, up(y))]
            return shapes.PolyLine(flat, **_pen(mark, k))
        case Box():
            return shapes.Rect(
                mark.x * k,
                up(mark.y + mark.height),
                mark.width * k,
                mark.height * k,
                fillColor=_colour(mark.fill),
                strokeColor=_colour(mark.edge),
                strokeWidth=1.5 * k,
                strokeDashArray=[5 * k, 4 * k] if mark.dash else None,
            )
        case Dot():
            return shapes.Circle(
                mark.x * k,
                up(mark.y),
                mark.radius * k,
                fillColor=_colour("paper" if mark.hollow else mark.role),
                strokeColor=_colour(mark.role),
                strokeWidth=2 * k,
            )
        case Text():
            face = faces[1] if mark.bold else faces[0]
            at = (mark.x * k, up(mark.y))
            return string(*at, mark.text, face, mark.size * k, _colour(mark.role), mark.anchor)


def _string(x: float, y: float, text: str, font: str, size: float, colour: Any, anchor: str) -> Any:
    from reportlab.graphics.shapes import String

    return String(x, y, text, fontName=font, fontSize=size, fillColor=colour, textAnchor=anchor)


def _pen(mark: Line | Path, k: float) -> dict[str, Any]:
    return {
        "strokeColor": _colour(mark.role),
        "strokeWidth": mark.width * k,
        "strokeDashArray": [5 * k, 4 * k] if mark.dash else None,
    }


def _colour(role: Role) -> Any:
    from reportlab.lib.colors import HexColor

    return HexColor(PRINT[role]) if role != "none" else None
