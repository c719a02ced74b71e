"""Why a material cannot be planned, as plain arithmetic tells."""

from __future__ import annotations

from cutopt.model.job import Grain, Kind
from cutopt.solve.explain import explain
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Units, inches

EIGHTH = inches(0, 1, 8)


def said(problem: Problem, names: dict[str, str], kind: Kind = Kind.SHEET) -> list[str]:
    return [str(fault) for fault in explain(problem, names, Units.INCH, kind)]


def sheet(*items: Item, available: int | None = None, grain: bool = True) -> Problem:
    kind = StockType("ply 8x4", inches(96), inches(48), 6200, available, grain)
    return Problem("ply", items, (kind,), EIGHTH, EIGHTH)


def boards(length: int, qty: int, available: int) -> Problem:
    """``qty`` parts, ``length`` inches long, from 8 ft boards."""
    return Problem(
        "pine",
        (Item("P1", inches(length), inches(4), qty),),
        (StockType("8 ft", inches(96), inches(4), 398, available),),
        EIGHTH,
        EIGHTH,
    )


def test_boards_that_run_out_are_short_by_a_length():
    (text,) = said(boards(40, 3, available=1), {}, Kind.BOARD)
    # 3 x 40 in and two cuts at least, less one board of 96 in.
    assert text.startswith('pine: the stock runs out: all of it together is 24-1/4" short')


def test_no_claim_is_made_where_length_would_do_but_no_way_was_found():
    (text,) = said(boards(50, 3, available=2), {}, Kind.BOARD)
    assert text.startswith("pine: no way was found to cut all parts from the stock available")


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


def test_sheets_that_run_out_are_short_by_area():
    problem = sheet(Item("P1", inches(48), inches(36), 3), available=1)
    (text,) = said(problem, {})
    assert text.startswith("ply: the stock runs out: the parts need")


def test_parts_as_wide_as_the_sheet_are_still_told_of_as_sheets():
    problem = sheet(Item("P1", inches(60), inches(48), 2), available=1)
    (text,) = said(problem, {})
    assert "more area than" in text
