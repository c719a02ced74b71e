"""Boards with bad spans where narrower parts are ripped: they still give what is crosscut.

The cases are small enough to count by hand.
"""

from __future__ import annotations

import pytest

from cutopt.errors import CannotPlanError
from cutopt.model.layout import blanks_of
from cutopt.solve.params import Answer, Item, Problem, Search, StockType, Unwatched
from cutopt.solve.ripping_measured import rip_measured
from cutopt.units import Ticks, Units

KERF = Ticks(2)
WIDE, NARROW = Ticks(100), Ticks(40)
KNOTTY = StockType(
    "A",
    Ticks(960),
    WIDE,
    0,
    1,
    grain=True,
    bad=((Ticks(100), Ticks(120)), (Ticks(700), Ticks(710))),
)


def to_buy(available: int | None = None) -> StockType:
    return StockType("8 ft", Ticks(960), WIDE, 500, available, grain=True)


def plan(*items: Item, bought: StockType | None = None) -> Answer:
    problem = Problem("pine", items, (bought or to_buy(), KNOTTY), KERF, KERF)
    rips = [True, True]
    return rip_measured(problem, rips, Search(), Unwatched(), names={}, units=Units.MM)


def made(answer: Answer, stock: int) -> list[str]:
    return sorted(
        blank.part
        for pattern in answer.patterns
        if pattern.stock == stock
        for blank in blanks_of(pattern.layout)
    )


SLATS = Item("slat", Ticks(500), WIDE, 2)
STRIP = Item("strip", Ticks(300), NARROW, 1)


def test_a_board_with_bad_spans_gives_the_parts_as_wide_as_it_is():
    answer = plan(SLATS, STRIP)
    assert made(answer, 1) == ["slat"]  # 580 clear
    assert made(answer, 0) == ["slat", "strip"]
    assert answer.cost == answer.lower_bound == 500  # two slats never come from one board of 960


def test_a_purchase_a_strip_beside_a_bad_span_could_save_is_not_called_the_cheapest():
    answer = plan(STRIP)
    assert (answer.cost, answer.lower_bound) == (500, 0)
    assert "boards with bad spans are not ripped" in answer.why


def test_stock_that_suffices_only_with_the_boards_that_have_bad_spans_is_planned():
    assert plan(SLATS, STRIP, bought=to_buy(1)).cost == 500


def test_parts_too_many_for_all_boards_cannot_be_planned():
    with pytest.raises(CannotPlanError):
        plan(Item("slat", Ticks(500), WIDE, 3), STRIP, bought=to_buy(1))
