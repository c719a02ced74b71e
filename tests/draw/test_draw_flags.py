"""Flags at a rim: in the order of their cuts, apart, and as near to them as may be."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from cutopt.draw import marks
from cutopt.draw.flags import flag_rect, kept_within, rim_flags, spread
from cutopt.draw.marks import Points
from cutopt.draw.scene import Drawing, Outline

PLACES = st.lists(st.floats(0, 500), min_size=1, max_size=12).map(sorted)


@given(PLACES, st.floats(1, 40))
def test_neighbours_are_kept_apart(wanted, apart):
    places = spread(wanted, [apart] * len(wanted))
    assert all(b - a >= apart - 1e-6 for a, b in pairwise(places))


def test_what_is_apart_already_stays():
    assert spread([10, 50, 90], [12, 12, 12]) == [10, 50, 90]


@pytest.mark.parametrize("wanted", [[0, 1, 2, 30, 31], [5, 5, 5, 5], [0, 9, 11, 12, 40]])
def test_places_move_as_little_as_they_must(wanted):
    # Against a general solver: least sum of squares with the same distances kept.
    apart = 10.0
    found = spread(wanted, [apart] * len(wanted))
    kept = [
        {"type": "ineq", "fun": lambda x, i=i: x[i + 1] - x[i] - apart}
        for i in range(len(wanted) - 1)
    ]
    start = [apart * n for n in range(len(wanted))]
    best = minimize(
        lambda x: sum((a - b) ** 2 for a, b in zip(x, wanted, strict=True)), start,
        constraints=kept, method="SLSQP",
    )  # fmt: skip
    assert found == pytest.approx(best.x, abs=0.01)


@given(PLACES)
def test_places_are_pushed_back_between_the_ends_where_they_fit(wanted):
    apart = [12.0] * len(wanted)
    places = kept_within(spread(wanted, apart), apart, (100, 400))
    assert all(100 - 1e-6 <= place <= 400 + 1e-6 for place in places)
    assert all(b - a >= 12 - 1e-6 for a, b in pairwise(places))


def test_flags_that_do_not_fit_stand_out_at_both_ends_alike():
    places = kept_within([0, 10, 20, 30], [10] * 4, (10, 20))
    assert places[0] - 10 == pytest.approx(20 - places[-1])


@pytest.mark.parametrize("points", list(Points))
def test_a_flag_covers_what_is_drawn(points):
    drawing = Drawing(200, 200, "test")
    marks.flag(drawing, 100, 100, 12, points, 8)
    shape = next(mark for mark in drawing.marks if isinstance(mark, Outline))
    rect = flag_rect(100, 100, 12, 8, points)
    xs, ys = zip(*shape.points, strict=True)
    assert (min(xs), min(ys)) == pytest.approx((rect.x0, rect.y0), abs=0.05)
    assert (max(xs), max(ys)) == pytest.approx((rect.x1, rect.y1), abs=0.05)


def test_flags_stand_in_the_order_of_their_cuts_and_point_at_the_rim():
    flags = rim_flags([(3, 50.0), (1, 52.0), (2, 51.0)], 200.0, Points.DOWN, 8)
    assert [flag.number for flag in flags] == [3, 2, 1]
    assert all(flag.at[1] == 200 < flag.tip[1] for flag in flags)
    assert not any(
        one.rect.meets(other.rect) for one in flags for other in flags if one is not other
    )
