"""Paints a scene as inline SVG: classes instead of colours, so that the page's sheet decides."""

from html import escape

from reports.charts.scene import Box, Dot, Figure, Line, Mark, Path, Scene, Text

DASH = ' stroke-dasharray="5 4"'


def paint_svg(scene: Scene, *, title: str, desc: str, prefix: str, kind: str) -> str:
    """The scene as one <svg> element, all text escaped, without style attributes.

    Args: title, desc: what it shows and the finding, read aloud instead of the marks.
    prefix: letters that make the ids unique on the page. kind: class, "wide" or "narrow".
    """
    key = escape(f"{prefix}-{kind}", quote=True)
    inside = "".join(_mark(mark) for mark in scene.marks)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{escape(kind, quote=True)}" role="img"'
        f' viewBox="0 0 {_n(scene.width)} {_n(scene.height)}"'
        f' aria-labelledby="{key}-t {key}-d">'
        f'<title id="{key}-t">{_words(title)}</title><desc id="{key}-d">{_words(desc)}</desc>'
        f"{inside}</svg>"
    )


def paint_both(figure: Figure, prefix: str) -> tuple[str, str]:
    """The wide and the narrow drawing of a figure; the page shows one by its width."""
    return (
        paint_svg(figure.wide, title=figure.title, desc=figure.desc, prefix=prefix, kind="wide"),
        paint_svg(
            figure.narrow, title=figure.title, desc=figure.desc, prefix=prefix, kind="narrow"
        ),
    )


def _mark(mark: Mark) -> str:
    match mark:
        case Line():
            return (
                f'<line class="s-{mark.role}" x1="{_n(mark.x1)}" y1="{_n(mark.y1)}"'
                f' x2="{_n(mark.x2)}" y2="{_n(mark.y2)}" stroke-width="{_n(mark.width)}"'
                f"{DASH if mark.dash else ''}/>"
            )
        case Path():
            points = " ".join(f"{_n(x)},{_n(y)}" for x, y in mark.points)
            return (
                f'<polyline class="s-{mark.role} f-none" points="{points}"'
                f' stroke-width="{_n(mark.width)}"{DASH if mark.dash else ""}/>'
            )
        case Box():
            return (
                f'<rect class="f-{mark.fill} s-{mark.edge}" x="{_n(mark.x)}" y="{_n(mark.y)}"'
                f' width="{_n(mark.width)}" height="{_n(mark.height)}" stroke-width="1.5"'
                f"{DASH if mark.dash else ''}>{_tip(mark.tip)}</rect>"
            )
        case Dot():
            fill = "paper" if mark.hollow else mark.role
            return (
                f'<circle class="s-{mark.role} f-{fill}" cx="{_n(mark.x)}" cy="{_n(mark.y)}"'
                f' r="{_n(mark.radius)}" stroke-width="2">{_tip(mark.tip)}</circle>'
            )
        case Text():
            weight = ' font-weight="600"' if mark.bold else ""
            return (
                f'<text class="f-{mark.role}" x="{_n(mark.x)}" y="{_n(mark.y)}"'
                f' font-size="{_n(mark.size)}" text-anchor="{mark.anchor}"{weight}>'
                f"{_tip(mark.tip)}{_words(mark.text)}</text>"
            )


def _tip(words: str) -> str:
    return f"<title>{_words(words)}</title>" if words else ""


def _words(words: str) -> str:
    # Control characters are not allowed in XML at all, escaped or not.
    return escape("".join(c if _sayable(c) else " " for c in words))


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _sayable(character: str) -> bool:
    return (
        character >= " "
        and character not in "\ufffe\uffff"
        and not "\ud800" <= character <= "\udfff"
    )
