"""The buy list: sums, budget, what has no price, what is owned, and what is proven."""

from __future__ import annotations

from dataclasses import replace

import pytest
from page_lists import INCH_LETTER, LONG_NAMES, LOOKS, MM_A4
from page_plans import locker, look
from scene_checks import all_words, assert_framed, assert_golden, texts

from cutopt.draw.buy_pages import buy_list_pages, buy_pages
from cutopt.draw.scene import Hatch
from cutopt.steps.buy import BuyGroup, BuyList, BuyRow, CheaperRow, StoreCutsRow, budget_bar
from cutopt.units import inches

CLOSING = (
    ("Before you pay: measure one sheet (", inches(0, 1, 8), " short is common). Note it here:"),
    ("Tie the load with two straps.",),
)

WARNINGS = ("Sheet S1 does not fit the car: have it delivered. " * 3, "No named saw makes cut 4.")


def row(item, size, count, each, *notes):
    total = None if each is None else each * count
    return BuyRow(item, size, count, each, total, tuple((note,) for note in notes))


SHEET = row("Birch ply", (inches(96), " × ", inches(48), " × ", inches(0, 3, 4)), 2, 6800,
            "store saw: 6 cuts")  # fmt: skip
BOARD = row("Pine 1x4", ("8 ft",), 14, 648, "straight, few knots")
LIST = BuyList(
    currency="USD",
    groups=(BuyGroup("Sheets and panels", (SHEET,)), BuyGroup("Boards", (BOARD,))),
    store_cuts=StoreCutsRow(6, 1, 100),
    owned=(row("Birch ply", (inches(40), " × ", inches(24)), 1, 0, "from the last job"),),
    total_cents=22772,
    unpriced=False,
    budget=budget_bar(22772, 0, 33000),
    cheaper=(
        CheaperRow(("Birch ply ", inches(0, 3, 4)), ("No cheaper purchase exists.",),
                   "2 sheets; 1 sheet is too small by area", True),
        CheaperRow(("Pine 1x4",), ("At best one board less.",), "next best: 13 at 8 ft", False),
    ),
    bands=(("Birch ply: 32 ft of band",),),
)  # fmt: skip

UNPRICED = replace(
    LIST,
    groups=(BuyGroup("Boards", (row("Pine 1x4", ("8 ft",), 3, None),)),),
    total_cents=100,
    unpriced=True,
    budget=None,
)
MANY = replace(
    LIST,
    groups=(
        BuyGroup("Boards", tuple(
            row(LONG_NAMES[n % 4], ("16 ft",), n, 12345678, "a note on this row " * (n % 3))
            for n in range(1, 31)
        )),
        BuyGroup("Other things", tuple(row(f"Screw {n}", ("pack of 100",), n, 825)
                                       for n in range(1, 16))),
    ),
    cheaper=LIST.cheaper * 12,
    total_cents=99999999,
    budget=budget_bar(99999999, 1500000, 2600000),
    currency="CHF",
)  # fmt: skip


@pytest.mark.parametrize("look_of", LOOKS)
@pytest.mark.parametrize("buy", [LIST, UNPRICED, MANY], ids=["small", "unpriced", "many"])
def test_buy_lists_can_be_read(buy, look_of):
    assert_framed(buy_list_pages(buy, WARNINGS, CLOSING, look_of))


def test_the_total_stands_against_the_budget():
    words = all_words(buy_list_pages(LIST, (), CLOSING, INCH_LETTER))
    # 330.00 - 227.72 = 102.28
    assert "of $330.00 budget: $102.28 left" in words
    assert words.count("$227.72") == 2


def test_what_is_over_the_budget_is_hatched_and_said():
    over = replace(LIST, budget=budget_bar(22772, 0, 20000))
    page = buy_list_pages(over, (), CLOSING, INCH_LETTER)[0]
    assert "of $200.00 budget: $27.72 over" in " ".join(texts(page))
    (hatch,) = [mark for mark in page.marks if isinstance(mark, Hatch)]
    scale = page.width - 2 * 45.0
    assert hatch.width == pytest.approx(scale * 2772 / over.budget.scale_cents)


def test_no_budget_no_bar():
    assert "budget" not in texts(buy_list_pages(UNPRICED, (), CLOSING, INCH_LETTER)[0])


def test_what_has_no_price_says_so():
    words = all_words(buy_list_pages(UNPRICED, (), CLOSING, INCH_LETTER))
    assert "no price given" in words
    assert "without what has no price" in words


def test_rows_show_each_and_sum():
    words = all_words(buy_list_pages(LIST, (), CLOSING, INCH_LETTER))
    for said in ("68.00", "136.00", "6.48", "90.72", "14", "6 cuts made, 1 over the free ones"):
        assert said in words


def test_owned_pieces_stand_apart_and_cost_nothing():
    words = all_words(buy_list_pages(LIST, (), CLOSING, INCH_LETTER))
    apart = words[words.index("From the shop") :]
    assert "from the last job" in apart
    assert "0.00" not in apart


def test_thirty_rows_repeat_the_heads_of_the_columns():
    pages = buy_list_pages(MANY, (), CLOSING, MM_A4)
    assert len(pages) > 2
    for page in pages[:3]:
        assert {"item", "real sum"} <= set(texts(page))


def test_it_is_said_whether_it_can_be_had_cheaper():
    words = all_words(buy_list_pages(LIST, (), CLOSING, INCH_LETTER))
    assert "Can it be had cheaper?" in words
    assert "No cheaper purchase exists." in words
    assert "next best: 13 at 8 ft" in words


def test_warnings_of_the_plan_are_printed_before_the_closing():
    words = all_words(buy_list_pages(LIST, WARNINGS, CLOSING, INCH_LETTER))
    assert words.index("Can it be had") < words.index(WARNINGS[1]) < words.index("Before you pay")


def test_there_is_a_line_to_write_on_under_the_words_that_ask_for_it():
    page = buy_list_pages(LIST, (), CLOSING, INCH_LETTER)[-1]
    (asked,) = [m for m in page.marks if "Note it here:" in getattr(m, "text", "")]
    lines = [
        m.points[0][1]
        for m in page.marks
        if hasattr(m, "points") and len(m.points) == 2 and m.weight == 0.6
        and m.points[0][0] == pytest.approx(45.0 + 13) and m.points[1][0] > page.width / 2
    ]  # fmt: skip
    assert len(lines) == 1
    assert 10 < asked.y - lines[0] < 40


def test_a_plans_purchase_is_on_its_pages():
    plan = locker()
    pages = buy_pages(plan, look(plan))
    assert_framed(pages)
    words = all_words(pages)
    assert "Birch ply" in words
    assert "Pine panel" in words


def test_golden_buy_list():
    assert_golden(buy_list_pages(LIST, (), CLOSING, INCH_LETTER)[0], "buy-list_inch")


def test_without_any_price_no_sum_is_printed():
    blank = replace(UNPRICED, total_cents=0, store_cuts=None, budget=budget_bar(0, 0, 10000))
    pages = buy_list_pages(blank, (), CLOSING, INCH_LETTER)
    words = all_words(pages)
    assert "no prices given" in words
    assert "budget $100.00" in words
    assert "$0.00" not in words


def test_a_page_without_rows_names_no_columns():
    *_, last = buy_list_pages(LIST, WARNINGS * 9, CLOSING, INCH_LETTER)
    assert "pieces" not in texts(last)
