"""SVG: well formed, the same from run to run, drawn like the page and safe with any name."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from cutopt.draw.scene import Align, Circle, Drawing, Hatch, Rounded, Style, Words
from cutopt.write.svg import svg_text

SVG = "{http://www.w3.org/2000/svg}"


def page() -> Drawing:
    drawing = Drawing(612, 792, "shop-S1")
    drawing.add(
        Words(50, 700, 'Side <left> & "right"', 12, Style.BOLD),
        Words(300, 650, "Rip", 14, align=Align.MIDDLE, stretch=0.9),
        Words(100, 100, "on end", 8, Style.ITALIC, angle=90),
        Circle(10, 10, 5),
        Rounded(20, 20, 40, 20, 3, fill=0.0),
        Hatch(50, 300, 100, 60),
    )
    drawing.line(0, 0, 612, 792, dash=(2, 1.5))
    drawing.rectangle(50, 400, 100, 50, 1.1, fill=0.85)
    return drawing


def parsed(drawing: Drawing) -> ET.Element:
    return ET.fromstring(svg_text(drawing.finish()))  # noqa: S314 - our own output


def test_two_runs_give_the_same_text():
    assert svg_text(page().finish()) == svg_text(page().finish())


def test_the_page_keeps_its_size_and_name():
    root = parsed(page())
    assert root.attrib["width"] == "612pt"
    assert root.attrib["viewBox"] == "0 0 612 792"
    assert root.findtext(f"{SVG}title") == "shop-S1"


def test_every_word_is_there_as_written():
    words = [element.text for element in parsed(page()).iter(f"{SVG}text")]
    assert words == ['Side <left> & "right"', "Rip", "on end"]


def test_up_on_paper_is_up_on_the_screen():
    first = next(parsed(page()).iter(f"{SVG}text"))
    assert float(first.attrib["y"]) == pytest.approx(792 - 700)


def test_every_mark_becomes_one_element():
    root = parsed(page())
    tags = [child.tag.removeprefix(SVG) for child in root]
    assert tags == [
        "title", "rect", "text", "text", "text", "circle", "rect", "path", "polyline", "polygon",
    ]  # fmt: skip


def test_greys_only():
    for element in parsed(page()).iter():
        for key in ("fill", "stroke"):
            colour = element.attrib.get(key, "none")
            if colour.startswith("#") and len(colour) == 7:
                assert colour[1:3] == colour[3:5] == colour[5:7]


def test_condensed_words_keep_their_width():
    rip = list(parsed(page()).iter(f"{SVG}text"))[1]
    assert rip.attrib["lengthAdjust"] == "spacingAndGlyphs"
    assert rip.attrib["text-anchor"] == "middle"
    # Scaled about the place where they stand, also where textLength is not known.
    assert rip.attrib["transform"] == "translate(300 142) scale(0.9000 1)"
