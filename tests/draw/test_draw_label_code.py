"""QR codes on labels: they say what the label says, and are large enough to be read."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from page_lists import INCH_LETTER, label, part
from scene_checks import assert_readable

from cutopt.draw.frame import Paper
from cutopt.draw.label_code import LEAST_MODULE, QUIET, code_rows
from cutopt.draw.label_pages import LABEL_STOCK, label_sheet_pages, plain_paper
from cutopt.draw.scene import Outline, Page
from cutopt.units import inches

SHEETS = (*LABEL_STOCK, plain_paper(Paper.LETTER), plain_paper(Paper.A4))
NAMES = ("Shelf", "Стенка шкафа с крючками для одежды", "A very long name of a part, " * 3)
DOTS = 6
"""Picture dots a point: about 430 dots an inch."""


def picture_of(page: Page, left: float, top: float, width: float, height: float) -> np.ndarray:
    """Give the filled rectangles of a label as a printer would lay them down."""
    picture = np.full((round(height * DOTS), round(width * DOTS)), 255, np.uint8)
    for mark in page.marks:
        if isinstance(mark, Outline) and mark.fill == 0.0 and mark.weight == 0:
            xs = [round((x - left) * DOTS) for x, _ in mark.points]
            ys = [round((top - y) * DOTS) for _, y in mark.points]
            picture[max(min(ys), 0) : max(ys), max(min(xs), 0) : max(xs)] = 0
    return picture


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: f"{s.name} {s.paper}")
@pytest.mark.parametrize("name", NAMES)
def test_a_code_says_what_the_label_says(sheet, name: str) -> None:
    """Reference: OpenCV's detector reads the drawn code."""
    cv2 = pytest.importorskip("cv2", reason="needs opencv-python-headless")
    coded = replace(sheet, coded=True)
    shelf = label(part(name, inches(30), inches(9, 1, 2)))
    page = label_sheet_pages([shelf], INCH_LETTER, coded)[0]
    left, top = sheet.corner(0)
    picture = picture_of(page.finish(), left, top, sheet.width, sheet.height)
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(picture)
    lines = text.split("\n")
    assert lines[0]
    assert name.startswith(lines[0])
    assert len(lines[0]) >= min(len(name), 12)
    assert '30" x 9-1/2"'.startswith(lines[1])


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: f"{s.name} {s.paper}")
@pytest.mark.parametrize("name", NAMES)
def test_modules_and_quiet_zone_are_large_enough(sheet, name: str) -> None:
    lines = (name, '30" x 9-1/2"', "Case", "1 of 2 left", "plan ABCDEF")
    rows, module = code_rows(lines, sheet.height)
    assert module >= LEAST_MODULE
    assert (len(rows) + 2 * QUIET) * module <= sheet.height + 1e-6


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: f"{s.name} {s.paper}")
def test_words_beside_a_code_can_still_be_read(sheet) -> None:
    labels = [label(part(name, inches(30), inches(9, 1, 2))) for name in NAMES]
    pages = label_sheet_pages(labels, INCH_LETTER, replace(sheet, coded=True))
    assert_readable(pages)
