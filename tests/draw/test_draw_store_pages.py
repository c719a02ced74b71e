"""Store sheets: what the operator reads is there, whole, apart and large enough."""

from __future__ import annotations

from dataclasses import replace

import pytest
from page_plans import (
    ALL,
    Bench,
    alike,
    locker,
    locker_mm,
    look,
    many_store_cuts,
    one_part,
    random_plan,
    store,
)
from scene_checks import (
    assert_golden,
    assert_readable,
    texts,
    words_in_order,
    words_too_small_for_the_store,
)

from cutopt.draw.frame import Paper
from cutopt.draw.scene import Drawing
from cutopt.draw.store_pages import store_pages
from cutopt.model.plan import Plan
from cutopt.units import Units


def pages_of(plan: Plan, paper: Paper = Paper.LETTER) -> list[Drawing]:
    return store_pages(plan, look(plan, paper))


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("plan", ALL)
def test_every_word_can_be_read_at_arms_length(plan, paper):
    for pages in [pages_of(plan(), paper)]:
        if pages:
            assert_readable(pages)
            assert [words for page in pages for words in words_too_small_for_the_store(page)] == []


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_sheets_cut_at_random_stay_readable(seed):
    plan = random_plan(seed, units=Units.MM if seed % 2 else Units.INCH)
    pages = pages_of(plan, Paper.A4 if seed % 2 else Paper.LETTER)
    if pages:
        assert_readable(pages)


def test_nothing_is_printed_where_the_store_cuts_nothing():
    assert pages_of(one_part()) == []


def test_names_of_parts_stay_out_of_the_store():
    words = " ".join(texts(page) for page in pages_of(locker()) for texts in [words_in_order])
    for name in ("Side", "Divider", "Cleat", "Seat support", "Door"):
        assert name not in words


def test_each_cut_says_what_from_where_and_how_far():
    page = pages_of(locker())[1]
    words = words_in_order(page)
    assert "the whole sheet, from its left end" in words
    assert "piece CDE, from its bottom edge" in words
    assert "Stop after cut 4." in words
    assert "is cut again" in words


def test_the_till_counts_free_and_paid_cuts():
    words = texts(pages_of(locker())[1])
    assert "4 cuts made" in words
    assert words[words.index("3 free") + 1] == "$0.00"
    assert words[words.index("1 at $1.00") + 1] == "$1.00"


def test_edges_that_stay_are_cut_to_the_mark():
    assert "To the mark." in texts(pages_of(locker_mm())[0])
    rough = texts(pages_of(locker())[0])
    assert "To the mark." not in rough
    assert "I trim at home." in rough


def test_settings_are_exact_and_no_size_beside_them_says_otherwise():
    words = texts(pages_of(locker_mm())[0])
    assert "785.5 mm" in words
    assert "1986 \N{MULTIPLICATION SIGN} 785.5 mm" in "".join(words)


def test_sheets_alike_are_drawn_once_with_a_box_each():
    pages = pages_of(alike())
    words = texts(pages[0])
    assert "Do this to 4 sheets: S1, S2, S3 and S4." in words
    assert [page.name for page in pages] == ["store-S1-1", "store-S5-1", "store-boards-1"]
    assert "8 cuts made" in words


def test_boards_share_pages_and_the_uncut_ones_are_named_once():
    words = texts(pages_of(alike())[-1])
    assert "L1 L2" in words
    assert "Board L9: no cuts." in words


def test_more_than_six_cuts_have_the_drawing_on_a_page_of_its_own():
    pages = pages_of(many_store_cuts())
    assert [page.name for page in pages[:2]] == ["store-S1-1", "store-S1-2"]
    assert "Stop after cut 11." not in texts(pages[0])
    assert "Stop after cut 11." in texts(pages[1])
    for number in map(str, range(1, 12)):
        assert number in texts(pages[0])
        assert number in texts(pages[1])


def test_every_piece_has_its_letter_in_the_drawing_however_thin():
    words = texts(pages_of(many_store_cuts())[0])
    assert set("ABCDEFGHIJK") <= set(words)


def test_no_fee_is_nothing_to_pay():
    b = Bench()
    sheet = b.sheet("ply", "S1", 96, 48, b.store_rip(24, b.part("A"), b.part("B")))
    words = texts(pages_of(b.plan("Two (invented)", sheet, store=store(b, fee_per_cut_cents=0)))[0])
    assert "1 cut, nothing to pay" in words
    assert "nothing to pay" in words


def test_pages_follow_the_units_they_are_printed_in():
    plan = locker()
    pages = store_pages(plan, replace(look(plan), units=Units.MM))
    assert any("mm" in text for text in texts(pages[0]))
    assert '"' not in "".join(texts(pages[0]))


@pytest.mark.parametrize("plan", [locker, locker_mm, many_store_cuts, alike])
def test_golden_store_pages(plan):
    for page in pages_of(plan()):
        assert_golden(page, f"{plan.__name__}-{page.name}")
