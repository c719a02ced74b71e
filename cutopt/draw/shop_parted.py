"""A shop sheet too full for one drawing: several, each with a map; then cuts and key."""

from __future__ import annotations

from collections.abc import Sequence

from cutopt.draw import crowded, frame
from cutopt.draw.crowded import KeyTable
from cutopt.draw.regions import Spread, apart, draw_map, map_size, whole_sheet
from cutopt.draw.scene import Style
from cutopt.draw.shop_keyed import draw_strips, draw_table
from cutopt.draw.shop_layout import is_too_full, lay_sheet
from cutopt.draw.shop_named import COLUMNS, KEY_ROW, draw_order, write_key_lines
from cutopt.draw.shop_order import OrderTable
from cutopt.draw.shop_paper import ShopPaper
from cutopt.draw.shop_words import draw_view, lay_with_leaders, nameless_in
from cutopt.draw.space import Rect
from cutopt.draw.typeset import set_line
from cutopt.steps.phrase import listed

MOST_AROUND = 240.0
"""Height that head, title, cuts and key may take on a page with a drawing, points."""


def spreads_of(paper: ShopPaper) -> list[Spread]:
    """Give the drawings of a sheet: one, or several where one would be too full."""
    width, height = paper.look.paper.size
    room = Rect(frame.MARGIN, 0.0, height - frame.MARGIN, width - MOST_AROUND)
    waiting = [whole_sheet(paper.sheet)]
    found = []
    while waiting:
        spread = waiting.pop(0)
        view = lay_sheet(paper.sheet, spread, room, paper.units)
        parts = apart(spread) if not view.frames or is_too_full(view, room) else (spread,)
        if len(parts) == 1 and parts[0] is spread:
            found.append(spread)
        else:
            waiting = [*parts, *waiting]
    return found


def draw_parted(paper: ShopPaper, spreads: Sequence[Spread]) -> None:
    """Draw a very full sheet in several drawings, each with a map; then cuts and key."""
    keyed = paper.sheet.parts > crowded.MOST_NAMED_PARTS
    nameless: frozenset[str] = frozenset()
    for spread in spreads:
        room = _room(paper, spread, 1, 1, keyed=keyed)
        nameless |= nameless_in(paper, lay_sheet(paper.sheet, spread, room, paper.units))
    paper.pages.clear()
    keys = crowded.keys_of(paper.sheet, paper.parts, None if keyed else nameless)
    for number, spread in enumerate(spreads, 1):
        room = _room(paper, spread, number, len(spreads), keyed=keyed)
        view = lay_with_leaders(paper, spread, room, keys, inner=not keyed)
        draw_view(paper, view, keys)
    y = paper.open(keyed=keyed)
    field = paper.field
    if keyed:
        table = KeyTable(keys, field.width, paper.units, grain=paper.grain)
        draw_table(paper, table, draw_strips(paper, y - 10))
        return
    lines = crowded.key_lines(keys, field.width, paper.units) if keys else ()
    write_key_lines(paper, lines, y)
    y -= KEY_ROW * len(lines)
    if paper.sheet.cuts:
        order = OrderTable(paper.sheet, paper.parts, paper.units)
        draw_order(paper, order, Rect(field.left, field.bottom, field.right, y), COLUMNS)


def _room(paper: ShopPaper, spread: Spread, number: int, of: int, *, keyed: bool) -> Rect:
    """Open a page of a parted sheet with its map, and give the room left."""
    y = paper.open(keyed=keyed)
    drawing, field = paper.drawing, paper.field
    if not keyed:
        y = paper.legend(y)
    draw_map(drawing, paper.sheet, spread, field.right, y - 4)
    letters = list(dict.fromkeys(region.letter for region in spread.regions))
    which = f": {'piece' if len(letters) == 1 else 'pieces'} {listed(letters)}"
    words = f"Drawing {number} of {of}{which if all(letters) else ''}"
    set_line(drawing, field.left, y - 14, words, 11.5, Style.BOLD, room=field.width - 110)
    _, height = map_size(paper.sheet)
    return Rect(field.left, field.bottom, field.right, y - height - 6)
