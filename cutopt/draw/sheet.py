"""Stock pulled apart at the store's cuts, as it lies at home: where each piece is drawn.

Pieces keep their places relative to one another; gaps open where the store has cut.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from cutopt.draw.space import Rect
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, Node, Waste

GAP_ACROSS = 30.0
GAP_UP = 34.0


@dataclass(frozen=True, slots=True)
class Needs:
    """Points that a piece needs beside its outline, for flags, its letter, leaders."""

    left: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    top: float = 0.0


@dataclass(frozen=True, slots=True)
class PieceFrame:
    """A piece of stock on paper: ticks from its own corner in, points on the page out.

    Attributes:
        x, y: the piece's corner on the stock piece, ticks.
        length, width: of the piece, ticks.
        left, bottom: its corner on the page, points.
        scale: points per tick.
    """

    x: int
    y: int
    length: int
    width: int
    left: float
    bottom: float
    scale: float

    @property
    def rect(self) -> Rect:
        """The piece on the page."""
        return self.rect_of(self.x, self.y, self.length, self.width)

    def rect_of(self, x: int, y: int, length: int, width: int) -> Rect:
        """Give a rectangle of the stock piece (ticks) on the page."""
        return Rect(self.across(x), self.up(y), self.across(x + length), self.up(y + width))

    def across(self, x: int) -> float:
        """Give the page's x for a place along the stock piece."""
        return self.left + (x - self.x) * self.scale

    def up(self, y: int) -> float:
        """Give the page's y for a place across the stock piece."""
        return self.bottom + (y - self.y) * self.scale


@dataclass(frozen=True, slots=True)
class _Block:
    """Pieces that hang together: size at a scale, needs around it, and who lies where in it."""

    width: float
    height: float
    needs: Needs
    places: tuple[tuple[int, int, Node, float, float], ...]


def pull_apart(
    layout: Node,
    room: Rect,
    needs: Mapping[tuple[int, int], Needs],
    *,
    most_scale: float,
    x: int = 0,
    y: int = 0,
) -> dict[tuple[int, int], PieceFrame]:
    """Give the frame of every piece that leaves the store, by its corner in ticks.

    The largest scale is taken at which all fit the room with what they need around them, and
    the drawing is centred in its width and stands on top of the room. Waste of the store
    stays there and is not drawn.
    """
    low, high = 0.0, most_scale
    best = _block(layout, x, y, 0.0, needs)
    for _ in range(48):
        scale = (low + high) / 2
        block = _block(layout, x, y, scale, needs)
        if block is not None and _fits(block, room):
            low, best = scale, block
        else:
            high = scale
    if best is None:
        return {}
    left = room.x0 + best.needs.left
    spare = room.width - best.width - best.needs.left - best.needs.right
    bottom = room.y1 - best.needs.top - best.height
    return {
        (px, py): PieceFrame(
            px, py, node.length, node.width, left + spare / 2 + dx, bottom + dy, low
        )
        for px, py, node, dx, dy in best.places
    }


def _fits(block: _Block, room: Rect) -> bool:
    needs = block.needs
    return (
        block.width + needs.left + needs.right <= room.width
        and block.height + needs.bottom + needs.top <= room.height
    )


def _block(
    node: Node | None, x: int, y: int, scale: float, needs: Mapping[tuple[int, int], Needs]
) -> _Block | None:
    """Give the block of a node at a scale, or None where nothing of it comes home."""
    if node is None:
        return None
    if not (isinstance(node, Cut) and node.by is Maker.STORE):
        if isinstance(node, Waste):
            return None
        own = needs.get((x, y), Needs())
        return _Block(node.length * scale, node.width * scale, own, ((x, y, node, 0.0, 0.0),))
    past = node.at + node.kerf
    crosscut = node.direction is Direction.CROSSCUT
    first = _block(node.first, x, y, scale, needs)
    second = _block(
        node.second, x + (past if crosscut else 0), y + (0 if crosscut else past), scale, needs
    )
    if first is None or second is None:
        return first or second
    return _beside(first, second) if crosscut else _over(first, second)


def _moved(block: _Block, dx: float, dy: float) -> tuple[tuple[int, int, Node, float, float], ...]:
    return tuple((x, y, node, px + dx, py + dy) for x, y, node, px, py in block.places)


def _beside(first: _Block, second: _Block) -> _Block:
    gap = max(GAP_ACROSS, first.needs.right + second.needs.left + 6)
    # Both stand on one line; what is needed above or below is measured from the taller block.
    height = max(first.height, second.height)
    needs = Needs(
        first.needs.left,
        second.needs.right,
        max(first.needs.bottom, second.needs.bottom),
        max(
            first.needs.top - (height - first.height),
            second.needs.top - (height - second.height),
        ),
    )
    return _Block(
        first.width + gap + second.width,
        height,
        needs,
        first.places + _moved(second, first.width + gap, 0.0),
    )


def _over(first: _Block, second: _Block) -> _Block:
    gap = max(GAP_UP, first.needs.top + second.needs.bottom + 4)
    width = max(first.width, second.width)
    needs = Needs(
        max(first.needs.left, second.needs.left),
        max(
            first.needs.right - (width - first.width),
            second.needs.right - (width - second.width),
        ),
        first.needs.bottom,
        second.needs.top,
    )
    return _Block(
        width,
        first.height + gap + second.height,
        needs,
        first.places + _moved(second, 0.0, first.height + gap),
    )
