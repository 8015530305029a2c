import re
from xml.etree import ElementTree

import pytest

from reports.charts.drawing import paint_drawing
from reports.charts.scene import Dot, Scene, Text
from reports.charts.svg import paint_both, paint_svg

from .samples import ALL, HOSTILE, intervals

SPACE = "{http://www.w3.org/2000/svg}"


def strings_of(svg: str) -> list[str]:
    """Words of the marks, without the hover tips inside them."""
    found = []
    for node in ElementTree.fromstring(svg).iter(f"{SPACE}text"):
        tip = node.find(f"{SPACE}title")
        found.append((node.text or "") + (tip.tail or "" if tip is not None else ""))
    return found


@pytest.mark.parametrize("name", ALL)
def test_svg_is_well_formed_and_carries_no_style_script_or_handler(name):
    for svg in paint_both(ALL[name](), "c1"):
        ElementTree.fromstring(svg)
        assert not re.search(r"\sstyle=|<style|<script|\son\w+=", svg)


def test_hostile_names_come_out_as_text():
    wide, narrow = paint_both(intervals(), "c1")
    for svg in (wide, narrow):
        root = ElementTree.fromstring(svg)
        told = "".join(root.itertext())
        assert HOSTILE.replace("\x07", " ") in told
        assert root.find(f".//{SPACE}script") is None


def test_ids_are_unique_across_two_charts_and_both_versions():
    together = "".join(paint_both(intervals(), "c1") + paint_both(intervals(), "c2"))
    ids = re.findall(r'\bid="([^"]+)"', together)
    assert len(ids) == 8
    assert len(set(ids)) == 8


def test_title_and_finding_are_named_by_the_drawing():
    root = ElementTree.fromstring(paint_both(intervals(), "c1")[0])
    named = root.attrib["aria-labelledby"].split()
    by_id = {node.attrib["id"]: node.text for node in root if "id" in node.attrib}
    assert [by_id[key] for key in named][1] == "Best guess & range."


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("version", ["wide", "narrow"])
def test_both_painters_show_the_same_words_at_the_same_places(name, version):
    scene = getattr(ALL[name](), version)
    svg = paint_svg(scene, title="t", desc="d", prefix="p", kind="wide")
    drawing = paint_drawing(scene, width=scene.width, font="Helvetica", bold_font="Helvetica")
    drawn = [shape for shape in drawing.contents if hasattr(shape, "text")]
    clean = [shape.text.replace("\x07", " ") for shape in drawn]
    assert strings_of(svg) == clean
    places = [
        (float(node.attrib["x"]), float(node.attrib["y"]))
        for node in ElementTree.fromstring(svg).iter(f"{SPACE}text")
    ]
    for (x, y), shape in zip(places, drawn, strict=True):
        assert x == pytest.approx(shape.x, abs=0.06)
        assert scene.height - y == pytest.approx(shape.y, abs=0.06)


def test_drawing_scales_to_the_width_asked_for():
    drawing = paint_drawing(
        Scene(640, 320, (Text(640, 160, "end"),)), width=480, font="Helvetica", bold_font="Courier"
    )
    assert (drawing.width, drawing.height) == (480, 240)
    assert (drawing.contents[0].x, drawing.contents[0].y) == (480, 120)


def test_hollow_dot_is_filled_like_the_ground():
    svg = paint_svg(
        Scene(10, 10, (Dot(5, 5, 3, "a", hollow=True),)), title="", desc="", prefix="p", kind="k"
    )
    assert 'class="s-a f-paper"' in svg
