from __future__ import annotations

from dataclasses import replace

import pytest
from cut_trees import (
    BOARD,
    KERF,
    PINE,
    PLY,
    SHEET,
    Result,
    bill,
    crosscut,
    inch,
    job,
    keep,
    part,
    piece,
    plan,
    rip,
    store_crosscut,
)

from cutopt.model.job import Budget, Edge, Extra, Pack, Store
from cutopt.model.plan import Measure
from cutopt.steps.buy import budget_bar, budget_words, buy_list
from cutopt.steps.money import format_amount, format_money
from cutopt.steps.overview import overview
from cutopt.steps.phrase import plain
from cutopt.units import Units, format_length

PARTS = (bill("Shelf", 4, 40, 15), bill("Slat", 3, 38, 3.5, PINE))
SHELF = rip(15, part("Shelf"))
SHORT_BOARD = replace(BOARD, name="pine 1x4 6 ft", length=inch(72), price_cents=470)
STORE = Store(kerf=KERF, free_cuts=1, fee_per_cut_cents=100)
PIECES = (
    piece("S1", store_crosscut(50, store_crosscut(20, SHELF, SHELF), SHELF)),
    piece("S2", store_crosscut(50, SHELF, keep("S2-a"))),
    piece("L1", crosscut(38, part("Slat", 1), crosscut(38, part("Slat", 2))), BOARD),
    piece("L2", crosscut(38, part("Slat", 3), keep("L2-a")), SHORT_BOARD),
)


def say(ticks):
    return format_length(ticks, Units.INCH, unit_mark=True)


def bought(pieces=PIECES, results=(), **more):
    more.setdefault("store", STORE)
    more.setdefault("stock", (SHEET, BOARD, SHORT_BOARD))
    return plan(job(PARTS, **more), pieces, results)


def rows(listing):
    return [
        (g.head, r.item, plain(r.size, say), r.count, r.each_cents, r.sum_cents)
        for g in listing.groups
        for r in g.rows
    ]


def notes(row):
    return [plain(note, say) for note in row.notes]


def test_sheets_come_before_boards_with_counts_and_sums():
    # 2 x 68.00, 1 x 6.48, 1 x 4.70, one paid store cut at 1.00
    listing = buy_list(bought())
    assert rows(listing) == [
        ("Sheets and panels", "Birch ply", '96" × 48" × 3/4"', 2, 6800, 13600),
        ("Boards", "Pine 1x4", "8 ft", 1, 648, 648),
        ("Boards", "Pine 1x4", "6 ft", 1, 470, 470),
    ]
    assert notes(listing.groups[0].rows[0]) == ["store saw: 3 cuts"]
    assert (listing.store_cuts.made, listing.store_cuts.paid) == (3, 1)
    assert listing.store_cuts.sum_cents == 100
    assert listing.total_cents == 13600 + 648 + 470 + 100


def test_the_sum_of_all_rows_is_the_total():
    listing = buy_list(bought())
    together = sum(row.sum_cents for group in listing.groups for row in group.rows)
    assert together + listing.store_cuts.sum_cents == listing.total_cents


def test_owned_pieces_are_taken_from_the_shop_and_cost_nothing():
    own = replace(SHEET, name="half sheet in the rack", owned=True, price_cents=0, available=1)
    listing = buy_list(bought((piece("S1", SHELF, own), *PIECES[2:]), stock=(own, BOARD)))
    assert [group.head for group in listing.groups] == ["Boards"]
    (row,) = listing.owned
    assert (row.item, row.count, row.sum_cents) == ("Birch ply", 1, 0)
    assert notes(row) == ["half sheet in the rack"]
    assert listing.store_cuts is None


def test_rows_go_by_their_grade_and_by_their_stock_name_where_they_look_alike():
    select = replace(BOARD, name="pine select", grade="select, few knots", price_cents=990)
    pieces = (PIECES[2], piece("L2", crosscut(38, part("Slat", 3)), select))
    listing = buy_list(bought(pieces, stock=(BOARD, select)))
    first, second = listing.groups[0].rows
    assert (first.grade, second.grade) == ("", "select, few knots")
    assert notes(first) == notes(second) == []
    again = replace(BOARD, name="pine from the yard", price_cents=600)
    pieces = (PIECES[2], piece("L2", crosscut(38, part("Slat", 3)), again))
    listing = buy_list(bought(pieces, stock=(BOARD, again)))
    assert notes(listing.groups[0].rows[1]) == ["pine from the yard"]


def test_spare_boards_have_the_name_size_and_grade_of_those_that_are_cut():
    common = replace(BOARD, grade="common")
    spare = Extra("pine, spare", 3, (Pack(1, 648),), note="to be safe", spare_of=common.name)
    pieces = (piece("L1", crosscut(38, part("Slat", 3)), common),)
    listing = buy_list(bought(pieces, stock=(common,), extras=(spare,)))
    (row,) = listing.groups[-1].rows
    assert rows(listing)[-1] == ("Spare boards, not cut", "Pine 1x4, spare", "8 ft", 3, 648, 1944)
    assert (row.grade, notes(row)) == ("common", ["to be safe"])


def test_a_measured_board_goes_by_what_is_written_on_it():
    measured = replace(BOARD, name="A", owned=True, price_cents=0, available=1, bad=((0, 100),))
    listing = buy_list(bought((piece("L1", crosscut(38, part("Slat", 3)), measured),),
                              stock=(measured,)))  # fmt: skip
    assert (listing.owned[0].mark, notes(listing.owned[0])) == ("A", [])


def test_without_a_price_there_are_no_sums():
    blank = replace(SHEET, price_cents=None)
    listing = buy_list(bought((piece("S1", SHELF, blank),), stock=(blank,)))
    assert rows(listing)[0][4:] == (None, None)
    assert listing.unpriced is True


def test_extras_are_bought_in_the_cheapest_mix_of_packs():
    # 120 screws: 100 at 8.25 and 25 at 2.60 is 10.85; two boxes of 100 would be 16.50
    screws = Extra("Screws", 120, (Pack(100, 825), Pack(25, 260)), group="Case")
    listing = buy_list(bought(extras=(screws,)))
    others = listing.groups[-1]
    assert [(r.item, plain(r.size, say), r.count, r.sum_cents) for r in others.rows] == [
        ("Screws", "pack of 100", 1, 825),
        ("Screws", "pack of 25", 1, 260),
    ]
    assert notes(others.rows[0]) == ["Case", "needs 120"]


def test_a_single_thing_needs_no_pack():
    grille = Extra("Vent grille", 1, (Pack(1, 1400),), note="opening in the vent panel")
    row = buy_list(bought(extras=(grille,))).groups[-1].rows[0]
    assert (row.size, row.count, row.sum_cents) == ((), 1, 1400)
    assert notes(row) == ["opening in the vent panel"]


def test_the_budget_says_what_is_left_or_over():
    total = 14818
    listing = buy_list(bought(budget=Budget(0, 16000)))
    assert listing.budget.left_cents == 16000 - total
    assert budget_words(listing) == "of $160.00 budget: $11.82 left"
    over = buy_list(bought(budget=Budget(10000, 14000)))
    assert budget_words(over) == "of $100.00 to $140.00 budget: $8.18 over"
    assert budget_words(buy_list(bought())) == ""


@pytest.mark.parametrize(
    ("spent", "high", "major", "scale"),
    [
        (30997, 33000, 5000, 34000),
        (500, 800, 100, 820),
        (90000, 20000, 20000, 92000),
        (0, 0, 100, 20),
    ],
)
def test_the_budget_bar_reads_in_round_amounts(spent, high, major, scale):
    bar = budget_bar(spent, 0, high)
    assert (bar.major_cents, bar.scale_cents) == (major, scale)
    assert bar.scale_cents > max(spent, high)
    assert bar.scale_cents // bar.major_cents <= 8


def answers(*results, **more):
    return [
        (plain(row.material, say), plain(row.answer, say), row.reason)
        for row in buy_list(bought(results=results, **more)).cheaper
    ]


def test_proven_says_no_cheaper_purchase_exists():
    proven = Result(PLY, 13600, 13600, why="1 sheet is too small by area")
    assert answers(proven) == [
        ('Birch ply 3/4"', "No cheaper purchase exists.", "1 sheet is too small by area"),
    ]


def test_a_gap_in_one_kind_of_sheet_is_said_in_sheets():
    assert answers(Result(PLY, 13600, 6800))[0][1] == "At best one sheet less."
    assert answers(Result(PLY, 20400, 6800))[0][1] == "At best two sheets less."


def test_a_gap_in_a_mix_of_boards_is_said_in_money():
    gap = Result(PINE, 1118, 648, next_best="2 of pine 1x4 8 ft, $1.78 more")
    assert answers(gap) == [
        ("Pine 1x4", "At best $4.70 less.", "next best: 2 of pine 1x4 8 ft, $1.78 more"),
    ]


def test_without_prices_a_gap_is_said_in_length_or_area():
    boards = Result(PINE, inch(168), inch(150), Measure.LENGTH)
    assert answers(boards)[0][1] == "At best 2 ft less."
    sheet = Result(PLY, inch(96) * inch(48), inch(96) * inch(40), Measure.AREA)
    half = replace(SHEET, name="half", length=inch(48))
    # 8 in x 96 in = 768 sq in = 5.33 sq ft
    assert answers(sheet, stock=(SHEET, half, BOARD))[0][1] == "At best 5.4 sq ft less."


def test_band_is_counted_by_the_edge_with_something_to_trim():
    # 3 parts, front 40 in and left 15 in each: 165 in, and 6 edges at 2 in more: 177 in
    banded = replace(bill("Shelf", 3, 40, 15), band=(Edge.FRONT, Edge.LEFT))
    listing = buy_list(plan(job((banded,)), ()))
    assert [plain(line, say) for line in listing.bands] == [
        'Birch ply 3/4": 15 ft of band, 6 edges with 2" to trim on each (common practice)',
    ]


def test_money_is_printed_with_its_sign_or_code():
    assert format_money(30997, "USD") == "$309.97"
    assert format_money(-5, "GBP") == "-£0.05"
    assert format_money(1240, "EUR") == "€12.40"
    assert format_money(1240, "CHF") == "CHF 12.40"
    assert format_amount(100) == "1.00"


def test_the_overview_names_the_largest_offcut_and_the_cuts():
    over = overview(bought(results=(Result(PLY, 13600, 13600), Result(PINE, 1118, 648))))
    assert (over.store_cuts, over.shop_cuts, over.pieces) == (3, 7, 4)
    assert over.largest_offcut.id == "S2-a"
    assert plain(over.largest_offcut.size, say) == '45-7/8" × 48"'
    assert [(line.cost, plain(line.answer, say)) for line in over.materials] == [
        ("$136.00", "No cheaper purchase exists."),
        ("$11.18", "At best $4.70 less."),
    ]
    assert overview(bought((piece("S1", SHELF),))).largest_offcut is None


def test_what_the_next_best_costs_more_is_said_in_the_currency_of_the_job():
    found = Result(PINE, 1118, 1118, why="it is so", next_best="2 of pine 1x4 8 ft, 1.78 more")
    assert answers(found)[0][2] == "it is so; next best: 2 of pine 1x4 8 ft, $1.78 more"


def test_where_nothing_has_a_price_the_list_knows_it():
    blank = replace(SHEET, price_cents=None)
    listing = buy_list(bought((piece("S1", SHELF, blank),), stock=(blank,)))
    assert not listing.any_price
    assert buy_list(bought()).any_price
