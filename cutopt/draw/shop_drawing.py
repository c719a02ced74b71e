"""The drawing on a shop sheet: stock pulled apart at the store's cuts, with parts and flags."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from cutopt.draw import marks
from cutopt.draw.flags import draw_rim_flag
from cutopt.draw.marks import Points
from cutopt.draw.part_on_stock import draw_part
from cutopt.draw.regions import Region
from cutopt.draw.scene import BLACK, LIGHT, MIDDLE, WHITE, Drawing, Hatch, Style
from cutopt.draw.sheet import PieceFrame
from cutopt.draw.shop_layout import (
    AFTER_LETTER,
    INNER_FLAG,
    LETTER,
    SIZE,
    SLIVER,
    SheetView,
    label_width,
)
from cutopt.draw.shop_runs import draw_link
from cutopt.draw.space import Rect
from cutopt.draw.typeset import NARROWEST, as_text, set_line, size_pieces, width_of
from cutopt.model.job import Part
from cutopt.model.plan import Cut, Offcut, Waste
from cutopt.steps.hands import as_made
from cutopt.units import Units

OFFCUT_INSET = 3.0
CORNER = 15.0
CORNER_WEIGHT = 3.0


def draw_pieces(drawing: Drawing, view: SheetView, parts: Mapping[str, Part], units: Units,
                *, rough: bool) -> None:  # fmt: skip
    """Draw outlines, waste, offcuts' dashes, parts with bands and cutouts; no words yet."""
    corners = {(piece.x, piece.y) for piece in view.sheet.names.floor}
    for piece, frame in view.pieces():
        rect = frame.rect
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, marks.STOCK_OUTLINE, WHITE)
        for placed in piece.placed:
            node = placed.node
            if isinstance(node, Cut):
                continue
            own = frame.rect_of(placed.x, placed.y, node.length, node.width)
            if isinstance(node, Waste):
                _draw_waste(drawing, own)
            elif isinstance(node, Offcut):
                _draw_offcut(drawing, own)
            else:
                draw_part(drawing, own, node, as_made(parts[node.part], node.copy))
        # The outline once more on top, so that fills do not thin it.
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, marks.STOCK_OUTLINE)
        if rough:
            _rough_edges(drawing, piece, rect)
        if (piece.x, piece.y) in corners:
            _corner(drawing, rect)
        _name(drawing, view, piece, frame, units)


def draw_flags(drawing: Drawing, view: SheetView) -> None:
    """Draw the flags at the rims and within, and the links of runs."""
    for piece, _ in view.pieces():
        for link in view.links[piece.at]:
            draw_link(drawing, link)
        for rim in view.rim[piece.at]:
            draw_rim_flag(drawing, rim)
        for flag in view.inner[piece.at]:
            if flag.stem:
                drawing.line(flag.x, flag.y, *flag.foot, marks.DIMENSION)
            marks.flag(drawing, flag.x, flag.y, flag.number, flag.points, INNER_FLAG, inner=True)


def _draw_waste(drawing: Drawing, rect: Rect) -> None:
    if min(rect.width, rect.height) < SLIVER:
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, 0, fill=LIGHT)
        return
    drawing.add(Hatch(rect.x0, rect.y0, rect.width, rect.height))
    drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, 0.4)


def _draw_offcut(drawing: Drawing, rect: Rect) -> None:
    drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, 0.4)
    inset = min(OFFCUT_INSET, min(rect.width, rect.height) / 4)
    own = rect.grown(-inset)
    drawing.rectangle(own.x0, own.y0, own.width, own.height, 0.8, dash=(4.5, 2.2))


def _rough_edges(drawing: Drawing, piece: Region, rect: Rect) -> None:
    """Draw saw-teeth outside the edges that the store made."""
    edges = piece.store_edges
    off = 0.9
    if edges.left:
        marks.saw_tooth(drawing, rect.x0 - off, rect.y0, rect.x0 - off, rect.y1, (-1, 0))
    if edges.right:
        marks.saw_tooth(drawing, rect.x1 + off, rect.y0, rect.x1 + off, rect.y1, (1, 0))
    if edges.bottom:
        marks.saw_tooth(drawing, rect.x0, rect.y0 - off, rect.x1, rect.y0 - off, (0, -1))
    if edges.top:
        marks.saw_tooth(drawing, rect.x0, rect.y1 + off, rect.x1, rect.y1 + off, (0, 1))


def _corner(drawing: Drawing, rect: Rect) -> None:
    """Draw the L at the reference corner, outside it."""
    reach = min(CORNER, rect.height, rect.width)
    x, y = rect.x0 - CORNER_WEIGHT, rect.y0 - CORNER_WEIGHT
    drawing.rectangle(x, y, reach + CORNER_WEIGHT, CORNER_WEIGHT, 0, fill=BLACK)
    drawing.rectangle(x, y, CORNER_WEIGHT, reach + CORNER_WEIGHT, 0, fill=BLACK)


def _name(
    drawing: Drawing, view: SheetView, piece: Region, frame: PieceFrame, units: Units
) -> None:
    """Write a piece's letter and size above its left corner, clear of the flags there."""
    if not piece.letter:
        return
    rect = frame.rect
    y = rect.y1 + 5.5
    flags = sorted(
        (flag.rect for flag in view.rim[piece.at] if flag.points is Points.DOWN),
        key=lambda r: r.x0,
    )
    letters = width_of(piece.letter, LETTER, Style.BOLD)
    x, end = _gap_for(flags, rect.x0, letters)
    end = min(end, max(rect.x1, rect.x0 + label_width(view.sheet, piece, units)) + 2)
    set_line(drawing, x, y, piece.letter, LETTER, Style.BOLD)
    size = size_pieces(piece.length, piece.width)
    needed = width_of(as_text(size, units), SIZE)
    x += letters + AFTER_LETTER
    if piece.whole and view.sheet.store_cuts and x + needed * NARROWEST <= end:
        set_line(drawing, x, y, size, SIZE, units=units, grey=MIDDLE, room=end - x)


def _gap_for(flags: Sequence[Rect], start: float, width: float) -> tuple[float, float]:
    """Give the first gap between flags, from ``start``, that is so wide: its two ends."""
    x = start
    for flag in flags:
        if flag.x0 - 3 >= x + width:
            return x, flag.x0 - 3
        x = max(x, flag.x1 + 4)
    return x, math.inf
