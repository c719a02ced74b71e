from __future__ import annotations

from dataclasses import replace

from cut_trees import (
    BOARD,
    KERF,
    PINE,
    SHEET,
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
    store_rip,
    waste,
)

from cutopt.model.job import Store
from cutopt.steps.phrase import plain
from cutopt.steps.store import fee_words, store_sheets, uncut_words
from cutopt.units import Units, format_length, millimetres

STORE = Store(
    kerf=KERF,
    accuracy=inch(1 / 8),
    free_cuts=3,
    fee_per_cut_cents=100,
    rough=True,
    allowance=inch(1 / 8),
)
SHELF = rip(15, part("Shelf"))
TREE = store_crosscut(
    58.75,
    store_rip(30.75, SHELF, SHELF),
    store_rip(30.75, store_crosscut(19.375, SHELF, SHELF), keep("S2-a")),
)


def say(ticks):
    return format_length(ticks, Units.INCH, unit_mark=True)


def sheets_of(*pieces, store=STORE, **more):
    return store_sheets(plan(job((bill("Shelf", 4, 40, 15),), store=store, **more), pieces))


def told(sheet):
    return [
        (
            cut.step,
            cut.verb,
            cut.setting / 8128,
            cut.where,
            *(result_of(r) for r in (cut.first, cut.second)),
        )
        for cut in sheet.cuts
    ]


def result_of(result):
    if result is None or result.waste:
        return None
    if result.cut_again:
        return result.letters
    return result.letters, result.length / 8128, result.width / 8128


def test_each_cut_says_the_piece_the_edge_the_setting_and_what_comes_off():
    (sheet,) = sheets_of(piece("S2", TREE))
    assert told(sheet) == [
        (1, "crosscut", 58.75, "the whole sheet, from its left end", "AB", "CDE"),
        (
            2,
            "rip",
            30.75,
            "piece AB, from its bottom edge",
            ("A", 58.75, 30.75),
            ("B", 58.75, 17.125),
        ),
        (3, "rip", 30.75, "piece CDE, from its bottom edge", "CD", ("E", 37.125, 17.125)),
        (
            4,
            "crosscut",
            19.375,
            "piece CD, from its left end",
            ("C", 19.375, 30.75),
            ("D", 17.625, 30.75),
        ),
    ]


def test_cuts_know_where_their_piece_lies_on_the_sheet():
    (sheet,) = sheets_of(piece("S2", TREE))
    last = sheet.cuts[3]
    assert (last.x, last.y, last.length, last.width, last.line) == (
        inch(58.875), 0, inch(37.125), inch(30.75), inch(19.375),
    )  # fmt: skip


def test_free_and_paid_cuts_count_for_each_piece_bought():
    # 4 cuts a sheet, 3 free, 1 at $1.00, two sheets: $2.00
    (sheet,) = sheets_of(piece("S1", TREE), piece("S2", TREE))
    assert (sheet.ids, sheet.free, sheet.paid, sheet.fee_cents) == (("S1", "S2"), 3, 1, 200)
    assert fee_words(sheet) == "3 free, 1 to pay"
    (two,) = sheets_of(piece("S1", store_crosscut(50, SHELF, SHELF)))
    assert fee_words(two) == "1 free, nothing to pay"


def test_sheets_that_differ_only_at_home_are_one_to_the_operator():
    other = store_crosscut(50, rip(12, part("Shelf")), SHELF)
    (sheet,) = sheets_of(piece("S1", store_crosscut(50, SHELF, SHELF)), piece("S3", other))
    assert sheet.ids == ("S1", "S3")


def test_sizes_of_results_are_rounded_to_an_eighth_except_where_a_setting_says_them():
    (sheet,) = sheets_of(piece("S1", store_crosscut(50.03125, SHELF, SHELF)))
    (cut,) = sheet.cuts
    assert cut.setting == inch(50.03125)
    assert (cut.first.length, cut.second.length) == (inch(50.03125), inch(45.875))


def test_in_a_metric_job_sizes_are_rounded_to_a_millimetre():
    (sheet,) = sheets_of(piece("S1", store_crosscut(50.03125, SHELF, SHELF)), units=Units.MM)
    assert sheet.cuts[0].second.length == millimetres(1164)  # 45-27/32 in = 1164.4 mm


def test_rough_pieces_are_oversize_on_purpose():
    (sheet,) = sheets_of(piece("S2", TREE))
    assert [plain(head, say) for head, _ in sheet.instructions] == [
        "Measure from the heavy bar.",
        'Within 1/8" is near enough.',
        "Pencil the letter",
    ]
    assert sheet.stop == (
        "Stop after cut 4.",
        (
            "A, B, C, D and E leave the store whole. "
            "They are oversize on purpose: do not cut them to size."
        ),
        "AB is one piece until it is cut.",
    )


def test_where_edges_stay_the_operator_cuts_to_the_mark():
    exact = replace(STORE, rough=False)
    (sheet,) = sheets_of(piece("S1", store_crosscut(50, part("Shelf"), waste())), store=exact)
    assert plain(sheet.instructions[1][0], say) == "To the mark."
    assert sheet.stop == (
        "Stop after cut 1.",
        "A leaves the store whole: do not cut it any further.",
    )


def test_a_blade_along_the_reference_edge_is_set_from_the_far_edge():
    (sheet,) = sheets_of(piece("S1", store_crosscut(0, None, store_rip(24, SHELF, SHELF))))
    assert told(sheet)[0][:4] == (1, "crosscut", 95.875, "the whole sheet, from its right end")


def test_boards_crosscut_for_the_car_come_after_the_sheets():
    board = piece(
        "L1", store_crosscut(48, crosscut(40, part("Slat")), crosscut(40, part("Slat"))), BOARD
    )
    boards, sheet = sheets_of(piece("S1", TREE), board)[::-1]
    assert (sheet.ids, boards.ids) == (("S1",), ("L1",))
    assert boards.cuts[0].where == "the whole board, from its left end"


def test_what_is_not_cut_is_named_once():
    a_plan = plan(
        job((bill("Shelf", 4, 40, 15), bill("Slat", 2, 38, 3.5, PINE)), store=STORE),
        (
            piece("S1", TREE),
            piece("S2", SHELF),
            piece("S3", SHELF, replace(SHEET, owned=True, name="left over")),
            piece("L1", crosscut(38, part("Slat", 1)), BOARD),
            piece("L2", crosscut(38, part("Slat", 2)), BOARD),
        ),
    )
    assert uncut_words(a_plan) == "Sheet S2 and all boards: no cuts."
    assert uncut_words(plan(a_plan.job, a_plan.pieces[:1])) == ""


def test_no_store_no_sheets():
    assert sheets_of(piece("S1", SHELF), store=None) == ()
