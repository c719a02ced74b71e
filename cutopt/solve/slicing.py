"""Slicing trees to search on: blocks of parts that straight cuts can part again.

A block is a part, or blocks side by side: along the stock's length (crosscuts part them)
or across it (rips do), the two ways taking turns down the tree. Every size carries one
kerf each way, so sizes add up with no gaps. A block is never changed once made; a search
swaps whole trees, and stepping back costs nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

PART, ALONG, ACROSS = 0, 1, 2


@dataclass(slots=True, eq=False)
class Block:
    """A part, or blocks side by side; never changed once made (not frozen: made by the million).

    Attributes:
        way: PART, ALONG (children side by side along the stock's length) or ACROSS.
        length, width: least size that holds it, one kerf included each way.
        kind: kind of a part, or -1.
        turned: a part's longer side as listed lies across the stock's length.
        area: of the parts in it, kerf included.
        mark: sum of its parts' marks; equal for equal sets of parts.
    """

    way: int
    length: int
    width: int
    children: tuple[Block, ...]
    kind: int
    turned: bool
    area: int
    mark: int


Trail = tuple[Block, int, "Trail"] | None
"""The way up from a block: its parent, its place among the children, the parent's trail."""

Spot = tuple[int, int, int, int, int, int, Block, Trail]
"""Where a part could go, measured the spot's own way and square to it.

Room the part may take; own size of the block it joins; the parent's size (0, 0 at the
root); the block; its trail.
"""


def side_by_side(way: int, children: tuple[Block, ...]) -> Block:
    """Give the block of these blocks side by side; they must lie the other way or be parts."""
    total = most = area = mark = 0
    if way == ALONG:
        for child in children:
            total += child.length
            most = max(most, child.width)
            area += child.area
            mark += child.mark
        return Block(ALONG, total, most, children, -1, False, area, mark)
    for child in children:
        total += child.width
        most = max(most, child.length)
        area += child.area
        mark += child.mark
    return Block(ACROSS, most, total, children, -1, False, area, mark)


def joined(way: int, blocks: Sequence[Block]) -> Block:
    """Give blocks side by side, those that already lie this way taken apart; one stays itself."""
    flat: list[Block] = []
    for block in blocks:
        flat.extend(block.children if block.way == way else (block,))
    return flat[0] if len(flat) == 1 else side_by_side(way, tuple(flat))


def _rebuild(block: Block, trail: Trail) -> Block:
    """Give the root after ``block`` took the place that ``trail`` leads up from."""
    while trail is not None:
        parent, place, trail = trail
        children = parent.children
        block = side_by_side(parent.way, (*children[:place], block, *children[place + 1 :]))
    return block


def put(part: Block, way: int, spot: Spot) -> Block:
    """Give the root after a part joined the block of a spot, in the spot's way."""
    block, trail = spot[6], spot[7]
    children = (*block.children, part) if block.way == way else (block, part)
    return _rebuild(side_by_side(way, children), trail)


def without(trail: Trail) -> Block | None:
    """Give the root after the block that ``trail`` leads up from was taken out, or None."""
    if trail is None:
        return None
    parent, place, trail = trail
    children = (*parent.children[:place], *parent.children[place + 1 :])
    if len(children) > 1:
        return _rebuild(side_by_side(parent.way, children), trail)
    # A lone child takes its parent's place; its children join the grandparent, whose way they lie.
    child = children[0]
    if trail is None or not child.children:
        return _rebuild(child, trail)
    grandparent, place, trail = trail
    around = grandparent.children
    children = (*around[:place], *child.children, *around[place + 1 :])
    return _rebuild(side_by_side(grandparent.way, children), trail)


def parts_in(block: Block) -> Iterator[Block]:
    """Yield the parts of a block in order."""
    stack = [block]
    while stack:
        block = stack.pop()
        if block.children:
            stack.extend(reversed(block.children))
        else:
            yield block


def keep_only(block: Block, left: list[int]) -> Block | None:
    """Give the block with at most ``left[kind]`` parts of each kind, counting ``left`` down."""
    if not block.children:
        if left[block.kind] < 1:
            return None
        left[block.kind] -= 1
        return block
    kept = [found for child in block.children if (found := keep_only(child, left)) is not None]
    if not kept:
        return None
    if len(kept) == len(block.children) and all(
        a is b for a, b in zip(kept, block.children, strict=True)
    ):
        return block
    return joined(block.way, kept)


Spots = tuple[tuple[list[Spot], list[Spot]], tuple[int, int]]
"""The spots of a sheet that run along it and across it, and the most room of each way."""


def open_spots(root: Block, length: int, width: int, least: int) -> Spots:
    """Give the spots of a sheet, none smaller than ``least``."""
    along: list[Spot] = []
    across: list[Spot] = []
    room = length - root.length
    if room >= least:
        along.append((room, width, root.length, root.width, 0, 0, root, None))
    room = width - root.width
    if room >= least:
        across.append((room, length, root.width, root.length, 0, 0, root, None))
    if not root.children:
        return _with_most(along, across)
    stack: list[tuple[Block, int, int, Trail]] = [(root, length, width, None)]
    while stack:
        block, length, width, trail = stack.pop()
        own_length, own_width = block.length, block.width
        if block.way == ALONG:
            slack = length - own_length
            for place, child in enumerate(block.children):
                room = width - child.width
                if child.children:
                    here = (block, place, trail)
                    stack.append((child, child.length + slack, width, here))
                elif room < least:
                    continue
                else:
                    here = (block, place, trail)
                if room >= least:
                    across.append(
                        (
                            room,
                            child.length + slack,
                            child.width,
                            child.length,
                            own_width,
                            own_length,
                            child,
                            here,
                        )
                    )
        else:
            slack = width - own_width
            for place, child in enumerate(block.children):
                room = length - child.length
                if child.children:
                    here = (block, place, trail)
                    stack.append((child, length, child.width + slack, here))
                elif room < least:
                    continue
                else:
                    here = (block, place, trail)
                if room >= least:
                    along.append(
                        (
                            room,
                            child.width + slack,
                            child.length,
                            child.width,
                            own_length,
                            own_width,
                            child,
                            here,
                        )
                    )
    return _with_most(along, across)


def _with_most(along: list[Spot], across: list[Spot]) -> Spots:
    most = (
        max([spot[0] for spot in along], default=0),
        max([spot[0] for spot in across], default=0),
    )
    return (along, across), most


def from_rectangles(rectangles: Sequence[tuple[int, int, Block]]) -> Block | None:
    """Give the block of parts placed at (x, y), or None where no straight cuts part them.

    Cuts are looked for at the gaps between the shadows of the parts on either side of the
    sheet, all of one direction at once, then in each piece.
    """
    if len(rectangles) == 1:
        return rectangles[0][2]
    for way in (ALONG, ACROSS):
        ordered = sorted(
            rectangles,
            key=lambda r: (r[0], r[1]) if way == ALONG else (r[1], r[0]),
        )
        groups: list[list[tuple[int, int, Block]]] = []
        end = -1
        for x, y, part in ordered:
            start, size = (x, part.length) if way == ALONG else (y, part.width)
            if not groups or start >= end:
                groups.append([])
            groups[-1].append((x, y, part))
            end = max(end, start + size)
        if len(groups) > 1:
            blocks = [from_rectangles(group) for group in groups]
            if any(block is None for block in blocks):
                return None
            return joined(way, [block for block in blocks if block is not None])
    return None
