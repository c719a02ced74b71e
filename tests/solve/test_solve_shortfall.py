"""What would do where stock runs out: named parts, counted pieces, sizes that fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from cutopt.errors import CannotPlanError, Fault
from cutopt.model.job import Kind
from cutopt.solve.boards import plan_boards
from cutopt.solve.params import Answer, Item, Problem, Search, StockType, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.shortfall import explain_shortfall, nearest_equal_length
from cutopt.units import Units, inches, millimetres

EIGHTH = inches(0, 1, 8)
QUICK = Search(effort=0)
UNKNOWN = Fault("no more is known")


def said(
    problem: Problem, names: dict[str, str] | None = None, units: Units = Units.INCH
) -> list[str]:
    """Give what is said of boards, where all is 4 in or 45 mm wide, or of sheets."""
    narrow = all(kind.width <= inches(4) for kind in problem.stock)

    def plan_again(changed: Problem, origin: Sequence[int]) -> Answer:
        assert len(origin) == len(changed.stock)
        return (plan_boards if narrow else plan_sheets)(changed, QUICK, Unwatched())

    kind = Kind.BOARD if narrow else Kind.SHEET
    with pytest.raises(CannotPlanError):  # it is told only of what cannot be planned
        plan_again(problem, range(len(problem.stock)))
    faults = explain_shortfall(problem, kind, [UNKNOWN], plan_again, names or {}, units)
    return [str(fault) for fault in faults]


def boards(*parts: tuple[str, int, int], available: int = 1, feet: int = 8) -> Problem:
    """(id, inches, qty) from the only boards there are."""
    return Problem(
        "pine",
        tuple(Item(part, inches(length), inches(4), qty) for part, length, qty in parts),
        (StockType(f"{feet} ft", inches(12 * feet), inches(4), 398, available),),
        EIGHTH,
        EIGHTH,
    )


def sheets(
    *parts: tuple[str, int, int, int],
    available: int = 1,
    size: tuple[int, int] = (96, 48),
) -> Problem:
    """(id, inches, inches, qty) from the only sheets there are."""
    kind = StockType("ply sheet", inches(size[0]), inches(size[1]), 6200, available)
    return Problem(
        "ply",
        tuple(Item(part, inches(length), inches(width), qty) for part, length, width, qty in parts),
        (kind,),
        EIGHTH,
        EIGHTH,
    )


# --- parts that fit but for the saw cuts --------------------------------------------------


def test_four_two_foot_parts_from_eight_feet_are_short_by_three_saw_cuts():
    # Three cuts of 1/8 in; (96 - 3/8) / 4 = 23-29/32 in (23.90625).
    assert said(boards(("P1", 24, 4)), {"P1": "Shelf"}) == [
        (
            '4 Shelf from 8 ft: 3/8" short; fits only if the saw removes nothing'
            ' - 4 of 23-29/32" fit, or 1 more 8 ft would do'
        )
    ]


def test_bat_house_pieces_fit_only_if_the_saw_removes_nothing():
    # A published bat-house plan cuts 50 + 32 + 11 + 3 in from 96 in of board.
    (text,) = said(boards(("P1", 50, 1), ("P2", 32, 1), ("P3", 11, 1), ("P4", 3, 1)))
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


@pytest.mark.parametrize("parts", [[("P1", 24, 24, 8)], [("P1", 24, 24, 2), ("P2", 24, 24, 6)]])
def test_eight_quarters_of_a_sheet_fit_only_if_the_saw_removes_nothing(parts):
    # 24 x 24 in from 48 x 96: 8 at kerf 0; the pieces that do fit are under 24 in.
    (text,) = said(sheets(*parts))
    assert text.startswith(" + ".join(f"{qty} {part}" for part, _, _, qty in parts))
    assert text.endswith(
        'from ply sheet: 3/8" short in length and 1/8" short in width; fits only if the saw'
        ' removes nothing - 8 of 23-29/32 x 23-15/16" fit, or 2 more ply sheet would do'
    )


def test_unequal_parts_of_a_sheet_are_short_on_the_side_they_fill():
    # 24 + 24 in fill 48 in, 24 + 23 in leave 7/8 in.
    (text,) = said(sheets(("P1", 24, 24, 2), ("P2", 24, 23, 2), size=(48, 48)))
    assert text.startswith('2 P1 + 2 P2 from ply sheet: 1/8" short in ')
    assert "and" not in text.split(";")[0].split("short")[1]


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
            " - 4 of 597.6 mm fit, or 1 more 2.4 m would do"
        )
    ]


def test_a_thinner_blade_is_named_where_one_would_do():
    # 96 - 4 x 23-15/16 = 1/4 in for three cuts: 5/64 in each at most.
    problem = boards(("P1", 24, 4))
    item = replace(problem.items[0], length=inches(23, 15, 16))
    (text,) = said(replace(problem, items=(item,)))
    assert '1/8" short; fits only if the saw removes no more than 5/64" a cut' in text


# --- stock that runs out ------------------------------------------------------------------


def test_parts_over_half_a_board_take_a_board_each():
    # 141 and 135 in from 192 in: no two share a board.
    problem = boards(("P1", 141, 2), ("P2", 135, 2), available=3, feet=16)
    assert said(problem, {"P1": "rail", "P2": "post"}) == [
        (
            "2 rail + 2 post from pine: each board holds one of these: 4 boards are needed,"
            " 3 are there - 1 more 16 ft would do"
        )
    ]


def test_parts_as_wide_as_the_sheet_are_counted_in_sheets():
    (text,) = said(sheets(("P1", 60, 50, 3), size=(100, 50)), {"P1": "top"})
    assert text == (
        "3 top from ply: each sheet holds one of these: 3 sheets are needed, 1 is there"
        " - 2 more ply sheet would do"
    )


def test_the_largest_parts_that_prove_it_are_named_and_small_ones_are_not():
    # 3 x 40 in take two boards of 96 in; the two small ones change nothing.
    problem = boards(("P1", 3, 2), ("P2", 40, 3))
    (text,) = said(problem, {"P2": "leg"})
    assert text == "3 leg from pine: 2 boards are needed, 1 is there - 1 more 8 ft would do"


def test_doors_and_a_shelf_are_named_where_one_sheet_is_too_little():
    # A sheet gives two doors 40 x 30 in, side by side, and strips under 18 in.
    (text,) = said(sheets(("P1", 40, 30, 3), ("P2", 30, 20, 1)), {"P1": "door", "P2": "shelf"})
    assert text.startswith("3 door")
    assert text.endswith(" - 1 more ply sheet would do")


def test_more_of_what_is_bought_is_asked_for_and_not_of_what_is_owned():
    problem = boards(("P1", 40, 4))
    rack = StockType("rack", inches(50), inches(4), 0, 1)
    (text,) = said(replace(problem, stock=(*problem.stock, rack)))
    assert text == (
        "4 P1 from pine: the stock runs out: 1 more board of 8 ft is needed - 1 more 8 ft would do"
    )


def test_what_is_known_already_stands_where_planning_again_tells_nothing():
    def never(changed: Problem, origin: Sequence[int]) -> Answer:
        raise CannotPlanError("none")

    problem = boards(("P1", 40, 4))
    assert explain_shortfall(problem, Kind.BOARD, [UNKNOWN], never, {}, Units.INCH) == [UNKNOWN]


def test_what_is_found_but_not_proved_is_not_called_needed():
    def unproved(changed: Problem, origin: Sequence[int]) -> Answer:
        if changed.kerf == 0:
            raise CannotPlanError("none")
        return replace(plan_boards(changed, QUICK, Unwatched()), lower_bound=0)

    problem = boards(("P1", 40, 3))
    (fault,) = explain_shortfall(problem, Kind.BOARD, [], unproved, {"P1": "leg"}, Units.INCH)
    assert "no way was found" in fault.text
    assert "no proof" in fault.text
    assert " leg " in fault.text
    assert "needed" not in str(fault)
    assert fault.help == "1 more 8 ft would do, or try harder with --effort"
