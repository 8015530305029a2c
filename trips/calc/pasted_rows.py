"""Rows copied from a spreadsheet → cells by column. Pure.

Cells are parted by tabs (what spreadsheets put on the clipboard), else by semicolons, else by
commas; a cell in quotes may hold any of them. A first line that names columns is a heading and
says the order; without one the order is the usual one of the kind.
"""

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from trips.calc.words import say

MOST_ROWS = 300
LONGEST_CELL = 4000


@dataclass(frozen=True)
class PastedRow:
    """A line with its number from 1 and its cells by column; an empty cell is left out."""

    number: int
    cells: Mapping[str, str]
    problem: str = ""


def parting(text: str) -> str:
    """The sign between cells."""
    if "\t" in text:
        return "\t"
    first = next((line for line in text.splitlines() if line.strip()), "")
    return ";" if ";" in first else ","


def read_rows(
    text: str,
    *,
    usual: Sequence[str],
    words: Mapping[str, str],
    fold: Callable[[str], str],
) -> list[PastedRow]:
    """Every line that holds something, without the heading.

    Args:
        usual: the columns in the order that holds without a heading.
        words: column by the folded words that a heading may use for it.
    """
    text = text.replace("\x00", "").lstrip("\ufeff")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parting(text))
    columns: Sequence[str | None] = usual
    unknown: dict[int, str] = {}
    rows: list[PastedRow] = []
    is_first = True
    try:
        for line in reader:
            cells = [cell.strip() for cell in line]
            if not any(cells):
                continue
            if is_first and _is_heading(cells, words, fold):
                columns = [words.get(fold(cell)) for cell in cells]
                unknown = {
                    i: cell
                    for i, (cell, column) in enumerate(zip(cells, columns, strict=True))
                    if cell and column is None
                }
                is_first = False
                continue
            is_first = False
            if len(rows) == MOST_ROWS:
                rows.append(
                    PastedRow(
                        reader.line_num,
                        {},
                        say("At most {most_rows} rows at once.", most_rows=MOST_ROWS),
                    )
                )
                break
            rows.append(_row(reader.line_num, cells, columns, unknown))
    except csv.Error as error:
        rows.append(
            PastedRow(
                reader.line_num, {}, say("This line can't be taken apart: {error}.", error=error)
            )
        )
    return rows


def _is_heading(cells: Sequence[str], words: Mapping[str, str], fold: Callable[[str], str]) -> bool:
    told = [cell for cell in cells if cell]
    known = sum(fold(cell) in words for cell in told)
    return known >= 2 or known == len(told)


def _row(
    number: int,
    cells: Sequence[str],
    columns: Sequence[str | None],
    unknown: Mapping[int, str],
) -> PastedRow:
    found: dict[str, str] = {}
    for place, cell in enumerate(cells):
        if not cell:
            continue
        if len(cell) > LONGEST_CELL:
            return PastedRow(
                number,
                {},
                say("A cell holds at most {longest_cell} characters.", longest_cell=LONGEST_CELL),
            )
        if place in unknown:
            what = say(
                "The heading “{unknown}” isn't a column that is known here.",
                unknown=unknown[place][:40],
            )
            return PastedRow(number, {}, what)
        column = columns[place] if place < len(columns) else None
        if column is None:
            expected = ", ".join(name for name in columns if name)
            what = say(
                "Cell {place} (“{cell}”) has no column; expected {expected}.",
                place=place + 1,
                cell=cell[:40],
                expected=expected,
            )
            return PastedRow(number, {}, what)
        found[column] = cell
    return PastedRow(number, found)
