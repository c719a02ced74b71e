"""Layouts of the packing library, recovered as straight cuts."""

from __future__ import annotations

import random

from sheet_jobs import sheets_of

from cutopt.model.job import Grain
from cutopt.solve.first_layouts import RULES, packed_layouts
from cutopt.solve.sheets_sizes import sizes_of
from cutopt.solve.slicing import PART, Block, from_rectangles, parts_in


def part(length, width):
    return Block(PART, length, width, (), 0, False, length * width, 1)


def test_a_pinwheel_has_no_straight_cut():
    # Four 2 x 1 around a 1 x 1: the smallest layout that no edge-to-edge cut parts.
    around = [
        (0, 0, part(2, 1)),
        (2, 0, part(1, 2)),
        (1, 2, part(2, 1)),
        (0, 1, part(1, 2)),
        (1, 1, part(1, 1)),
    ]
    assert from_rectangles(around) is None
    assert from_rectangles(around[:1]) is around[0][2]


def test_rows_of_columns_are_recovered():
    block = from_rectangles([(0, 0, part(4, 2)), (0, 2, part(4, 3)), (4, 0, part(2, 5))])
    assert (block.length, block.width) == (6, 5)
    assert len(list(parts_in(block))) == 3


def test_every_packed_layout_holds_all_parts_and_fits():
    rng = random.Random(2)
    parts = [(rng.randint(100, 900), rng.randint(80, 500), 1, Grain.LENGTH) for _ in range(25)]
    sizes = sizes_of(sheets_of(2440, 1220, parts, kerf=3, grain=True), 3)
    found = list(packed_layouts(sizes, 0, RULES[:4]))
    assert found
    for laid in found:
        kinds = sorted(p.kind for _, root in laid for p in parts_in(root))
        assert kinds == sizes.all_parts()
        assert all(sizes.legal(root, sheet) for sheet, root in laid)
        assert not any(p.turned for _, root in laid for p in parts_in(root))
