"""What is written into the parts of a shop sheet, and the drawing with all its words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import crowded
from cutopt.draw.part_on_stock import free_in_part
from cutopt.draw.part_text import PartText, TextBlock, lay_text, set_arrow, set_block
from cutopt.draw.regions import Corner, Spread
from cutopt.draw.shop_drawing import draw_flags, draw_pieces
from cutopt.draw.shop_layout import SheetView, lay_sheet
from cutopt.draw.shop_paper import ShopPaper
from cutopt.draw.space import Rect, free_rects
from cutopt.draw.typeset import size_pieces
from cutopt.model.job import Grain
from cutopt.model.plan import Offcut, PartPiece
from cutopt.steps.hands import as_made, hand_of


@dataclass(frozen=True, slots=True)
class _Said:
    """One part or offcut and the words found for it; ``part`` is the part's id, or ""."""

    block: TextBlock | None
    rooms: tuple[Rect, ...]
    arrow: bool
    part: str


def lay_with_leaders(
    paper: ShopPaper, spread: Spread, room: Rect, keys: Sequence[crowded.Key], *, inner: bool
) -> SheetView:
    """Lay a drawing out with the leaders its slivers need."""
    leaders: dict[Corner, int] = {}
    while True:
        view = lay_sheet(paper.sheet, spread, room, paper.units, leaders, inner=inner)
        wanted = crowded.leaders_of(view, keys, paper.parts)
        if all(leaders.get(at, 0) >= n for at, n in wanted.items()):
            return view
        leaders = at_least(leaders, wanted)


def at_least(leaders: dict[Corner, int], wanted: dict[Corner, int]) -> dict[Corner, int]:
    """Give the greater count for each piece: counts only grow, so that laying out ends."""
    return {at: max(leaders.get(at, 0), wanted.get(at, 0)) for at in {**leaders, **wanted}}


def nameless_in(paper: ShopPaper, view: SheetView) -> frozenset[str]:
    """Give the ids of the parts whose name has no room in them."""
    return frozenset(one.part for one in _say(paper, view) if one.part and one.block is None)


def draw_view(paper: ShopPaper, view: SheetView, keys: Sequence[crowded.Key]) -> None:
    """Draw pieces, words, numbers of the kinds that have a key, and flags."""
    drawing = paper.drawing
    numbered = {key.part.id for key in keys}
    draw_pieces(drawing, view, paper.parts, paper.units, rough=paper.rough)
    for one in _say(paper, view):
        if one.block is not None and one.part not in numbered:
            set_block(drawing, one.block, paper.units)
            if one.arrow:
                set_arrow(drawing, one.block, one.rooms)
    crowded.draw_numbers(drawing, view, keys, paper.parts)
    draw_flags(drawing, view)


def _say(paper: ShopPaper, view: SheetView) -> list[_Said]:
    """Find the words for every part and offcut."""
    said = []
    for piece, own in view.pieces():
        flags = view.marks_in(piece.at)
        for placed in piece.placed:
            node = placed.node
            if not isinstance(node, PartPiece | Offcut):
                continue
            rect = own.rect_of(placed.x, placed.y, node.length, node.width)
            if isinstance(node, PartPiece):
                said.append(_say_part(paper, node, rect, flags))
                continue
            rooms = free_rects(rect.grown(-5), [flag.grown(0.8) for flag in flags])
            text = PartText(_keep(paper, node), size_pieces(node.length, node.width))
            block = lay_text(text, rect, rooms, paper.units, arrow=False, short=node.id)
            said.append(_Said(block, rooms, arrow=False, part=""))
    return said


def _say_part(paper: ShopPaper, node: PartPiece, rect: Rect, flags: Sequence[Rect]) -> _Said:
    """Find the words for a part: name, size, which copy; an arrow where its grain is ruled."""
    part = as_made(paper.parts[node.part], node.copy)
    rooms = free_in_part(rect, node, part, flags)
    size = size_pieces(part.blank_length, part.blank_width)
    copy = part.count_words(node.copy) if (part.of or part.qty) > 1 else ""
    hand = hand_of(part, node.copy)
    if len(paper.sheet.ids) > 1:
        copy = hand
    elif hand:
        copy = f"{copy} {hand}"
    place = paper.places.get((node.part, node.copy))
    if place is not None:
        copy = f"{place.counted} {hand}".rstrip()
    text = PartText(part.name, size, copy, placed=place is not None)
    arrow = paper.grain and part.grain in (Grain.LENGTH, Grain.WIDTH)
    block = lay_text(text, rect, rooms, paper.units, arrow=arrow, short="")
    return _Said(block, rooms, arrow, node.part)


def _keep(paper: ShopPaper, node: Offcut) -> str:
    """Give the name of an offcut; on sheets cut alike its last letter alone is the same."""
    if len(paper.sheet.ids) == 1:
        return f"Keep {node.id}"
    return f"Keep -{node.id.rpartition('-')[2]} of each"
