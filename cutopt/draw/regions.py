"""What is drawn within one outline: a piece as it lies on the floor, or half of a very full one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutopt.draw import marks
from cutopt.draw.scene import LIGHT, Drawing
from cutopt.draw.sheet import Needs, PieceFrame, pull_apart
from cutopt.draw.space import Rect
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, Node, PartPiece, Placed, Waste, walk
from cutopt.steps.letters import FloorPiece, Side
from cutopt.steps.shop import ShopSheet
from cutopt.units import Ticks

Corner = tuple[int, int]

NEARLY_ALL = 0.97
"""Share of a piece that a cut crosses to part it; trims take the rest."""
MAP = 90.0


@dataclass(frozen=True, slots=True)
class Region:
    """A rectangle of a stock piece with the cuts, parts and leftovers in it.

    Attributes:
        x, y, length, width: where it lies on the stock piece, ticks.
        placed: cuts made at home and leaves, parents first.
        whole: a piece as it lies on the floor; else half of one.
    """

    letter: str
    x: int
    y: int
    length: int
    width: int
    placed: tuple[Placed, ...]
    store_edges: Side
    whole: bool = True

    @property
    def at(self) -> Corner:
        """Its corner on the stock piece."""
        return self.x, self.y

    @property
    def parts(self) -> int:
        """How many parts lie in it."""
        return sum(isinstance(placed.node, PartPiece) for placed in self.placed)


@dataclass(frozen=True, slots=True)
class Spread:
    """What one drawing shows: regions that hang together by the store's cuts.

    Attributes:
        tree: the store's cuts that pull them apart; for a half, a stand-in of its size.
        x, y: corner of ``tree`` on the stock piece.
    """

    regions: tuple[Region, ...]
    tree: Node
    x: int
    y: int

    @property
    def parts(self) -> int:
        """How many parts it shows."""
        return sum(region.parts for region in self.regions)

    def lay(
        self, room: Rect, needs: dict[Corner, Needs], most_scale: float
    ) -> dict[Corner, PieceFrame]:
        """Give the frame of each region in a room."""
        return pull_apart(self.tree, room, needs, most_scale=most_scale, x=self.x, y=self.y)


def whole_sheet(sheet: ShopSheet) -> Spread:
    """Give a sheet as one drawing."""
    regions = tuple(_region(piece) for piece in sheet.names.floor)
    return Spread(regions, sheet.piece.layout, 0, 0)


def _region(piece: FloorPiece) -> Region:
    node = piece.node
    placed = tuple(walk(node, piece.x, piece.y))
    return Region(
        piece.letter, piece.x, piece.y, node.length, node.width, placed, piece.store_edges
    )


def apart(spread: Spread) -> tuple[Spread, ...]:
    """Give two drawings for one: its store pieces at their first cut, or a piece's halves.

    Gives the spread itself where nothing can part it.
    """
    tree = spread.tree
    if isinstance(tree, Cut) and tree.by is Maker.STORE:
        return _at_store_cut(spread, tree)
    region = spread.regions[0]
    lines = _lines_across(region)
    if not lines:
        return (spread,)
    middle = min(lines, key=lambda line: abs(_off_middle(region, line)))
    return tuple(
        Spread((half,), _stand_in(half), half.x, half.y) for half in _halves(region, middle)
    )


def _at_store_cut(spread: Spread, tree: Cut) -> tuple[Spread, ...]:
    past = tree.at + tree.kerf
    crosscut = tree.direction is Direction.CROSSCUT
    far = spread.x + (past if crosscut else 0), spread.y + (0 if crosscut else past)
    found = []
    for node, (x, y) in ((tree.first, (spread.x, spread.y)), (tree.second, far)):
        if node is None:
            continue
        inside = tuple(
            region
            for region in spread.regions
            if x <= region.x < x + node.length and y <= region.y < y + node.width
        )
        if inside:
            found.append(Spread(inside, node, x, y))
    return tuple(found)


def _stand_in(region: Region) -> Node:
    return PartPiece(Ticks(region.length), Ticks(region.width), "", 0)


def _lines_across(region: Region) -> list[Placed]:
    """Give the cuts that part a region from rim to rim, as far as trims let them."""
    found = []
    for placed in region.placed:
        cut = placed.node
        if not isinstance(cut, Cut):
            continue
        crosscut = cut.direction is Direction.CROSSCUT
        spans = cut.width / region.width if crosscut else cut.length / region.length
        sides = (cut.first, cut.second)
        trims = any(side is None or isinstance(side, Waste) for side in sides)
        if spans >= NEARLY_ALL and not trims:
            found.append(placed)
    return found


def _off_middle(region: Region, placed: Placed) -> float:
    cut = placed.node
    if not isinstance(cut, Cut):
        return 0.0
    if cut.direction is Direction.CROSSCUT:
        return (placed.x + cut.at - region.x) / region.length - 0.5
    return (placed.y + cut.at - region.y) / region.width - 0.5


def _halves(region: Region, line: Placed) -> tuple[Region, Region]:
    """Part a region at one of its cuts; the cut itself stays with the near half."""
    cut = line.node
    if not isinstance(cut, Cut):
        raise TypeError
    edges = region.store_edges
    if cut.direction is Direction.CROSSCUT:
        end = line.x + cut.at
        start = end + cut.kerf
        near = replace(
            region, length=end - region.x, store_edges=replace(edges, right=False), whole=False
        )
        far = replace(
            region, x=start, length=region.x + region.length - start,
            store_edges=replace(edges, left=False), whole=False,
        )  # fmt: skip
    else:
        end = line.y + cut.at
        start = end + cut.kerf
        near = replace(
            region, width=end - region.y, store_edges=replace(edges, top=False), whole=False
        )
        far = replace(
            region, y=start, width=region.y + region.width - start,
            store_edges=replace(edges, bottom=False), whole=False,
        )  # fmt: skip
    return (
        replace(near, placed=_within(region.placed, near, cut.step, keep=True)),
        replace(far, placed=_within(region.placed, far, cut.step, keep=False)),
    )


def _within(
    placed: Sequence[Placed], half: Region, parting: int, *, keep: bool
) -> tuple[Placed, ...]:
    """Give what lies in a half; waste that reaches over its edge is clipped."""
    found = []
    for one in placed:
        node = one.node
        if isinstance(node, Cut):
            if node.step == parting:
                if keep:
                    found.append(one)
                continue
            crosscut = node.direction is Direction.CROSSCUT
            x = one.x + (node.at if crosscut else node.length // 2)
            y = one.y + (node.width // 2 if crosscut else node.at)
            # A cut that runs on into the other half is met where it crosses this one.
            inside_x = half.x <= x < half.x + half.length or (
                not crosscut and one.x < half.x + half.length and half.x < one.x + node.length
            )
            inside_y = half.y <= y < half.y + half.width or (
                crosscut and one.y < half.y + half.width and half.y < one.y + node.width
            )
            if inside_x and inside_y:
                found.append(_clipped_cut(one, node, half))
            continue
        x0, x1 = max(one.x, half.x), min(one.x + node.length, half.x + half.length)
        y0, y1 = max(one.y, half.y), min(one.y + node.width, half.y + half.width)
        if x0 >= x1 or y0 >= y1:
            continue
        found.append(
            Placed(replace(node, length=Ticks(x1 - x0), width=Ticks(y1 - y0)), Ticks(x0), Ticks(y0))
        )
    return tuple(found)


def _clipped_cut(one: Placed, cut: Cut, half: Region) -> Placed:
    """Give a cut as far as its line runs within a half; where it parts stays the same."""
    if cut.direction is Direction.CROSSCUT:
        y0, y1 = max(one.y, half.y), min(one.y + cut.width, half.y + half.width)
        return Placed(replace(cut, width=Ticks(y1 - y0)), one.x, Ticks(y0))
    x0, x1 = max(one.x, half.x), min(one.x + cut.length, half.x + half.length)
    return Placed(replace(cut, length=Ticks(x1 - x0)), Ticks(x0), one.y)


def map_size(sheet: ShopSheet) -> tuple[float, float]:
    """Give width and height of a sheet's map, points: the longer is 90."""
    length, width = sheet.stock.length, sheet.stock.width
    scale = MAP / max(length, width)
    return length * scale, width * scale


def draw_map(drawing: Drawing, sheet: ShopSheet, spread: Spread, right: float, top: float) -> None:
    """Draw the whole sheet small in the corner, what this page shows in grey."""
    width, height = map_size(sheet)
    scale = width / sheet.stock.length
    frame = PieceFrame(
        0, 0, sheet.stock.length, sheet.stock.width, right - width, top - height, scale
    )
    for region in spread.regions:
        rect = frame.rect_of(region.x, region.y, region.length, region.width)
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, 0, fill=LIGHT)
    for piece in sheet.names.floor:
        rect = frame.rect_of(piece.x, piece.y, piece.node.length, piece.node.width)
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, marks.THIN_RULE)
    for region in spread.regions:
        rect = frame.rect_of(region.x, region.y, region.length, region.width)
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, marks.RULE)
    whole = frame.rect
    drawing.rectangle(whole.x0, whole.y0, whole.width, whole.height, 0.8)
