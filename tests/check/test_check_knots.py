"""Bad spans of measured boards."""

from __future__ import annotations

import pytest
from bench_plan import BOARD, CLEAT, bench, told, with_part, with_stock

from cutopt.check.replay import check_plan
from cutopt.model.plan import (
    PartPiece,
    Plan,
    walk,
)
from cutopt.units import Ticks


def with_bad(*spans: tuple[int, int], knots_ok: bool = False) -> Plan:
    """Give the bench with bad spans on its board, its cleats clear or not."""
    plan = with_part(bench(), CLEAT, knots_ok=knots_ok)
    bad = tuple((Ticks(start), Ticks(end)) for start, end in spans)
    return with_stock(plan, BOARD, bad=bad)


def cleat_ends() -> list[tuple[int, int]]:
    board = next(piece for piece in bench().pieces if piece.stock == BOARD)
    found = [(p.x, p.x + p.node.length) for p in walk(board.layout)
             if isinstance(p.node, PartPiece)]  # fmt: skip
    return sorted(found)


def test_bad_spans_may_touch_a_clear_part_and_not_reach_into_it():
    (_, end), (start, _), *_ = cleat_ends()
    between = (end, start)
    assert check_plan(with_bad(between)) == ()
    for moved in ((end - 1, start), (end, start + 1)):
        assert "must be clear, it lies on the bad span" in told(with_bad(moved))
        assert check_plan(with_bad(moved, knots_ok=True)) == ()


@pytest.mark.parametrize(
    "spans", [[(5, 5)], [(9, 5)], [(50, 60), (10, 20)], [(5, 10), (10, 20)], [(0, 10**7)]]
)
def test_bad_spans_that_make_no_sense_are_told(spans: list[tuple[int, int]]):
    assert "bad spans are not in order" in told(with_bad(*spans, knots_ok=True))
