from __future__ import annotations

from dataclasses import replace

from cut_trees import (
    BOARD,
    KERF,
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
    waste,
)

from cutopt.model.job import Extra, Pack, Store
from cutopt.steps.boards import SpareBoards, board_sections

PARTS = (
    bill("Slat", 4, 38, 3.5, PINE),
    bill("Hook rail", 1, 19, 3.5, PINE),
    bill("Stile", 1, 74, 3.5, PINE),
    bill("Post", 1, 74, 3.5, PINE),
)
HOOK_RAIL = crosscut(19, part("Hook rail"))


def inches_of(marks):
    return [mark.at / 8128 for mark in marks]


def test_marks_are_cumulative_from_the_left_end_with_the_kerf_right_of_each():
    # check value: 38, then 38 + 1/8 + 38 = 76-1/8, then 76-1/8 + 1/8 + 19 = 95-1/4
    board = piece(
        "L1",
        crosscut(
            38, part("Slat", 1), crosscut(38, part("Slat", 2), crosscut(19, part("Hook rail")))
        ),
        BOARD,
    )
    (section,) = board_sections(plan(job(PARTS), (board,)))
    (row,) = section.rows
    assert inches_of(row.marks) == [38, 76.125, 95.25]
    assert not any(mark.start for mark in row.marks)
    assert [(s.kind, s.name, s.letter, s.x / 8128) for s in row.segments] == [
        ("part", "Slat", "a", 0),
        ("part", "Slat", "a", 38.125),
        ("part", "Hook rail", "b", 76.25),
        ("waste", "", "", 95.375),
    ]


def test_the_order_the_saw_crosscuts_in_does_not_move_the_marks():
    halved = piece(
        "L1",
        crosscut(76.125, crosscut(38, part("Slat", 1), part("Slat", 2)), keep("L1-a")),
        BOARD,
    )
    (section,) = board_sections(plan(job(PARTS), (halved,)))
    assert inches_of(section.rows[0].marks) == [38, 76.125]
    assert section.rows[0].segments[-1].name == "keep L1-a"


def test_a_part_after_a_trimmed_end_begins_at_its_own_mark():
    trimmed = piece("L1", crosscut(0.875, waste(), crosscut(38, part("Slat"))), BOARD)
    flush = piece("L2", crosscut(0, None, crosscut(38, part("Slat"))), BOARD)
    (section,) = board_sections(plan(job(PARTS), (trimmed, flush)))
    assert [[(m.at / 8128, m.start) for m in row.marks] for row in section.rows] == [
        [(1, True), (39, False)],
        [(0.125, True), (38.125, False)],
    ]


def test_stop_block_groups_run_from_the_longest_and_join_names_of_one_length():
    boards = (
        piece("L1", crosscut(74, part("Stile"), crosscut(19, part("Hook rail"))), BOARD),
        piece("L2", crosscut(74, part("Post")), BOARD),
        piece("L3", crosscut(38, part("Slat", 1), crosscut(38, part("Slat", 2))), BOARD),
    )
    (section,) = board_sections(plan(job(PARTS), boards))
    assert [(g.letter, g.setting / 8128, g.names, g.count) for g in section.groups] == [
        ("a", 74, ("Stile", "Post"), 2),
        ("b", 38, ("Slat",), 2),
        ("c", 19, ("Hook rail",), 1),
    ]
    assert (section.count, section.parts, section.by_length) == (3, 5, ((inch(96), 3),))
    assert section.kerfs == (KERF,)


def test_equal_boards_share_a_row_past_twenty_boards():
    def slats(count):
        return tuple(
            piece(f"L{n}", crosscut(38, part("Slat", n)), BOARD) for n in range(1, count + 1)
        )

    def rows(count):
        (section,) = board_sections(plan(job(PARTS), slats(count)))
        return section.rows

    assert len(rows(20)) == 20
    (row,) = rows(21)
    assert row.ids == tuple(f"L{n}" for n in range(1, 22))


def test_ripped_boards_are_left_to_the_shop_sheets():
    ripped = piece("L1", rip(1.5, part("Slat", 1), part("Slat", 2)), BOARD)
    assert board_sections(plan(job(PARTS), (ripped,))) == ()


def test_after_a_store_cut_the_tape_is_hooked_on_the_next_piece():
    slat = crosscut(38, part("Slat", 1))
    board = piece("L1", store_crosscut(48, slat, slat), BOARD)
    store = Store(kerf=inch(1 / 8), crosscuts_boards=True)
    (section,) = board_sections(plan(job(PARTS, store=store), (board,)))
    marks = [(mark.at / 8128, mark.store, mark.start) for mark in section.rows[0].marks]
    assert marks == [(38, False, False), (48.125, True, False), (86.125, False, False)]
    assert marks[2][0] - marks[1][0] == 38
    assert section.kerfs == (KERF,)


def test_each_section_has_its_own_page():
    oak = replace(PINE, name="oak")
    oak_board = replace(BOARD, name="oak 1x4", material=oak)
    shelf = bill("Shelf", 1, 40, 3.5, oak)
    pieces = (
        piece("L1", crosscut(40, part("Shelf")), oak_board),
        piece("L2", crosscut(38, part("Slat")), BOARD),
    )
    sections = board_sections(plan(job((*PARTS, shelf)), pieces))
    assert [section.material.name for section in sections] == ["pine", "oak"]


def test_boards_of_several_grades_are_told_apart_and_spares_named():
    clear = replace(BOARD, name="clear", grade="clear")
    common = replace(BOARD, name="common", grade="common")
    tree = crosscut(19, part("Hook rail"))
    boards = (piece("L1", crosscut(74, part("Stile")), clear), piece("L2", tree, common))
    spare = Extra("common, spare", 2, (Pack(1, 648),), spare_of="common")
    made = replace(job(PARTS), stock=(clear, common), extras=(spare,))
    (section,) = board_sections(plan(made, boards))
    assert [row.mark for row in section.rows] == ["clear", "common"]
    assert section.spares == (SpareBoards(2, common.length, "common"),)
    (alone,) = board_sections(plan(replace(job(PARTS), stock=(clear,)), boards[:1]))
    assert [row.mark for row in alone.rows] == [""]
