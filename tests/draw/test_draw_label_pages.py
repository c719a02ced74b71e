"""Labels: the right place on the sheet, nothing but labels, every name whole."""

from __future__ import annotations

import pytest
from page_lists import INCH_LETTER, LONG_NAMES, LOOKS, MM_A4, PLY, label, many_parts, part, side
from page_plans import locker, look
from scene_checks import all_words, assert_golden, assert_readable, lines_as_set, texts, word_boxes

from cutopt.draw.frame import Paper
from cutopt.draw.label_pages import (
    A4_21,
    A4_24,
    LABEL_STOCK,
    LETTER_30,
    label_pages,
    label_sheet,
    label_sheet_pages,
    plain_paper,
)
from cutopt.draw.scene import Outline
from cutopt.errors import InputError
from cutopt.model.job import Edge, Stock
from cutopt.model.plan import Offcut
from cutopt.steps.labels import OffcutLabel
from cutopt.units import inches

MM = 72 / 25.4
SHEETS = (*LABEL_STOCK, plain_paper(Paper.LETTER), plain_paper(Paper.A4))


def crowd():
    parts = [side(), *many_parts(24)]
    return [label(p, copy) for p in parts for copy in range(1, min(p.qty, 3) + 1)]


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: f"{s.name} {s.paper}")
@pytest.mark.parametrize("look_of", LOOKS)
def test_labels_can_be_read(sheet, look_of):
    pages = label_sheet_pages(crowd(), look_of, sheet)
    assert_readable(pages)
    assert len(pages) == -(-len(crowd()) // sheet.count)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: f"{s.name} {s.paper}")
def test_words_stay_inside_their_label(sheet):
    for page in label_sheet_pages(crowd(), INCH_LETTER, sheet):
        corners = [sheet.corner(place) for place in range(sheet.count)]
        for box in word_boxes(page):
            if box.text.startswith("Cut along"):
                continue
            xs, ys = [x for x, _ in box.corners], [y for _, y in box.corners]
            assert any(
                left + 4 < min(xs)
                and max(xs) < left + sheet.width - 4
                and top - sheet.height + 4 < min(ys)
                and max(ys) < top - 4
                for left, top in corners
            ), box


def test_letter_stock_lies_as_in_general_trade():
    # 30 labels of 2-5/8 x 1 in, 3/16 in from the left, 1/2 in from the top, 2-3/4 in apart.
    assert LETTER_30.count == 30
    assert (LETTER_30.width / 72, LETTER_30.height / 72) == (2.625, 1.0)
    assert (LETTER_30.left / 72, LETTER_30.top / 72, LETTER_30.pitch_x / 72) == (0.1875, 0.5, 2.75)
    # The columns fill the sheet: 3/16 + 2 x 2-3/4 + 2-5/8 + 3/16 = 8-1/2.
    assert LETTER_30.left * 2 + 2 * LETTER_30.pitch_x + LETTER_30.width == Paper.LETTER.size[0]


@pytest.mark.parametrize(
    ("sheet", "rows", "height_mm", "top_mm"), [(A4_21, 7, 38.1, 15.1), (A4_24, 8, 33.9, 12.9)]
)
def test_a4_stock_lies_as_in_general_trade(sheet, rows, height_mm, top_mm):
    assert sheet.count == 3 * rows
    assert sheet.width == pytest.approx(63.5 * MM)
    assert sheet.height == pytest.approx(height_mm * MM)
    # Margins left and right, top and bottom, are alike to half a millimetre.
    right = Paper.A4.size[0] - sheet.left - 2 * sheet.pitch_x - sheet.width
    bottom = Paper.A4.size[1] - sheet.top - rows * sheet.pitch_y
    assert right == pytest.approx(sheet.left, abs=0.5 * MM)
    assert bottom == pytest.approx(top_mm * MM, abs=0.5 * MM)


def test_label_stock_has_no_head_foot_or_lines():
    page = label_sheet_pages([label(part("Shelf", inches(9), inches(4)))], INCH_LETTER, LETTER_30)[
        0
    ]
    assert not any("page" in t or "plan" in t for t in texts(page))
    assert not any(isinstance(m, Outline) and m.dash for m in page.marks)


def test_plain_paper_has_lines_to_cut_along():
    sheet = plain_paper(Paper.LETTER)
    page = label_sheet_pages([label(side())], INCH_LETTER, sheet)[0]
    assert sheet.count == 12
    assert sum(isinstance(m, Outline) and bool(m.dash) for m in page.marks) == 3 + 7
    assert any(t.startswith("Cut along the dashed lines") for t in texts(page))


def test_a_used_sheet_starts_at_its_first_free_label():
    shelf = label(part("Shelf", inches(9), inches(4)))
    first = label_sheet_pages([shelf], INCH_LETTER, LETTER_30, 1)[0]
    fifth = label_sheet_pages([shelf], INCH_LETTER, LETTER_30, 5)[0]
    (name,) = [m for m in first.marks if getattr(m, "text", "") == "Shelf"]
    (moved,) = [m for m in fifth.marks if getattr(m, "text", "") == "Shelf"]
    # The fifth of three columns: second row, second column.
    assert moved.x - name.x == pytest.approx(2.75 * 72)
    assert name.y - moved.y == pytest.approx(72)


@pytest.mark.parametrize("start", [0, 31, -1])
def test_a_place_that_is_not_on_the_sheet_is_refused(start):
    with pytest.raises(InputError, match="1 to 30"):
        label_sheet_pages([label(side())], INCH_LETTER, LETTER_30, start)


def test_sheets_are_asked_for_by_paper_and_count():
    assert label_sheet("Letter 30", Paper.A4) is LETTER_30
    assert label_sheet("a4-21", Paper.LETTER) is A4_21
    assert label_sheet("plain", Paper.A4) == plain_paper(Paper.A4)
    with pytest.raises(InputError, match="letter 30"):
        label_sheet("letter 80", Paper.LETTER)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: f"{s.name} {s.paper}")
def test_forty_letters_are_never_cut_short(sheet):
    for name in LONG_NAMES:
        one = part(name, inches(58, 31, 32), inches(15, 7, 32), 12, band=tuple(Edge),
                   group="Left-hand upper cabinet")  # fmt: skip
        words = all_words(label_sheet_pages([label(one, 11)], INCH_LETTER, sheet))
        assert "..." not in words
        assert name.replace(" ", "") in words.replace(" ", "").replace("\n", "")


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: f"{s.name} {s.paper}")
def test_a_name_no_label_can_hold_is_cut_short_and_nothing_overlaps(sheet):
    one = part("Shelf of the " * 120, inches(58, 31, 32), inches(15, 7, 32), 2, band=tuple(Edge))
    pages = label_sheet_pages([label(one), label(side())], INCH_LETTER, sheet)
    assert_readable(pages)
    assert "..." in all_words(pages)


def test_a_label_says_size_cut_size_count_hand_band_and_source():
    words = all_words(label_sheet_pages([label(side(), 2)], INCH_LETTER, plain_paper(Paper.LETTER)))
    for said in ("Side", "2 of 2", "right", "Case", "band front", "from S1 A", "Mudroom locker"):
        assert said in words
    # 15-1/4 in less a band of 256 ticks, to the nearest 1/64 in.
    assert "cut 78 × 15-7/32" in words


def test_a_tall_label_says_the_cutout_too():
    words = all_words(label_sheet_pages([label(side())], INCH_LETTER, plain_paper(Paper.LETTER)))
    assert 'notch 5-1/2" × 3/4" at the back left corner' in words


def test_offcuts_get_labels_too():
    stock = Stock("birch ply", PLY, inches(96), inches(48), 6800)
    offcut = OffcutLabel(Offcut(inches(20), inches(14), "S1-a"), stock, "S1 C")
    page = label_sheet_pages([offcut], MM_A4, A4_21)[0]
    assert_readable([page])
    assert {"Keep S1-a", "508 × 355.6"} <= set(lines_as_set(page))


def test_all_parts_and_offcuts_of_a_plan_have_labels():
    plan = locker()
    pages = label_pages(plan, look(plan))
    assert_readable(pages)
    words = all_words(pages)
    count = sum(p.qty for p in plan.job.parts)
    assert sum(words.count(f" of {n}") for n in range(1, 9)) == count
    assert "Keep S1-a" in words


def test_golden_labels():
    assert_golden(label_sheet_pages(crowd()[:8], INCH_LETTER, LETTER_30)[0], "labels_letter_30")
