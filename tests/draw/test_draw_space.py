"""Free room on paper: maximal, clear of what is taken, nothing forgotten."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from shapely import box
from shapely.ops import unary_union

from cutopt.draw.space import Rect, free_rects

ROOM = Rect(0, 0, 100, 60)
BLOCKS = st.lists(
    st.tuples(st.integers(-10, 90), st.integers(-10, 50), st.integers(1, 40), st.integers(1, 30)),
    max_size=6,
).map(lambda found: [Rect(x, y, x + w, y + h) for x, y, w, h in found])


def area(rects):
    return unary_union([box(r.x0, r.y0, r.x1, r.y1) for r in rects])


@given(BLOCKS)
def test_free_rectangles_cover_exactly_what_is_not_taken(blocks):
    # Against shapely's own difference of areas.
    free = free_rects(ROOM, blocks)
    left = area([ROOM]).difference(area(blocks))
    assert area(free).symmetric_difference(left).area < 1e-6


@given(BLOCKS)
def test_no_free_rectangle_lies_in_another_and_the_largest_is_first(blocks):
    free = free_rects(ROOM, blocks)
    assert not any(a is not b and a.holds(b) for a in free for b in free)
    sizes = [rect.width * rect.height for rect in free]
    assert sizes == sorted(sizes, reverse=True)


def test_rectangles_that_share_an_edge_do_not_meet():
    assert not Rect(0, 0, 10, 10).meets(Rect(10, 0, 20, 10))
    assert Rect(0, 0, 10, 10).meets(Rect(9, 9, 20, 20))
