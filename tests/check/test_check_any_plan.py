"""Plans sawn at random pass the check, and fail it with anything in them changed."""

from __future__ import annotations

from itertools import combinations

from bench_plan import at, change, put, told
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box
from spoiled_plans import size_of
from strategies import plans

from cutopt.model.plan import (
    Cut,
    Offcut,
    PartPiece,
    Plan,
    Waste,
    walk,
)
from cutopt.units import Ticks


def paths(plan: Plan, kind: type) -> list[tuple[int, str]]:
    """Give where nodes of a kind are: (piece, sides from the root)."""
    found = []
    waiting = [(number, "", piece.layout) for number, piece in enumerate(plan.pieces)]
    while waiting:
        number, path, node = waiting.pop()
        if isinstance(node, kind):
            found.append((number, path))
        if isinstance(node, Cut):
            sides = [("first", node.first), ("second", node.second)]
            waiting += [(number, f"{path} {side}".strip(), n) for side, n in sides if n]
    return found


def drawn(data: st.DataObject, places: list[tuple[int, str]]) -> tuple[int, str]:
    return data.draw(st.sampled_from(sorted(places)))


@settings(max_examples=60)
@given(plans(), st.data())
def test_any_cut_moved_or_made_thicker_by_a_tick_is_caught(plan: Plan, data: st.DataObject):
    places = paths(plan, Cut)
    if places:
        place = drawn(data, places)
        field = data.draw(st.sampled_from(["at", "kerf"]))
        moved = data.draw(st.sampled_from([-1, 1]))
        value = getattr(at(plan, *place), field) + moved
        assert told(change(plan, *place, **{field: Ticks(value)}))


@settings(max_examples=50)
@given(plans(), st.data())
def test_any_part_dropped_doubled_or_resized_is_caught(plan: Plan, data: st.DataObject):
    places = paths(plan, PartPiece)
    place = drawn(data, places)
    node = at(plan, *place)
    stock = plan.pieces[place[0]].stock
    keeps = plan.job.shop.keeps(node.length, node.width, stock)
    leftover = Offcut(*size_of(node), "x") if keeps else Waste(*size_of(node))
    assert told(put(plan, *place, leftover))
    assert told(change(plan, *place, copy=node.copy + 1))
    assert told(change(plan, *place, length=Ticks(node.length - 1)))
    for other in places:
        there = at(plan, *other)
        if size_of(there) != size_of(node):
            assert told(swap_names(plan, place, other))


def swap_names(plan: Plan, one: tuple[int, str], other: tuple[int, str]) -> Plan:
    def name(node: PartPiece) -> dict[str, object]:
        return {"part": node.part, "copy": node.copy, "turned": node.turned}

    here, there = at(plan, *one), at(plan, *other)
    return change(change(plan, *one, **name(there)), *other, **name(here))


@settings(max_examples=50)
@given(plans(), st.data())
def test_any_two_steps_of_a_cut_and_one_inside_it_swapped_are_caught(
    plan: Plan, data: st.DataObject
):
    inner = [place for place in paths(plan, Cut) if place[1]]
    if inner:
        number, path = drawn(data, inner)
        outer = path.rpartition(" ")[0]
        steps = at(plan, number, path).step, at(plan, number, outer).step
        swapped = change(change(plan, number, path, step=steps[1]), number, outer, step=steps[0])
        assert "sets free" in told(swapped)


@settings(max_examples=50)
@given(plans(), st.data())
def test_any_leftover_called_the_other_thing_is_caught(plan: Plan, data: st.DataObject):
    places = paths(plan, Offcut) + paths(plan, Waste)
    if places:
        place = drawn(data, places)
        node = at(plan, *place)
        kept = isinstance(node, Offcut)
        other = Waste(*size_of(node)) if kept else Offcut(*size_of(node), "x")
        assert ("not waste" if kept else "too small to keep") in told(put(plan, *place, other))


@settings(max_examples=60)
@given(plans())
def test_parts_of_a_good_plan_lie_inside_and_a_kerf_apart_by_shapely(plan: Plan):
    """Reference: shapely (GEOS) places the parts as rectangles and measures between them."""
    for piece in plan.pieces:
        whole = box(0, 0, piece.stock.length, piece.stock.width)
        # A blade that runs off an edge removes less, but then parts nothing from anything.
        parting = [cut.kerf for cut in piece.cuts() if cut.first and cut.second]
        parts = [
            box(spot.x, spot.y, spot.x + spot.node.length, spot.y + spot.node.width)
            for spot in walk(piece.layout)
            if isinstance(spot.node, PartPiece)
        ]
        assert all(whole.covers(one) for one in parts)
        for one, other in combinations(parts, 2):
            assert one.intersection(other).area == 0
            # GEOS measures in floats, the parts lie on whole ticks: half a tick is no tick.
            assert one.distance(other) > min(parting) - 0.5
