from __future__ import annotations

from cut_trees import (
    BOARD,
    crosscut,
    inch,
    keep,
    part,
    piece,
    rip,
    store_crosscut,
    store_rip,
    waste,
)

from cutopt.steps.letters import letter, name_pieces


def names(stock_piece):
    return {
        cut.step: (cut.before, cut.first, cut.second)
        for cut in name_pieces(stock_piece).cuts.values()
    }


def test_letters_run_past_z_as_columns_of_a_spreadsheet_do():
    assert [letter(n) for n in (0, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip


def test_a_piece_still_to_be_cut_at_the_store_carries_the_letters_it_holds():
    shelf = rip(15, part("Shelf"))
    sheet = piece(
        "S2",
        store_crosscut(
            58.75,
            store_rip(30.75, shelf, shelf),
            store_rip(30.75, store_crosscut(19.375, shelf, shelf), shelf),
        ),
    )
    assert names(sheet) == {
        1: ("ABCDE", "AB", "CDE"),
        2: ("AB", "A", "B"),
        3: ("CDE", "CD", "E"),
        4: ("CD", "C", "D"),
        5: ("A", None, None),
        6: ("B", None, None),
        7: ("C", None, None),
        8: ("D", None, None),
        9: ("E", None, None),
    }


def test_waste_of_the_store_gets_no_letter_and_an_offcut_does():
    sheet = piece("S1", store_crosscut(60, store_rip(24, part("Top"), keep("S1-a")), waste()))
    named = name_pieces(sheet)
    assert named.cuts[1].first == "AB"
    assert named.cuts[1].second is None
    assert [floor.letter for floor in named.floor] == ["A", "B"]


def test_a_sheet_the_store_leaves_whole_is_piece_a():
    sheet = piece("S1", crosscut(60, part("Seat")))
    assert names(sheet) == {1: ("A", None, None)}
    assert name_pieces(sheet).full("A") == "S1 A"


def test_at_home_a_piece_keeps_its_letter_while_one_side_goes_on():
    sheet = piece("S1", rip(15, part("Side", 1), rip(15, part("Side", 2), rip(4, part("Kick")))))
    assert names(sheet) == {
        1: ("A", None, "A"),
        2: ("A", None, "A"),
        3: ("A", None, None),
    }


def test_where_both_sides_go_on_they_are_numbered_and_later_ones_take_the_next_number():
    strip = crosscut(38, part("Divider"))
    sheet = piece("S1", rip(15, strip, rip(10, strip, rip(5, strip, strip))))
    assert names(sheet) == {
        1: ("A", "A1", "A2"),
        2: ("A1", None, None),
        3: ("A2", "A2", "A3"),
        4: ("A2", None, None),
        5: ("A3", "A3", "A4"),
        6: ("A3", None, None),
        7: ("A4", None, None),
    }


def test_no_two_pieces_on_the_floor_share_a_name():
    leaf = rip(2, part("Cleat"))
    cross = crosscut(10, leaf, crosscut(10, leaf, leaf))
    sheet = piece("S1", store_crosscut(50, rip(15, cross, rip(10, cross, cross)), cross))
    named = name_pieces(sheet)
    floor = [fp.letter for fp in named.floor]
    for cut in named.cuts.values():
        if cut.step == 1:
            continue
        assert floor.count(cut.before) == 1
        floor.remove(cut.before)
        floor += [name for name in (cut.first, cut.second) if name is not None]
        assert len(set(floor)) == len(floor)
    assert floor == []


def test_a_board_goes_by_its_id_alone():
    board = piece("L3", crosscut(38, part("Slat"), crosscut(19, part("Rail"))), BOARD)
    named = name_pieces(board)
    assert names(board) == {1: ("", None, ""), 2: ("", None, None)}
    assert named.full("") == "L3"
    assert named.origin == {("Slat", 1): "", ("Rail", 1): ""}


def test_a_board_ripped_into_strips_that_go_on_falls_into_a_and_b():
    strip = crosscut(38, part("Slat"))
    board = piece("L3", crosscut(48, rip(1.5, strip, strip), strip), BOARD)
    assert names(board)[1] == ("", "A", "B")
    assert names(board)[2] == ("A", "A", "C")


def test_many_letters_are_named_by_the_first_and_the_last():
    def chain(count):
        return part("Tile") if count == 1 else store_crosscut(3, part("Tile"), chain(count - 1))

    assert names(piece("S1", chain(7)))[1] == ("A-G", "A", "BCDEFG")
    assert names(piece("S1", chain(7)))[2] == ("BCDEFG", "B", "CDEFG")
    # past Z a lone letter AB exists, so two together never read AB
    assert names(piece("S1", chain(28)))[27] == ("AA-AB", "AA", "AB")


def test_edges_made_by_the_store_are_known():
    sheet = piece("S1", store_crosscut(60, store_rip(24, part("Top"), keep("S1-a")), keep("S1-b")))
    a, b, c = name_pieces(sheet).floor
    assert (a.store_edges.right, a.store_edges.top, a.store_edges.left) == (True, True, False)
    assert (b.store_edges.bottom, b.store_edges.top) == (True, False)
    assert (c.store_edges.left, c.x, c.y) == (True, inch(60.125), 0)
