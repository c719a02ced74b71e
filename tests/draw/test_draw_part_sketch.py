"""Pictures of parts: front edge down, bands inside their edges, cutouts where they are."""

from __future__ import annotations

import pytest
from page_lists import cutout, part, pegboard, side, vent_panel

from cutopt.draw.part_sketch import draw_part, letters_of, picture_size, single_cutout
from cutopt.draw.scene import BLACK, LIGHT, WHITE, Drawing, Outline
from cutopt.model.job import CutoutKind, Edge, Grain
from cutopt.steps.hands import mirror_image
from cutopt.units import inches


def drawn(of, width=100.0, height=50.0, **more):
    drawing = Drawing(200, 200, "part")
    draw_part(drawing, of, 10.0, 20.0, width, height, **more)
    return [mark for mark in drawing.marks if isinstance(mark, Outline)]


def outline(of, **more):
    return next(m for m in drawn(of, **more) if m.closed and m.fill == WHITE).points


def stripes(of, **more):
    return [m.points for m in drawn(of, **more) if m.closed and m.fill == BLACK]


def test_pictures_keep_the_parts_proportions_while_they_can():
    width, height = picture_size(part("Shelf", inches(40), inches(10)), 120, 60)
    assert (width, height) == (120, 30)
    # A strip too thin to show is drawn thicker.
    assert picture_size(part("Strip", inches(40), inches(1)), 120, 60) == (120, 7.0)
    assert picture_size(part("Post", inches(10), inches(40)), 120, 60) == (15, 60)


def test_the_front_edge_is_at_the_bottom():
    (stripe,) = stripes(part("Shelf", inches(40), inches(20), band=(Edge.FRONT,)))
    assert max(y for _, y in stripe) < 20 + 50 / 4


@pytest.mark.parametrize(
    ("edge", "axis", "near"), [(Edge.BACK, 1, 70), (Edge.LEFT, 0, 10), (Edge.RIGHT, 0, 110)]
)
def test_each_band_lies_just_inside_its_edge(edge, axis, near):
    (stripe,) = stripes(part("Shelf", inches(40), inches(20), band=(edge,)))
    assert all(0 < abs(point[axis] - near) < 6 for point in stripe)


def test_a_corner_notch_is_cut_out_of_the_outline():
    points = outline(side(), width=78.0, height=15.25)
    # 5-1/2 in along and 3/4 in down from the back left corner, at a point an inch.
    assert (10.0, pytest.approx(34.5)) in [tuple(p) for p in points]
    assert (pytest.approx(15.5), pytest.approx(35.25)) in [tuple(p) for p in points]
    assert (10.0, 35.25) not in points
    assert len(points) == 6


def test_the_other_hand_is_the_mirror_image():
    plain = outline(side(), width=78.0, height=15.25)
    turned = outline(mirror_image(side()), width=78.0, height=15.25)
    mirrored = {(round(98.0 - x, 6), round(y, 6)) for x, y in plain}
    assert {(round(x, 6), round(y, 6)) for x, y in turned} == mirrored


def test_an_opening_of_the_other_hand_lies_as_far_from_the_right():
    (opening,) = [m for m in drawn(mirror_image(vent_panel())) if m.fill == LIGHT]
    assert max(x for x, _ in opening.points) == pytest.approx(110 - 100 * 17.25 / 58.5)
    assert min(x for x, _ in opening.points) == pytest.approx(110 - 100 * 41.25 / 58.5)


def test_rounded_corners_stay_inside_the_corner_they_round():
    one = part(
        "Seat", inches(40), inches(20), cutouts=(cutout(CutoutKind.ROUNDED_CORNER, 2, 2, 38, 0),)
    )
    points = outline(one)
    assert (110.0, 20.0) not in points
    assert (105.0, 20.0) in [(round(x, 6), round(y, 6)) for x, y in points]
    assert (110.0, 25.0) in [(round(x, 6), round(y, 6)) for x, y in points]
    assert all(10 <= x <= 110 and 20 <= y <= 70 for x, y in points)


def test_a_band_stops_at_a_notch_in_its_edge():
    one = part(
        "Front", inches(40), inches(20), band=(Edge.FRONT,),
        cutouts=(cutout(CutoutKind.NOTCH, 4, 2, 18, 0),),
    )  # fmt: skip
    left, right = stripes(one)
    assert max(x for x, _ in left) <= 10 + 100 * 18 / 40
    assert min(x for x, _ in right) >= 10 + 100 * 22 / 40


def test_an_opening_is_shaded_at_its_place():
    (opening,) = [m for m in drawn(vent_panel()) if m.fill == LIGHT]
    (x0, y0), _, (x1, y1), _ = opening.points
    assert x0 == pytest.approx(10 + 100 * 17.25 / 58.5)
    assert x1 == pytest.approx(10 + 100 * 41.25 / 58.5)
    assert y0 == pytest.approx(20 + 50 * 4.5 / 13)
    assert y1 == pytest.approx(20 + 50 * 8.5 / 13)


def test_one_cutout_is_measured_and_several_are_lettered():
    assert single_cutout(vent_panel()) == vent_panel().cutouts[0]
    assert letters_of(vent_panel()) == ()
    assert single_cutout(pegboard()) is None
    assert letters_of(pegboard()) == tuple("abcdefg")


def test_the_grain_arrow_shows_only_where_grain_matters():
    def strokes(grain):
        found = drawn(part("Shelf", inches(40), inches(20), grain=grain))
        return sum(m.weight == 0.55 for m in found)

    assert strokes(Grain.ANY) == 0
    assert strokes(Grain.LENGTH) == strokes(Grain.WIDTH) == 3
