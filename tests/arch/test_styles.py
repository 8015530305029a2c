"""Style sheets name no side, so that a page in a right-to-left script is the mirror image, and say
no words, because nobody would translate them there.
"""

import re
from pathlib import Path

import pytest

SHEETS = [
    path
    for path in (Path(__file__).resolve().parents[2] / "trips" / "static").rglob("*.css")
    if "vendor" not in path.parts
]
PHYSICAL = re.compile(
    r"(?:margin|padding|border)-(?:left|right)\b|(?<![-\w])(?:left|right)\s*:"
    r"|text-align:\s*(?:left|right)|float:\s*(?:left|right)"
)

SAID = re.compile(r'content:\s*"(?!\\)[^"]*[^\W\d_]{2}')


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: path.name)
def test_no_sheet_says_words(sheet):
    """Write content: attr(data-words), with the words in the template."""
    assert SAID.findall(sheet.read_text(encoding="utf-8")) == []


def test_words_in_a_sheet_would_be_found():
    assert SAID.search('a::before { content: "Sort by"; }')
    assert not SAID.search('a::before { content: "\\25A0\\00A0"; }')


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: path.name)
def test_no_sheet_names_left_or_right(sheet):
    """Write margin-inline-start, inset-inline-end, text-align: start."""
    lines = sheet.read_text(encoding="utf-8").splitlines()
    found = [(n, line.strip()) for n, line in enumerate(lines, 1) if PHYSICAL.search(line)]
    assert found == []


def test_there_are_sheets_to_read():
    assert len(SHEETS) > 2
