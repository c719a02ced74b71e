"""Why a material cannot be planned, in a builder's words."""

from __future__ import annotations

import pytest

from cutopt.errors import CannotPlanError
from cutopt.model.job import Grain
from cutopt.solve.boards import plan_boards
from cutopt.solve.explain import explain, nearest_equal_length
from cutopt.solve.params import Item, Problem, Search, StockType, Unwatched
from cutopt.units import Units, inches, millimetres

EIGHTH = inches(0, 1, 8)


def said(problem: Problem, names: dict[str, str], units: Units = Units.INCH) -> list[str]:
    return [str(fault) for fault in explain(problem, names, units)]


def one_board(*parts: tuple[str, int, int]) -> Problem:
    """(id, inches, qty) from the only 8 ft board there is."""
    return Problem(
        "pine",
        tuple(Item(part, inches(length), inches(4), qty) for part, length, qty in parts),
        (StockType("8 ft", inches(96), inches(4), 398, 1),),
        EIGHTH,
        EIGHTH,
    )


def test_four_two_foot_parts_from_eight_feet_are_short_by_three_saw_cuts():
    # Three cuts of 1/8 in; (96 - 3/8) / 4 = 23-29/32 in (23.90625).
    problem = one_board(("P1", 24, 4))
    assert said(problem, {"P1": "Shelf"}) == [
        (
            '4 Shelf from 8 ft: 3/8" short; fits only if the saw removes nothing'
            ' - 4 of 23-29/32" fit, or add stock'
        )
    ]
    with pytest.raises(CannotPlanError, match="fits only if the saw removes nothing"):
        plan_boards(problem, Search(), Unwatched())


def test_bat_house_pieces_fit_only_if_the_saw_removes_nothing():
    # A published bat-house plan cuts 50 + 32 + 11 + 3 in from 96 in of board.
    problem = one_board(("P1", 50, 1), ("P2", 32, 1), ("P3", 11, 1), ("P4", 3, 1))
    (text,) = said(problem, {})
    assert text.startswith('1 P1 + 1 P2 + 1 P3 + 1 P4 from 8 ft: 3/8" short; fits only if')


@pytest.mark.parametrize(
    ("pieces", "expected"),
    [(2, inches(23, 15, 16)), (3, inches(15, 58, 64)), (4, inches(11, 58, 64))],
)
def test_nearest_equal_length_is_whole_sixty_fourths(pieces, expected):
    # 48 in at kerf 1/8: 23-15/16, 15-11/12 and 11-29/32 in, rounded down to 1/64.
    found = nearest_equal_length(inches(48), pieces, EIGHTH, Units.INCH)
    assert found == expected
    assert pieces * found + (pieces - 1) * EIGHTH <= inches(48)


def test_stock_that_runs_out_is_short_by_a_length():
    (text,) = said(one_board(("P1", 40, 3)), {})
    # 3 x 40 in and two cuts at least, less one board of 96 in.
    assert text.startswith('pine: the stock runs out: all of it together is 24-1/4" short')


def test_no_claim_is_made_where_length_would_do_but_no_way_was_found():
    problem = Problem(
        "pine",
        (Item("P1", inches(50), inches(4), 3),),
        (StockType("8 ft", inches(96), inches(4), 398, 2),),
        EIGHTH,
        EIGHTH,
    )
    (text,) = said(problem, {})
    assert text.startswith("pine: no way was found to cut all parts from the stock available")


def sheet(*items: Item, available: int | None = None, grain: bool = True) -> Problem:
    kind = StockType("ply 8x4", inches(96), inches(48), 6200, available, grain)
    return Problem("ply", items, (kind,), EIGHTH, EIGHTH)


def test_a_part_against_the_grain_is_told_so():
    problem = sheet(Item("P1", inches(60), inches(20), 1, Grain.WIDTH))
    assert said(problem, {"P1": "Back"}) == [
        (
            'Back (60 x 20") fits ply 8x4 only with its grain the wrong way'
            " - let it turn (grain any), or add larger stock"
        )
    ]


def test_a_part_larger_than_all_stock_is_told_by_how_much_the_better_way_round():
    problem = sheet(Item("P1", inches(50), inches(100), 1))
    (text,) = said(problem, {})
    assert '4" too long and 2" too wide for ply 8x4' in text


def test_every_misfit_is_told_at_once():
    problem = sheet(Item("P1", inches(97), inches(10), 1), Item("P2", inches(98), inches(10), 1))
    assert len(said(problem, {})) == 2


def test_eight_quarters_of_a_sheet_fit_only_if_the_saw_removes_nothing():
    # 24 x 24 in from 48 x 96: 8 at kerf 0; the pieces that do fit are under 24 in.
    problem = sheet(Item("P1", inches(24), inches(24), 8), available=1)
    assert said(problem, {"P1": "Tile"}) == [
        (
            '8 Tile from ply 8x4: 3/8" short in length and 1/8" short in width;'
            ' fits only if the saw removes nothing - 8 of 23-29/32 x 23-15/16" fit, or add stock'
        )
    ]


def test_metric_stock_is_told_in_millimetres():
    problem = Problem(
        "spruce",
        (Item("P1", millimetres(600), millimetres(45), 4),),
        (StockType("2.4 m", millimetres(2400), millimetres(45), 500, 1),),
        millimetres(3.2),
        millimetres(3.2),
    )
    assert said(problem, {}, Units.MM) == [
        (
            "4 P1 from 2.4 m: 9.6 mm short; fits only if the saw removes nothing"
            " - 4 of 597.6 mm fit, or add stock"
        )
    ]


def test_area_that_runs_out_is_told_as_a_share():
    problem = sheet(Item("P1", inches(48), inches(36), 3), available=1)
    (text,) = said(problem, {})
    assert text.startswith("ply: the stock runs out: the parts need")


def test_a_thinner_blade_is_named_where_one_would_do():
    # 96 - 4 x 23-15/16 = 1/4 in for three cuts: 5/64 in each at most.
    kind = StockType("8 ft", inches(96), inches(4), 398, 1)
    problem = Problem("pine", (Item("P1", inches(23, 15, 16), inches(4), 4),), (kind,), EIGHTH, 0)
    (text,) = said(problem, {})
    assert '1/8" short; fits only if the saw removes no more than 5/64" a cut' in text
