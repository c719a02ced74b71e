"""Walking a cut tree: where everything lies, and in which order it is cut."""

from __future__ import annotations

import pytest
from handmade import REST, crosscut, finish, grow, part, rip
from hypothesis import given, settings
from strategies import plans

from cutopt.model.job import Job, Kind, Material, Part, Shop, Stock, Store
from cutopt.model.plan import STORE_SAW, Cut, Plan, walk
from cutopt.units import Units, inches

PLY = Material("birch ply", Kind.SHEET, inches(0, 3, 4))
SHEET = Stock("birch 8x4", PLY, inches(96), inches(48), 6200)
SHELF = Part("P1", "Shelf", 3, inches(40), inches(12), PLY.thickness, inches(40), inches(12), PLY)
JOB = Job("Shelves", Units.INCH, (SHELF,), (SHEET,), Shop(inches(0, 1, 8)))
EIGHTH = inches(0, 1, 8)


def shelves() -> Plan:
    """Two shelves side by side in the first strip, one more in the second."""
    strip = crosscut(inches(40), part("P1", 1), crosscut(inches(40), part("P1", 2), REST))
    rest = crosscut(inches(40), rip(inches(12), part("P1", 3), REST), REST)
    return finish(JOB, [grow(JOB, SHEET, rip(inches(12), strip, rest))])


def test_walk_gives_a_cut_before_what_it_sets_free_and_the_first_side_before_the_second():
    kinds = [type(placed.node).__name__ for placed in walk(shelves().pieces[0].layout)]
    first_strip = ["Cut", "PartPiece", "Cut", "PartPiece", "Offcut"]
    second_strip = ["Cut", "Cut", "PartPiece", "Offcut", "Offcut"]
    assert kinds == ["Cut", *first_strip, *second_strip]


def test_walk_places_what_lies_behind_a_cut_one_kerf_further_on():
    places = {
        placed.node.copy: (placed.x, placed.y)
        for placed in walk(shelves().pieces[0].layout)
        if hasattr(placed.node, "copy")
    }
    assert places == {
        1: (0, 0),
        2: (inches(40) + EIGHTH, 0),
        3: (0, inches(12) + EIGHTH),
    }


def test_walk_starts_where_it_is_told():
    tree = shelves().pieces[0].layout
    moved = [(placed.x - 7, placed.y - 9) for placed in walk(tree, 7, 9)]
    assert moved == [(placed.x, placed.y) for placed in walk(tree)]


def test_a_blade_that_runs_off_the_near_edge_moves_the_rest_by_what_it_removes():
    tree = grow(JOB, SHEET, rip(0, REST, part("P1"), kerf=inches(0, 1, 16))).layout
    places = [(placed.x, placed.y) for placed in walk(tree)]
    assert places == [(0, 0), (0, inches(0, 1, 16))]


def test_cuts_come_in_the_order_of_their_steps_and_the_store_s_first():
    store_later = crosscut(inches(40), part("P1", 1), crosscut(inches(40), REST, REST), saw="any")
    spec = rip(inches(12), store_later, rip(inches(12), REST, REST, STORE_SAW), STORE_SAW)
    job = Job("Shelves", Units.INCH, (SHELF,), (SHEET,), store=Store(EIGHTH))
    cuts = grow(job, SHEET, spec).cuts()
    assert [cut.step for cut in cuts] == [1, 2, 3, 4]
    assert [cut.saw for cut in cuts] == [STORE_SAW, STORE_SAW, "any", "any"]


def test_a_plan_finds_its_parts_by_id():
    assert shelves().part("P1") is SHELF
    with pytest.raises(KeyError):
        shelves().part("P9")


@settings(max_examples=40)
@given(plans())
def test_all_that_lies_on_a_piece_and_all_sawdust_is_the_piece(plan: Plan):
    for piece in plan.pieces:
        left = sawdust = 0
        for placed in walk(piece.layout):
            node = placed.node
            if isinstance(node, Cut):
                line = node.width if node.direction == "crosscut" else node.length
                sawdust += node.kerf * line
            else:
                left += node.length * node.width
        assert left + sawdust == piece.stock.length * piece.stock.width
