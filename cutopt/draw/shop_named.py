"""A shop sheet with names in its parts, and the order of cuts where it leaves most to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import crowded
from cutopt.draw.regions import Corner, Spread
from cutopt.draw.scene import Style
from cutopt.draw.shop_layout import SheetView, lay_sheet
from cutopt.draw.shop_order import OrderTable
from cutopt.draw.shop_paper import ShopPaper
from cutopt.draw.shop_words import at_least, draw_view, nameless_in
from cutopt.draw.space import Rect
from cutopt.draw.typeset import Line, set_line

COLUMNS = 4
CLOSE_COLUMNS = 5
"""Columns of the order of cuts where one more saves a page or room, and beside a drawing."""
MOST_ROWS = 7
"""Rows of the order of cuts that stand under the drawing; more go on the next page."""
SPARE_ROWS = 2
"""Rows more where they save that page."""
BESIDE_GAP = 18.0
OVER_ORDER = 14.0
"""Points between the drawing and the order of cuts under it."""
KEY_ROW = 14.0
MOST_NUMBERED_KINDS = 4
"""Kinds too small for their names that are numbered while the rest keep theirs."""


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the drawing and the order of cuts stand on a page."""

    drawing: Rect
    cuts: Rect
    columns: int
    beside: bool


@dataclass(frozen=True, slots=True)
class _Named:
    """A sheet laid out with names: the kinds that need a key, and the key's lines."""

    view: SheetView
    keys: tuple[crowded.Key, ...]
    lines: tuple[tuple[Line, ...], ...]
    place: _Place


def draw_named(paper: ShopPaper, spread: Spread) -> bool:
    """Draw the sheet with names in its parts; say whether it could be.

    A few kinds too small for their names get numbers and a line under the drawing; with
    more of them the whole sheet is to be numbered.
    """
    y = paper.open(keyed=False)
    field = paper.field
    y = paper.legend(y)
    table = OrderTable(paper.sheet, paper.parts, paper.units)
    whole = Rect(field.left, field.bottom, field.right, y)
    tries = [
        found
        for place in _places(paper, whole, table)
        if (found := _try(paper, spread, place)) is not None
    ]
    if not tries:
        paper.pages.clear()
        return False
    best = max(tries, key=lambda found: (-len(found.keys), found.view.scale))
    draw_view(paper, best.view, best.keys)
    y = best.view.lowest - 12
    write_key_lines(paper, best.lines, y)
    y -= KEY_ROW * len(best.lines)
    place = best.place
    room = place.cuts if place.beside else Rect(whole.x0, whole.y0, whole.x1, y)
    if paper.sheet.cuts:
        draw_order(paper, table, room, place.columns)
    return True


def _places(paper: ShopPaper, whole: Rect, table: OrderTable) -> list[_Place]:
    """Give where drawing and order of cuts may stand: one under the other, side by side."""
    if not paper.sheet.cuts:
        return [_Place(whole, whole, 0, beside=False)]
    most = table.height_of_rows(MOST_ROWS + SPARE_ROWS)
    counts = (CLOSE_COLUMNS,) if paper.shared else (COLUMNS, CLOSE_COLUMNS)
    across = next((n for n in counts if table.height(n) <= most), COLUMNS)
    below = table.height(across)
    if below > most:
        below = table.height_of_rows(MOST_ROWS)
    under = Rect(whole.x0, whole.y0 + below + OVER_ORDER, whole.x1, whole.y1)
    places = [_Place(under, whole, across, beside=False)]
    for columns in (1, 2):
        if table.height(columns) <= whole.height:
            left = whole.x1 - columns * whole.width / CLOSE_COLUMNS
            places.append(
                _Place(
                    Rect(whole.x0, whole.y0, left - BESIDE_GAP, whole.y1),
                    Rect(left, whole.y0, whole.x1, whole.y1),
                    columns,
                    beside=True,
                )
            )
    return places


def _try(paper: ShopPaper, spread: Spread, place: _Place) -> _Named | None:
    """Lay the sheet out in a place, None where too many kinds have no room for a name."""
    keys: tuple[crowded.Key, ...] = ()
    lines: tuple[tuple[Line, ...], ...] = ()
    room = place.drawing
    leaders: dict[Corner, int] = {}
    while True:
        view = lay_sheet(paper.sheet, spread, room, paper.units, leaders)
        nameless = nameless_in(paper, view) | {key.part.id for key in keys}
        if len(nameless) > MOST_NUMBERED_KINDS:
            return None
        keys_now = crowded.keys_of(paper.sheet, paper.parts, nameless)
        wanted = crowded.leaders_of(view, keys_now, paper.parts)
        if keys_now == keys and all(leaders.get(at, 0) >= n for at, n in wanted.items()):
            return _Named(view, keys, lines, place)
        keys = keys_now
        leaders = at_least(leaders, wanted)
        lines = crowded.key_lines(keys, place.drawing.width, paper.units)
        under = place.drawing.y0 + KEY_ROW * len(lines) + 6
        room = Rect(room.x0, under, room.x1, room.y1)


def write_key_lines(paper: ShopPaper, lines: Sequence[Sequence[Line]], y: float) -> None:
    """Write a short key under ``y``."""
    drawing, field = paper.drawing, paper.field
    for line in lines:
        y -= KEY_ROW
        x = field.left
        for entry in line:
            x += set_line(
                drawing, x, y + 5, entry, crowded.NAME, Style.BOLD, paper.units,
                room=field.right - x,
            ) + 24  # fmt: skip


def draw_order(paper: ShopPaper, table: OrderTable, room: Rect, columns: int) -> None:
    """Draw the order of cuts in a room, on further pages where it is long."""
    table.draw(paper.drawing, room, columns)
    while not table.done:
        y = paper.open(keyed=False)
        field = paper.field
        table.draw(paper.drawing, Rect(field.left, field.bottom, field.right, y), COLUMNS)
