"""The board pages: stop-block groups, one tape, marks that add up from the left end."""

from __future__ import annotations

from dataclasses import replace

import pytest
from page_lists import INCH_LETTER, LONG_NAMES, LOOKS, MM_A4, board, section
from scene_checks import (
    all_words,
    assert_framed,
    assert_golden,
    lines_as_set,
    squares,
    texts,
    word_box,
)

from cutopt.draw.board_pages import section_pages
from cutopt.draw.board_words import runs_of
from cutopt.draw.scene import WHITE, Hatch, Outline, Words
from cutopt.draw.stop_groups import BOX
from cutopt.steps.boards import Segment, SpareBoards
from cutopt.units import inches

STILE = ("Stile", inches(74), "a")
SLAT = ("Slat", inches(38), "b")
RAIL = ("Hook rail", inches(19), "c")
SIDE = (LONG_NAMES[0], inches(6, 1, 4), "d")
CLEAT = ("Cleat", inches(1, 1, 2), "e")

CROWD = (
    board("L1", 8, [STILE, RAIL]),
    board("L2", 8, [STILE, RAIL], trim=inches(1)),
    board("L3 L4 L17", 8, [SLAT, SLAT]),
    board("L5", 8, [SLAT, SLAT], store_after=1),
    board("L6", 8, [CLEAT] * 20 + [SIDE] * 4),
    board("L7", 6, [SLAT, RAIL]),
    board("L8", 16, [CLEAT] * 90),
    board("L9", 8, [SLAT, CLEAT, SLAT]),
    board("L10", 8, [SIDE] * 12),
)


def marks_under(page, figure: str) -> list[Words]:
    return [m for m in page.marks if isinstance(m, Words) and m.text == figure and m.size == 9.0]


@pytest.mark.parametrize("look", LOOKS)
def test_boards_can_be_read(look):
    assert_framed(section_pages([section(*CROWD)], ("Clamp short ends.",), look))


def test_marks_add_up_with_the_kerf_between_parts():
    # 74 + 1/8 + 19 = 93-1/8: the kerf lies right of the mark at 74.
    (page,) = section_pages([section(board("L1", 8, [STILE, RAIL]))], (), INCH_LETTER)
    assert marks_under(page, "74")
    assert marks_under(page, "93")
    assert "93-1/8" in lines_as_set(page)


def test_after_a_store_cut_the_tape_is_hooked_anew():
    row = board("L5", 8, [SLAT, SLAT], store_after=1)
    (page,) = section_pages([section(row)], (), INCH_LETTER)
    assert "store cut" in texts(page)
    # The second slat ends 38 in from its own left end, not 76-1/8 from the board's.
    assert len(marks_under(page, "38")) == 1
    assert not marks_under(page, "76")


def test_an_offcut_is_named_clear_of_its_bad_spans():
    # The offcut runs from 38-1/8 to 96; 50 to 80 is the longest of it that is clear.
    row = board("L1", 8, [SLAT])
    bad = ((inches(44), inches(50)), (inches(80), inches(90)))
    row = replace(row, stock=replace(row.stock, bad=bad))
    (page,) = section_pages([section(row)], (), INCH_LETTER)
    hatches = [m for m in page.marks if isinstance(m, Hatch) and m.pitch == 2.4]
    name = next(m for m in page.marks if isinstance(m, Words) and m.text.startswith("keep L1-a"))
    left, right = sorted((hatch.x, hatch.x + hatch.width) for hatch in hatches)[-2:]
    assert left[1] < word_box(name).corners[0][0]
    assert word_box(name).corners[1][0] < right[0]


def test_a_name_with_no_room_between_bad_spans_stands_on_white():
    row = board("L1", 8, [STILE])
    bad = tuple((inches(at), inches(at + 1)) for at in range(75, 95, 2))
    row = replace(row, stock=replace(row.stock, bad=bad))
    (page,) = section_pages([section(row)], (), INCH_LETTER)
    place = next(n for n, m in enumerate(page.marks) if isinstance(m, Words) and m.text == "L1-a")
    ground = page.marks[place - 1]
    assert isinstance(ground, Outline)
    assert ground.fill == WHITE
    assert not any(isinstance(m, Hatch) and m.pitch == 2.4 for m in page.marks[place:-8])


def test_small_parts_apart_from_each_other_have_a_letter_each():
    row = board("L1", 8, [CLEAT, SLAT, CLEAT])
    cleats = [part for part in row.segments if part.name == "Cleat"]
    waste = Segment("waste", cleats[0].x + cleats[0].length, inches(1))
    runs = runs_of((cleats[0], waste, cleats[1]), 0.0006)
    assert [len(run.segments) for run in runs] == [1, 1]


def test_spare_boards_are_said_to_be_not_cut():
    spares = (SpareBoards(3, inches(72), "common"),)
    boards = replace(section(board("L1", 8, [STILE])), spares=spares)
    (page,) = section_pages([boards], (), INCH_LETTER)
    assert_framed([page])
    assert "3 spare boards at 6 ft, grade common: not cut" in " ".join(all_words([page]).split())


def test_boards_told_apart_by_grade_say_it_where_several_share_a_bar():
    row = replace(board("L1 L2 L3", 8, [STILE, RAIL]), mark="clear")
    (page,) = section_pages([section(row)], (), INCH_LETTER)
    assert_framed([page])
    assert "clear" in texts(page)


def test_a_trimmed_end_says_on_which_side_the_blade_goes():
    (page,) = section_pages(
        [section(board("L2", 8, [STILE, RAIL], trim=inches(1)))], (), INCH_LETTER
    )
    assert "the blade goes to its left" in " ".join(texts(page))
    assert marks_under(page, "75")


def test_more_than_twenty_boards_repeat_the_tape():
    rows = [board(f"L{n}", 8, [SLAT, RAIL]) for n in range(1, 46)]
    pages = section_pages([section(*rows)], (), INCH_LETTER)
    assert len(pages) == 3
    for page in pages:
        assert "84" in texts(page)
    on_pages = [sum(t.startswith("L") and t[1:].isdigit() for t in texts(p)) for p in pages]
    assert sum(on_pages) == 45
    assert max(on_pages) <= 20


def test_equal_boards_share_a_bar_and_each_has_its_box():
    ids = " ".join(f"L{n}" for n in range(1, 46))
    pages = section_pages([section(board(ids, 8, [SLAT, RAIL]))], (), INCH_LETTER)
    assert_framed(pages)
    (page,) = pages
    assert all(f"L{n}" in texts(page) for n in range(1, 46))
    assert "45 ×" in texts(page)


def test_each_piece_of_a_stop_block_group_has_a_box():
    (page,) = section_pages([section(board("L1", 8, [SLAT, SLAT, RAIL]))], (), INCH_LETTER)
    assert squares(page, BOX) == 3


@pytest.mark.parametrize("look", LOOKS)
def test_eighty_groups_run_over_several_pages(look):
    rows = [
        board(f"L{n}", 8, [(LONG_NAMES[n % 4], inches(20 + n % 27, n, 128), f"z{n}")] * 2)
        for n in range(80)
    ]
    pages = section_pages([section(*rows)], (), look)
    assert_framed(pages)
    words = all_words(pages)
    assert all(f"z{n}" in words for n in range(80))
    assert all(f"L{n}" in words for n in range(80))


def test_slivers_are_counted_once_and_their_marks_listed():
    (page,) = section_pages([section(board("L6", 8, [CLEAT] * 20))], (), INCH_LETTER)
    assert "20 × e" in texts(page)
    # Part n ends at n x 1-1/2 and n - 1 kerfs: the tenth at 15 + 9/8 = 16-1/8.
    assert "16-1/8" in " ".join(texts(page))


def test_thousands_of_boards_still_fit_their_pages():
    ids = " ".join(f"L{n}" for n in range(1, 3001))
    pages = section_pages([section(board(ids, 8, [SLAT, RAIL]))], (), INCH_LETTER)
    assert_framed(pages)
    words = all_words(pages)
    assert "L2901 to L3000 (100)" in words
    assert "a box for every 100 of 3000" in words


def test_millimetre_boards():
    pages = section_pages([section(*CROWD)], (), MM_A4)
    assert "all marks in mm" in all_words(pages)


def test_golden_boards():
    (page,) = section_pages([section(*CROWD[:6])], (), INCH_LETTER)
    assert_golden(page, "boards_inch")


def test_short_sections_share_a_page_and_say_once_how_marks_are_read():
    one, two = section(board("L1", 8, [STILE, RAIL])), section(board("L2", 8, [SLAT, SLAT]))
    pages = section_pages([one, two], ("Clamp short ends.",), INCH_LETTER)
    assert_framed(pages)
    (page,) = pages
    assert " ".join(texts(page)).count("Hook the tape") == 1
    assert {"L1", "L2"} <= set(texts(page))


def test_a_section_that_does_not_fit_under_another_opens_a_page():
    one = section(*(board(f"L{n}", 8, [STILE, RAIL]) for n in range(1, 13)))
    two = section(*(board(f"L{n}", 8, [SLAT, SLAT]) for n in range(13, 23)))
    first, second = section_pages([one, two], (), INCH_LETTER)
    assert "L13" not in texts(first)
    assert "L13" in texts(second)
