"""A shop sheet too crowded for names: numbers in its parts, strips first, and a key."""

from __future__ import annotations

from cutopt.draw import crowded, frame
from cutopt.draw.crowded import KeyTable
from cutopt.draw.regions import Spread
from cutopt.draw.shop_paper import ShopPaper
from cutopt.draw.shop_words import draw_view, lay_with_leaders
from cutopt.draw.space import Rect

MOST_KEY = 0.45
"""Share of a page that the key may take under the drawing."""


def draw_keyed(paper: ShopPaper, spread: Spread) -> None:
    """Draw the sheet with numbers in its parts and a key below."""
    y = paper.open(keyed=True)
    field, sheet = paper.field, paper.sheet
    keys = crowded.keys_of(sheet, paper.parts)
    table = KeyTable(keys, field.width, paper.units, grain=paper.grain)
    strips = crowded.strips_height(sheet, field.width, paper.units) if sheet.cuts else 0.0
    height = y - field.bottom - strips - 14
    # A key that would crowd the drawing goes on the next page as a whole.
    key_height = table.height if table.height <= height * MOST_KEY else 0.0
    room = Rect(field.left, y - (height - key_height), field.right, y)
    view = lay_with_leaders(paper, spread, room, keys, inner=False)
    draw_view(paper, view, keys)
    y = draw_strips(paper, view.lowest - 16)
    draw_table(paper, table, y if key_height else paper.open(keyed=True))


def draw_strips(paper: ShopPaper, y: float) -> float:
    """Draw the cuts that make strips, and give the y under them."""
    if not paper.sheet.cuts:
        return y
    field = paper.field
    return crowded.draw_strips(paper.drawing, paper.sheet, field.left, field.right, y, paper.units)


def draw_table(paper: ShopPaper, table: KeyTable, y: float) -> None:
    """Draw the key from ``y`` down, on further pages where it is long."""
    while True:
        field = paper.field
        frame.rule(paper.drawing, y)
        table.draw(paper.drawing, field.left, y, y - field.bottom)
        if table.done:
            return
        y = paper.open(keyed=True)
