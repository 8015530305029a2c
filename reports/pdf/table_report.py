"""Any `Report` on paper: what was asked, the table, how to read it, where figures come from."""

import re
from collections.abc import Sequence

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import CondPageBreak, Flowable

from reports.charts.scene import Figure
from reports.figures.report import Column, Report, cell_text
from reports.pdf.parts import Kit
from reports.pdf.parts import build as build_pdf
from trips.calc.words import say

HEAD_ROOM = 90  # points that a heading, the head of its table and first rows need
WIDE = 8  # a table of more columns lies on its side
PADDING = 13  # points beside the words of a cell
MOST_LETTERS = 18  # a longer word may be broken
BREAKS = re.compile("[ -]")


def build(report: Report, page_size: str, figure: Figure | None = None) -> bytes:
    """The PDF of a report, byte for byte the same for the same report.

    Args: page_size: "A4" or "LETTER". figure: the page's chart, drawn before the table.
    """
    kit = wide_kit(page_size) if len(report.columns) > WIDE else Kit(page_size)
    return build_pdf(
        story(kit, report, figure),
        title=report.title,
        subject=say("{title} as of {as_of}", title=report.title, as_of=cell_text(report.as_of)),
        author=report.party_name,
        pagesize=kit.pagesize,
        printed_on=report.as_of,
        words=kit.words,
    )


def wide_kit(page_size: str) -> Kit:
    """A kit whose pages lie on their side."""
    kit = Kit(page_size)
    across, down = kit.pagesize
    kit.width += down - across
    kit.pagesize = (down, across)
    return kit


def story(kit: Kit, report: Report, figure: Figure | None = None) -> list[Flowable]:
    """The report from its title to its sources; says which words couldn't be set."""
    asked = [(say("Record of"), report.party_name), (say("As of"), cell_text(report.as_of))]
    flow = [kit.title(report.title), kit.facts([*asked, *report.filters])]
    if figure is not None:
        flow.append(kit.figure(figure))
    if report.rows:
        rows, sums = report.text_rows, report.text_totals
        needs = _needs(kit, report.columns, [*rows, sums] if sums else rows)
        named = 0.0  # how wide the first column stands, once it was set
        for at in _beside(needs, kit.width):
            columns = [report.columns[i] for i in at]
            picked = [[row[i] for i in at] for row in rows]
            totals = [sums[i] for i in at] if sums else ()
            wished = _widths(columns, [*picked, totals] if totals else picked)
            need = [needs[i] for i in at]
            widths = _under(named, wished, need, kit.width) or _roomy(wished, need, kit.width)
            named = named or widths[0]
            flow.append(grid(kit, columns, picked, totals, widths=widths))
    else:
        flow.append(kit.para(say("There is nothing to list yet.")))
    flow += lines(kit, say("How to read it"), report.notes)
    flow += lines(kit, say("Sources"), report.sources)
    return [*flow, *not_set(kit)]


def section(kit: Kit, text: str) -> list[Flowable]:
    """A heading whose table may begin on the same page and run over to the next.

    The kit's own heading holds on to all that follows, which sends a long table to a new page.
    """
    heading = kit.heading(text)
    heading.keepWithNext = 0
    return [CondPageBreak(HEAD_ROOM), heading]


def grid(
    kit: Kit,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    totals: Sequence[str] = (),
    widths: Sequence[float] | None = None,
) -> Flowable:
    """A table of texts with the columns' own alignment; `totals` is one more row."""
    return kit.table(
        [column.header for column in columns],
        [*rows, totals] if totals else rows,
        numeric={i for i, column in enumerate(columns) if column.align == "right"},
        widths=widths,
        total_row=bool(totals),
    )


def _needs(kit: Kit, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[float]:
    """Points that each column needs for its longest word and its numbers to stay whole."""
    style = kit.styles.cell_bold
    return [
        PADDING + max(stringWidth(each, style.fontName, style.fontSize) for each in pieces)
        for pieces in _pieces(columns, rows)
    ]


def _beside(needs: Sequence[float], width: float) -> list[list[int]]:
    """Which columns stand beside each other: all of them, or as many as fit the page without a
    broken word, then the others in a table of their own that begins with the first column again.
    """
    parts, used = [[0]], needs[0]
    for i, need in enumerate(needs[1:], start=1):
        if used + need > width and len(parts[-1]) > 1:
            parts.append([0])
            used = needs[0]
        parts[-1].append(i)
        used += need
    return parts


def _roomy(wished: Sequence[float], needs: Sequence[float], width: float) -> list[float]:
    """The wished shares of the width, or each column's need and its share of what is left."""
    shares = [width * part / sum(wished) for part in wished]
    left = width - sum(needs)
    if left < 0 or all(share >= need for share, need in zip(shares, needs, strict=True)):
        return shares
    return [need + left * part / sum(wished) for need, part in zip(needs, wished, strict=True)]


def _under(
    first: float, wished: Sequence[float], needs: Sequence[float], width: float
) -> list[float]:
    """Widths of a table that goes on below: its first column as wide as it stands above."""
    if not first:
        return []
    return [first, *_roomy(wished[1:], needs[1:], width - first)]


def _pieces(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[set[str]]:
    """What of each column must not be broken: words of its head and cells, numbers and names."""
    found = []
    for i, column in enumerate(columns):
        cells = {row[i] for row in rows}
        whole = cells if column.align == "right" else set()
        if i == 0:  # what names the row stands on one line
            whole = {cell[:MOST_LETTERS] for cell in cells}
        found.append(whole | {word[:MOST_LETTERS] for word in _words(column, cells)})
    return found


def _words(column: Column, cells: set[str]) -> set[str]:
    """The words of a column; a number stays whole, so that no part of it needs a look."""
    texts = {column.header} if column.align == "right" else {column.header, *cells}
    return {word for text in texts for word in BREAKS.split(text)}


def _widths(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[float]:
    """Room for each column's longest word, and for whole numbers with their thin spaces."""
    found = []
    for i, column in enumerate(columns):
        cells = {row[i] for row in rows}
        widest = max(len(word) for word in _words(column, cells))
        longest = max(len(cell) for cell in cells)
        if column.align != "right":
            longest = min(MOST_LETTERS, longest)
        found.append(max(widest, longest) * 1.1 + 1.5)
    return found


def lines(kit: Kit, heading: str, texts: Sequence[str]) -> list[Flowable]:
    """A heading with small lines under it; nothing when there are none."""
    return [*section(kit, heading), *(kit.small(f"· {text}") for text in texts)] if texts else []


def not_set(kit: Kit) -> list[Flowable]:
    """What this PDF couldn't show as it was typed; goes last, when everything has been said."""
    if not kit.words.affected:
        return []
    said = [f"· {each.field}: {each.why}" for each in kit.words.affected]
    return [
        kit.heading(say("Not shown as typed")),
        kit.small(say("Print the page from the browser instead to have these words in full.")),
        *(kit.small(line) for line in said),
    ]
