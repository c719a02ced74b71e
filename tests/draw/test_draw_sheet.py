"""Sheets pulled apart at the store's cuts, and very full ones parted in two."""

from __future__ import annotations

import pytest
from page_plans import Bench, crowd, locker, random_plan

from cutopt.draw.regions import apart, whole_sheet
from cutopt.draw.sheet import GAP_ACROSS, GAP_UP, Needs, pull_apart
from cutopt.draw.space import Rect
from cutopt.model.plan import Cut, PartPiece
from cutopt.steps.shop import shop_sheets

ROOM = Rect(45, 60, 747, 500)
MOST = 0.0018


def frames_of(plan, number=0, needs=None):
    piece = plan.pieces[number]
    return pull_apart(piece.layout, ROOM, needs or {}, most_scale=MOST)


def test_gaps_open_where_the_store_has_cut():
    frames = list(frames_of(locker()).values())
    a, b, c = (frame.rect for frame in frames)
    assert b.y0 - a.y1 == pytest.approx(GAP_UP)
    assert c.x0 - max(a.x1, b.x1) == pytest.approx(GAP_ACROSS)
    assert a.x0 == b.x0
    assert a.y0 == c.y0


@pytest.mark.parametrize("seed", range(12))
def test_pieces_lie_apart_in_the_room_at_one_scale(seed):
    plan = random_plan(seed)
    for sheet in shop_sheets(plan):
        spread = whole_sheet(sheet)
        needs = {region.at: Needs(5, 20, 8, 22) for region in spread.regions}
        frames = spread.lay(ROOM, needs, MOST)
        rects = [frame.rect for frame in frames.values()]
        assert set(frames) == {region.at for region in spread.regions}
        assert all(ROOM.grown(1e-6).holds(rect) for rect in rects)
        assert not any(a.meets(b) for a in rects for b in rects if a is not b)
        assert len({frame.scale for frame in frames.values()}) == 1


def test_a_sheet_the_store_did_not_cut_fills_the_room_one_way():
    frame = frames_of(locker(), 2)[0, 0]
    assert frame.rect.width == pytest.approx(ROOM.width)
    assert frame.rect.height < ROOM.height


def test_small_stock_is_not_blown_up():
    frames = pull_apart(PartPiece(80000, 40000, "P1", 1), ROOM, {}, most_scale=MOST)
    assert frames[0, 0].scale == pytest.approx(MOST)


def halves_of(plan):
    sheet = shop_sheets(plan)[0]
    return whole_sheet(sheet), apart(whole_sheet(sheet))


def test_halves_share_out_all_parts_and_all_cuts():
    whole, halves = halves_of(crowd(12, 10))
    assert len(halves) == 2
    assert sum(half.parts for half in halves) == whole.parts == 120
    steps = [
        placed.node.step
        for half in halves
        for region in half.regions
        for placed in region.placed
        if isinstance(placed.node, Cut)
    ]
    assert sorted(steps) == list(range(1, 133))


def test_halves_are_near_the_middle():
    _, halves = halves_of(crowd(12, 10))
    lengths = [half.regions[0].length for half in halves]
    assert max(lengths) < 0.6 * sum(lengths)


def test_store_pieces_are_parted_at_the_first_cut():
    _, parts = halves_of(locker())
    assert [[region.letter for region in part.regions] for part in parts] == [["A", "B"], ["C"]]


def test_a_single_part_cannot_be_parted():
    b = Bench()
    plan = b.plan("One (invented)", b.sheet("ply", "S1", 96, 48, b.part("Top")))
    spread = whole_sheet(shop_sheets(plan)[0])
    assert apart(spread) == (spread,)
