"""The style sheet's colours, read from the sheet itself."""

import re
from pathlib import Path

import pytest

from reports.charts.drawing import PRINT

SHEET = Path(__file__).parents[2] / "trips/static/trips/trips.css"
SCHEMES = ("light", "dark", "print")

# Every text colour on every ground that it stands on.
PAIRS = [
    (text, ground)
    for text in ("ink", "muted", "a", "b", "stop", "ask")
    for ground in ("paper", "panel", "tint")
] + [("on-a", "a"), ("on-a", "stop")]


def colours() -> dict[str, dict[str, str]]:
    blocks = re.findall(r":root \{(.*?)\}", SHEET.read_text(encoding="utf-8"), re.DOTALL)
    assert len(blocks) == len(SCHEMES)
    return {
        scheme: dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))
        for scheme, block in zip(SCHEMES, blocks, strict=True)
    }


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, definition "relative luminance" (from memory)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_21():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_text_reaches_4_5_to_1(scheme, text, ground):
    found = colours()[scheme]
    assert contrast(found[text], found[ground]) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", ["paper", "panel"])
def test_borders_of_controls_reach_3_to_1(scheme, ground):
    found = colours()[scheme]
    assert contrast(found["edge"], found[ground]) >= 3


def test_every_scheme_sets_every_colour():
    found = colours()
    assert set(found["light"]) == set(found["dark"]) == set(found["print"])


def test_no_colour_is_written_outside_the_root_blocks():
    sheet = re.sub(r":root \{.*?\}", "", SHEET.read_text(encoding="utf-8"), flags=re.DOTALL)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b(?=\s*[;,)])", sheet) == []


def test_drawings_use_the_print_colours_of_the_sheet():
    sheet = colours()["print"]
    names = {"ink": "ink", "muted": "muted", "grid": "line", "a": "a", "b": "b", "paper": "panel"}
    assert {role: sheet[name] for role, name in names.items()} == PRINT
