"""Flags within a drawing: each on its own cut, none left out."""

from __future__ import annotations

from itertools import combinations

from cutopt.draw.sheet import PieceFrame
from cutopt.draw.shop_layout import _inner, _Sides
from cutopt.draw.space import Rect
from cutopt.model.layout import Direction
from cutopt.model.plan import ANY_SAW, Cut, Maker, Placed
from cutopt.units import Ticks


def within(*places):
    """Short crosscuts of strips 10 points high, at places in points along the strip."""
    cuts = tuple(
        Placed(
            Cut(
                Ticks(500), Ticks(100), Direction.CROSSCUT, Ticks(10 * at), Ticks(0), Maker.SHOP,
                ANY_SAW, step, None, None,
            ),
            Ticks(0), Ticks(100),
        )
        for step, at in enumerate(places, start=1)
    )  # fmt: skip
    return _Sides((), (), (), (), cuts)


FRAME = PieceFrame(0, 0, 1000, 500, 0.0, 0.0, 0.1)


def test_a_flag_that_would_hide_another_stands_across_its_line():
    flags = _inner(within(40, 41, 60), FRAME)
    assert [flag.number for flag in flags] == [1, 2, 3]
    for one, other in combinations(flags, 2):
        assert not one.rect.meets(other.rect)
    # Each still shows its own cut, with its point or with the foot of its stem.
    assert [round(flag.foot[0], 6) for flag in flags] == [40, 41, 60]


def test_a_flag_with_no_free_place_is_drawn_all_the_same():
    flags = _inner(within(*range(20, 32)), FRAME)
    assert [flag.number for flag in flags] == list(range(1, 13))
    assert any(one.rect.meets(other.rect) for one, other in combinations(flags, 2))


def test_what_two_rectangles_share():
    assert Rect(0, 0, 4, 4).shared(Rect(3, 2, 9, 9)) == 2
    assert Rect(0, 0, 4, 4).shared(Rect(4, 0, 9, 9)) == 0
