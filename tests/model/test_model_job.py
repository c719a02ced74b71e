"""What a builder keeps of leftovers (the rule of the formats page)."""

from __future__ import annotations

import pytest

from cutopt.model.job import Kind, Material, Shop, Stock
from cutopt.units import inches

PLY = Stock("sheet", Material("ply", Kind.SHEET, inches(0, 3, 4)), inches(96), inches(48))
PINE = Stock(
    "board", Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4"), inches(96), inches(3, 1, 2)
)
LONG_FIRST, SHORT_FIRST = (12, 4), (4, 12)


@pytest.mark.parametrize("order", [LONG_FIRST, SHORT_FIRST])
@pytest.mark.parametrize(
    ("length", "width", "kept"), [(12, 4, True), (4, 12, True), (11, 11, False), (40, 3, False)]
)
def test_a_leftover_of_a_sheet_is_kept_whichever_way_round(
    order: tuple[int, int], length: int, width: int, kept: bool
):
    shop = Shop(smallest_offcut=(inches(order[0]), inches(order[1])))
    assert shop.keeps(inches(length), inches(width), PLY) is kept


@pytest.mark.parametrize(("order", "least"), [(LONG_FIRST, inches(12)), (SHORT_FIRST, inches(4))])
def test_of_a_board_at_full_width_the_first_measure_counts(order: tuple[int, int], least: int):
    shop = Shop(smallest_offcut=(inches(order[0]), inches(order[1])))
    assert shop.keeps(least, PINE.width, PINE)
    assert not shop.keeps(least - 1, PINE.width, PINE)


def test_of_a_board_ripped_narrower_both_measures_count():
    shop = Shop(smallest_offcut=(inches(4), inches(12)))
    ripped = inches(3)
    assert not shop.keeps(inches(40), ripped, PINE)
    assert Shop(smallest_offcut=(inches(4), inches(3))).keeps(inches(40), ripped, PINE)
