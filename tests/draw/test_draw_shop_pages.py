"""Shop sheets: every part named or numbered, every cut flagged, whatever is on the sheet."""

from __future__ import annotations

from dataclasses import replace

import pytest
from page_plans import (
    ALL,
    LONG,
    Bench,
    alike,
    chest,
    crowd,
    locker,
    locker_mm,
    long_names,
    look,
    one_part,
    random_plan,
    ripped_boards,
    strips,
)
from scene_checks import assert_framed, assert_golden, assert_readable, texts, words_in_order

from cutopt.draw.frame import Paper
from cutopt.draw.scene import BLACK, Drawing, Hatch, Outline, Style, Words
from cutopt.draw.shop_pages import shop_sheet_pages
from cutopt.model.layout import Direction
from cutopt.model.plan import Plan
from cutopt.units import Units


def pages_of(plan: Plan, paper: Paper = Paper.LETTER) -> list[Drawing]:
    return shop_sheet_pages(plan, look(plan, paper))


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("plan", ALL)
def test_every_word_can_be_read(plan, paper):
    assert_readable(pages_of(plan(), paper))


@pytest.mark.parametrize("seed", range(1, 60, 3))
def test_sheets_cut_at_random_stay_readable(seed):
    plan = random_plan(seed, units=Units.MM if seed % 2 else Units.INCH)
    assert_readable(pages_of(plan, Paper.A4 if seed % 2 else Paper.LETTER))


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize(("columns", "rows"), [(8, 8), (10, 8), (6, 10), (12, 10), (20, 12)])
def test_sixty_to_240_small_parts_on_one_sheet_stay_readable(columns, rows, units):
    assert_readable(pages_of(crowd(columns, rows, units=units)))


def test_the_page_lies_on_its_side():
    page = pages_of(one_part())[0]
    assert page.width > page.height


def test_parts_are_named_with_size_and_copy():
    words = words_in_order(pages_of(locker())[0])
    assert "Divider" in words
    assert "Seat support" in words
    assert "1 of 2" in words
    assert "Keep S1-a" in words


def test_cuts_at_home_follow_those_of_the_store():
    words = texts(pages_of(locker())[0])
    head = next(text for text in words if "were made at the store" in text)
    assert "cuts 1 to 2" in head
    for number in range(3, 22):
        # Once at the drawing, once in the order of cuts.
        assert words.count(str(number)) >= 2


def test_pieces_carry_their_letters_from_the_store():
    words = texts(pages_of(locker())[0])
    assert {"A", "B", "C"} <= set(words)
    assert any("78-1/4" in text for text in words)


def test_store_edges_are_rough_only_where_they_are_trimmed():
    legend = "store edge, to be trimmed"
    assert legend in texts(pages_of(locker())[0])
    assert legend not in texts(pages_of(locker_mm())[0])


def test_waste_is_hatched_and_offcuts_are_dashed():
    page = pages_of(locker())[0]
    assert any(isinstance(mark, Hatch) for mark in page.marks)
    assert any(isinstance(m, Outline) and m.dash == (4.5, 2.2) for m in page.marks)


def test_a_crowded_sheet_has_one_key_a_kind_and_numbers_by_area():
    words = words_in_order(pages_of(chest())[0])
    assert "71 parts of 11 kinds" in words
    assert "First the strips" in words
    assert words.index("Top") < words.index("Runner")
    page = texts(pages_of(chest())[0])
    # Dividers, short: eight parts, one key.
    assert page.count("7") >= 9


def test_slivers_are_named_at_the_side_once_a_row():
    words = texts(pages_of(chest())[0])
    assert "\N{MULTIPLICATION SIGN}10" in words
    assert words.count("\N{MULTIPLICATION SIGN}5") == 2


def test_long_names_are_whole_on_the_page():
    words = " ".join(words_in_order(pages_of(long_names())[0]).split())
    for word in LONG.split():
        assert word in words
    assert "..." not in words


@pytest.mark.parametrize("paper", list(Paper))
def test_ripped_boards_share_pages_under_one_legend(paper):
    plan = ripped_boards(5, units=Units.MM if paper is Paper.A4 else Units.INCH)
    sheet, *pages = pages_of(plan, paper)
    assert "L1" not in texts(sheet)
    assert len(pages) == 3
    assert_framed(pages)
    for page in pages:
        assert texts(page).count("offcut to keep") == 1
    for number in range(1, 6):
        assert sum(f"L{number}" in texts(page) for page in pages) == 1
        assert sum(f"Rail {number}" in words_in_order(page) for page in pages) == 1


def test_sheets_alike_are_drawn_once():
    pages = pages_of(alike())
    assert "Cut 4 sheets alike: S1, S2, S3 and S4." in texts(pages[0])
    assert "Keep -a of each" in texts(pages[0])
    assert len({page.name for page in pages}) == len(pages)


def test_a_sheet_without_cuts_says_so():
    words = texts(pages_of(one_part())[0])
    assert any("no cuts here" in text for text in words)
    assert "Order of cuts" not in words


def test_very_full_sheets_are_parted_with_a_map():
    pages = pages_of(crowd(12, 10))
    heads = [text for page in pages for text in texts(page) if text.startswith("Drawing ")]
    assert len(heads) >= 2
    assert heads[0].startswith(f"Drawing 1 of {len(heads)}")


def test_every_part_of_a_parted_sheet_is_drawn_once():
    plan = crowd(12, 10, kinds=1, varied=False)
    drawings = [p for p in pages_of(plan) if any(t.startswith("Drawing ") for t in texts(p))]
    numbers = [
        mark
        for page in drawings
        for mark in page.marks
        if isinstance(mark, Words)
        and (mark.text, mark.style, mark.grey) == ("1", Style.BOLD, BLACK)
    ]
    assert len(numbers) == 120


def test_strips_too_thin_for_words_are_numbered():
    words = texts(pages_of(strips())[0])
    assert "Slat" in words


def test_a_turned_part_shows_its_size_as_it_is_listed():
    b = Bench()
    tree = b.crosscut(20, b.part("Shelf", turned=True))
    page = pages_of(b.plan("Turned (invented)", b.sheet("ply", "S1", 48, 36, tree)))[0]
    assert "36 \N{MULTIPLICATION SIGN} 20" in words_in_order(page).replace("  ", " ")


def test_long_orders_of_cuts_go_on_overleaf():
    b = Bench()
    rows = [(3.5, b.row(Direction.CROSSCUT, [(30, b.part("Rail")), (5, b.part("Block"))]))] * 12
    tree = b.row(Direction.RIP, rows)
    pages = pages_of(b.plan("Rails (invented)", b.sheet("ply", "S1", 96, 48, tree)))
    numbers = {text for page in pages for text in texts(page)}
    assert {str(number) for number in range(1, 37)} <= numbers
    assert_readable(pages)


def test_pages_follow_the_units_they_are_printed_in():
    plan = locker()
    pages = shop_sheet_pages(plan, replace(look(plan), units=Units.MM))
    assert "all sizes in mm" in words_in_order(pages[0])


@pytest.mark.parametrize("plan", [locker, locker_mm, chest, long_names, strips])
def test_golden_shop_pages(plan):
    for page in pages_of(plan()):
        assert_golden(page, f"{plan.__name__}-{page.name}")


def test_names_in_any_script_are_set_whole():
    b = Bench(Units.MM, 3.2)
    rows = [(300, b.part("Półka górna")), (300, b.part("Полка")), (25, b.part("Ράφι"))]
    tree = b.row(Direction.RIP, rows)
    pages = pages_of(b.plan("Szafa", b.sheet("Sklejka brzozowa", "S1", 2440, 1220, tree)))
    assert_readable(pages)
    words = words_in_order(pages[0])
    for name in ("Półka górna", "Полка", "Ράφι"):
        assert name in words
