from __future__ import annotations

from dataclasses import replace

from cut_trees import (
    BOARD,
    PINE,
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

from cutopt.model.job import Edge
from cutopt.steps.bands import band_needs, band_words
from cutopt.steps.labels import offcut_labels, part_labels

SIDE = replace(
    bill("Side", 2, 40, 15.25),
    blank_width=inch(15.21875),
    band=(Edge.FRONT,),
    handed=True,
    group="Case",
)
CLEAT = bill("Cleat", 1, 14, 1.5)
SLAT = bill("Slat", 1, 38, 3.5, PINE)
PLAN = plan(
    job((SIDE, CLEAT, SLAT)),
    (
        piece(
            "S1",
            store_crosscut(
                50,
                rip(1.5, crosscut(14, part("Cleat")), rip(15.25, part("Side", 1), keep("S1-a"))),
                rip(15.25, part("Side", 2), keep("S1-b")),
            ),
        ),
        piece("L1", crosscut(38, part("Slat"), keep("L1-a")), BOARD),
    ),
)


def test_labels_come_in_the_order_of_cutting_and_say_where_from():
    assert [(label.part.name, label.count, label.source) for label in part_labels(PLAN)] == [
        ("Cleat", "1 of 1", "S1 A"),
        ("Side", "1 of 2", "S1 A"),
        ("Side", "2 of 2", "S1 B"),
        ("Slat", "1 of 1", "L1"),
    ]


def test_every_part_of_the_bill_has_its_label():
    wanted = [(p.id, copy) for p in PLAN.job.parts for copy in range(1, p.qty + 1)]
    assert sorted((label.part.id, label.copy) for label in part_labels(PLAN)) == sorted(wanted)


def test_the_cut_size_is_said_where_it_is_not_the_finished_size():
    by_name = {label.part.name: label for label in part_labels(PLAN)}
    assert by_name["Side"].cut_differs
    assert by_name["Side"].cut_width == inch(15.21875)
    assert not by_name["Cleat"].cut_differs


def test_handed_copies_are_left_and_right_in_turn():
    assert [(label.part.name, label.hand) for label in part_labels(PLAN)] == [
        ("Cleat", ""),
        ("Side", "left"),
        ("Side", "right"),
        ("Slat", ""),
    ]


def test_offcuts_worth_keeping_get_labels_too():
    assert [(label.offcut.id, label.source) for label in offcut_labels(PLAN)] == [
        ("S1-a", "S1"),
        ("S1-b", "S1"),
        ("L1-a", "L1"),
    ]


def test_a_sheet_that_is_one_part_gets_its_label():
    whole = plan(job((bill("Top", 1, 96, 48),)), (piece("S1", part("Top")),))
    assert [label.source for label in part_labels(whole)] == ["S1 A"]


def test_bands_in_words():
    assert [band_words(replace(CLEAT, band=band)) for band in ((), (Edge.FRONT,), tuple(Edge))] == [
        "no band",
        "band front",
        "band all edges",
    ]
    assert band_words(replace(CLEAT, band=(Edge.FRONT, Edge.LEFT))) == "band front, left"


def test_front_and_back_run_along_the_length_left_and_right_along_the_width():
    # 2 sides of 40 x 15-1/4: front 40, right 15-1/4; 110-1/2 in all, 4 edges at 2 in more
    side = replace(SIDE, band=(Edge.FRONT, Edge.RIGHT))
    (need,) = band_needs(plan(job((side, CLEAT)), ()))
    (row,) = need.rows
    assert row.edges == ((Edge.FRONT, inch(40)), (Edge.RIGHT, inch(15.25)))
    assert (need.edges, need.net, need.with_allowance) == (4, inch(110.5), inch(118.5))


def test_nothing_banded_nothing_needed():
    assert band_needs(plan(job((CLEAT, SLAT)), ())) == ()


def test_a_label_says_what_is_written_on_the_measured_board_it_comes_from():
    measured = replace(BOARD, name="A", owned=True, price_cents=0, available=1, bad=((0, 100),))
    board = piece("L1", crosscut(19, part("Hook rail"), keep("L1-a")), measured)
    made = plan(replace(job((bill("Hook rail", 1, 19, 3.5, PINE),)), stock=(measured,)), (board,))
    assert [label.source for label in part_labels(made)] == ["L1 (A)"]
    assert [label.source for label in offcut_labels(made)] == ["L1 (A)"]
