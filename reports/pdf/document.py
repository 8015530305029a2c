"""Story to bytes: header, footer with "Page n of m", bookmarks, the same bytes every time."""

import datetime as dt
from collections.abc import Sequence
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from reports.pdf.scripted import draw_text
from reports.pdf.styles import BODY, BOLD, LINE, MARGIN, MUTED, register_fonts
from reports.pdf.words import Words
from trips.calc.words import say

HEAD_ROOM = 18
FOOT_ROOM = 14
OUTLINE = {"title": 0, "heading": 0, "subheading": 1}


class _NumberedCanvas(Canvas):
    """Keeps the pages back until their number is known."""

    head = ("", "")
    foot = ""

    def __init__(self, *args, **kwargs):
        # Without this every file names a Helvetica that isn't embedded.
        kwargs["initialFontName"] = BODY
        super().__init__(*args, **kwargs)
        self._kept: list[dict] = []

    def showPage(self):
        self._kept.append(dict(self.__dict__))
        self._startPage()

    def save(self):
        for number, state in enumerate(self._kept, start=1):
            self.__dict__.update(state)
            self._furniture(number, len(self._kept))
            super().showPage()
        super().save()

    def _furniture(self, number: int, total: int) -> None:
        width, height = self._pagesize
        right = width - MARGIN
        self.setStrokeColor(LINE)
        self.setLineWidth(0.5)
        self.setFillColor(MUTED)
        foot_y = MARGIN - 4
        self.line(MARGIN, foot_y + 11, right, foot_y + 11)
        draw_text(self, MARGIN, foot_y, self.foot, BODY, 7.5)
        self.setFont(BODY, 7.5)
        self.drawRightString(
            right, foot_y, say("Page {number} of {total}", number=number, total=total)
        )
        if number > 1:
            head_y = height - MARGIN + 2
            draw_text(self, MARGIN, head_y, self.head[0], BOLD, 8)
            draw_text(self, right, head_y, self.head[1], BODY, 8, "end")
            self.line(MARGIN, head_y - 5, right, head_y - 5)


class _Document(BaseDocTemplate):
    """Bookmarks every heading."""

    def afterInit(self):
        self._marks = 0
        self._headed = False

    def afterFlowable(self, flowable: Flowable) -> None:
        style = getattr(getattr(flowable, "style", None), "name", "")
        if style not in OUTLINE:
            return
        # A subheading before any heading would skip a level, which an outline refuses.
        self._headed = self._headed or OUTLINE[style] == 0
        level = OUTLINE[style] if self._headed else 0
        self._marks += 1
        key = f"mark-{self._marks}"
        self.canv.bookmarkPage(key)
        self.canv.addOutlineEntry(flowable.getPlainText(), key, level=level)


def build(
    story: Sequence[Flowable],
    *,
    title: str,
    subject: str,
    author: str,
    pagesize: tuple[float, float],
    printed_on: dt.date,
    words: Words | None = None,
) -> bytes:
    """The PDF of a story, byte for byte the same for the same input.

    Args: title, author (the party): in the page head and the file's properties. pagesize:
    points, from `page_size`. printed_on: in the footer. words: collects what can't be drawn.
    """
    register_fonts()
    words = words or Words()
    head = (_cut(words.plain(title, "title"), 60), _cut(words.plain(author, "party"), 40))
    foot = _cut(
        say(
            "{subject} · printed {printed_on:%Y-%m-%d}",
            subject=words.plain(subject, "subject"),
            printed_on=printed_on,
        ),
        90,
    )

    class Numbered(_NumberedCanvas):
        pass

    Numbered.head, Numbered.foot = head, foot
    out = BytesIO()
    document = _Document(
        out,
        pagesize=pagesize,
        title=title,
        subject=subject,
        author=author,
        creator="Gravel Ledger",
        lang="en",
        invariant=1,
        displayDocTitle=1,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
    )
    width, height = pagesize
    frame = Frame(
        MARGIN,
        MARGIN + FOOT_ROOM,
        width - 2 * MARGIN,
        height - 2 * MARGIN - FOOT_ROOM - HEAD_ROOM + 8,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    document.addPageTemplates([PageTemplate(id="page", frames=[frame])])
    document.build(list(story), canvasmaker=Numbered)
    return out.getvalue()


def _cut(text: str, most: int) -> str:
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1].rstrip() + "…"
