"""Slicing trees as arrays: a record a node, changed in place.

The first nodes are the parts, the rest stand for blocks of parts side by side along or
across the stock. Each record keeps the least size of its node and the room it has: the root
has the sheet; a block in a row has its own size and the row's slack, and all of the row's
depth. No place is stored, so a part is put in or taken out by relinking a few nodes and
measuring again up to the root and down from it.

Source: the tree and its two measures as in Gardeyn and Wauters, "A goal-driven ruin and
recreate heuristic for the 2D variable-sized bin packing problem with guillotine
constraints", 2022, doi:10.1016/j.ejor.2021.11.031.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.compiling import compiled

PART, ALONG, ACROSS, SPARE = 0, 1, 2, 3

# Columns of a record. WAY: one of the four above. ABOVE, FIRST, NEXT, BEFORE: links, -1 for
# none. SHEET: -1 where the node is on none. *_SPARE: what a part beside this node may take up
# along or across the stock, -1 where it may not lie so. SECOND, PAIR_SPARE: for blocks of
# three and more, depth of the second shallowest, and what a part across two may be deep.
WAY, ABOVE, FIRST, NEXT, BEFORE = 0, 1, 2, 3, 4
LENGTH, WIDTH, ROOM_LENGTH, ROOM_WIDTH = 5, 6, 7, 8
SHEET, TURNED = 9, 10
ALONG_SPARE, ACROSS_SPARE, SECOND, PAIR_SPARE = 11, 12, 13, 14
COLUMNS = 16

_MOST = (1 << 31) - 1

Whole = NDArray[np.int64]
Nodes = NDArray[np.int32]


class Parts(NamedTuple):
    """The parts to lay, one entry each.

    Attributes:
        length, width: kerf included, as they lie when not turned.
        bound: may not be turned on stock with grain.
        kind: parts of one kind are alike.
        worth: what the search counts for a part that is laid.
    """

    length: Whole
    width: Whole
    bound: NDArray[np.bool_]
    kind: Whole
    worth: NDArray[np.float64]


class Sheets(NamedTuple):
    """The sheets to lay parts on, one entry each: usable size, type, whether it has grain."""

    length: Whole
    width: Whole
    grained: NDArray[np.bool_]
    number: Whole


class Trees(NamedTuple):
    """What lies where.

    Attributes:
        nodes: a record each.
        roots: topmost node of each sheet, -1 where it is empty.
        spare: numbers of nodes not in use, as a stack.
        left: parts not laid, as a stack.
        counts: heights of the two stacks.
    """

    nodes: Nodes
    roots: Nodes
    spare: Nodes
    left: Nodes
    counts: Whole


def empty_trees(parts: int, sheets: int) -> Trees:
    """Give trees with every part left and every sheet empty."""
    nodes = np.full((2 * parts, COLUMNS), -1, np.int32)
    nodes[:parts, WAY] = PART
    nodes[parts:, WAY] = SPARE
    return Trees(
        nodes,
        np.full(sheets, -1, np.int32),
        np.arange(2 * parts - 1, parts - 1, -1, dtype=np.int32),
        np.arange(parts, dtype=np.int32),
        np.array([parts, parts], np.int64),
    )


@compiled
def copy_trees(source: Trees, target: Trees) -> None:
    """Make the target hold what the source does."""
    # Plain loops over flat arrays: assigning slices would look for overlaps each time.
    records, copies = source.nodes.reshape(-1), target.nodes.reshape(-1)
    for place in range(records.shape[0]):
        copies[place] = records[place]
    for place in range(source.roots.shape[0]):
        target.roots[place] = source.roots[place]
    for place in range(source.counts[0]):
        target.spare[place] = source.spare[place]
    for place in range(source.counts[1]):
        target.left[place] = source.left[place]
    target.counts[0] = source.counts[0]
    target.counts[1] = source.counts[1]


@compiled
def link(nodes: Nodes, above: int, node: int) -> None:
    """Put a node first below another."""
    first = nodes[above, FIRST]
    nodes[node, ABOVE] = above
    nodes[node, BEFORE] = -1
    nodes[node, NEXT] = first
    if first >= 0:
        nodes[first, BEFORE] = node
    nodes[above, FIRST] = node


@compiled
def unlink(nodes: Nodes, node: int) -> None:
    """Take a node from below the one above it."""
    before, after = nodes[node, BEFORE], nodes[node, NEXT]
    if before >= 0:
        nodes[before, NEXT] = after
    else:
        nodes[nodes[node, ABOVE], FIRST] = after
    if after >= 0:
        nodes[after, BEFORE] = before
    nodes[node, ABOVE] = -1
    nodes[node, NEXT] = -1
    nodes[node, BEFORE] = -1


@compiled
def new_block(trees: Trees, way: int, sheet: int) -> int:
    """Give an unused node, made an empty block."""
    trees.counts[0] -= 1
    node = int(trees.spare[trees.counts[0]])
    nodes = trees.nodes
    nodes[node, WAY] = way
    nodes[node, ABOVE] = -1
    nodes[node, FIRST] = -1
    nodes[node, NEXT] = -1
    nodes[node, BEFORE] = -1
    nodes[node, SHEET] = sheet
    return node


@compiled
def drop_block(trees: Trees, node: int) -> None:
    """Make a block unused."""
    nodes = trees.nodes
    nodes[node, WAY] = SPARE
    nodes[node, SHEET] = -1
    nodes[node, ALONG_SPARE] = -1
    nodes[node, ACROSS_SPARE] = -1
    nodes[node, PAIR_SPARE] = -1
    trees.spare[trees.counts[0]] = node
    trees.counts[0] += 1


@compiled
def measure(nodes: Nodes, node: int) -> None:
    """Set a block's least size from those below it."""
    if nodes[node, WAY] == ALONG:
        run, deep = LENGTH, WIDTH
    else:
        run, deep = WIDTH, LENGTH
    total = most = count = 0
    least = second = _MOST
    below = nodes[node, FIRST]
    while below >= 0:
        total += int(nodes[below, run])
        depth = int(nodes[below, deep])
        most = max(most, depth)
        if depth < least:
            second = least
            least = depth
        elif depth < second:
            second = depth
        count += 1
        below = nodes[below, NEXT]
    nodes[node, run] = total
    nodes[node, deep] = most
    nodes[node, SECOND] = second if count > 2 else _MOST


@compiled
def measure_up(nodes: Nodes, node: int) -> None:
    """Set the least sizes from a node up to its root."""
    while node >= 0:
        if nodes[node, WAY] != PART:
            measure(nodes, node)
        node = int(nodes[node, ABOVE])


@compiled
def share_room(nodes: Nodes, root: int, length: int, width: int, stack: Nodes) -> None:
    """Set the room of every node of a tree on a sheet of this size."""
    nodes[root, ROOM_LENGTH] = length
    nodes[root, ROOM_WIDTH] = width
    nodes[root, ALONG_SPARE] = length - int(nodes[root, LENGTH])
    nodes[root, ACROSS_SPARE] = width - int(nodes[root, WIDTH])
    nodes[root, PAIR_SPARE] = -1
    height = 0
    if nodes[root, WAY] != PART:
        stack[0] = root
        height = 1
    while height > 0:
        height -= 1
        node = stack[height]
        below = nodes[node, FIRST]
        if nodes[node, WAY] == ALONG:
            slack = int(nodes[node, ROOM_LENGTH]) - int(nodes[node, LENGTH])
            depth = int(nodes[node, ROOM_WIDTH])
            while below >= 0:
                nodes[below, ROOM_LENGTH] = int(nodes[below, LENGTH]) + slack
                nodes[below, ROOM_WIDTH] = depth
                nodes[below, ALONG_SPARE] = -1
                nodes[below, ACROSS_SPARE] = depth - int(nodes[below, WIDTH])
                if nodes[below, WAY] != PART:
                    stack[height] = below
                    height += 1
                below = nodes[below, NEXT]
        else:
            slack = int(nodes[node, ROOM_WIDTH]) - int(nodes[node, WIDTH])
            depth = int(nodes[node, ROOM_LENGTH])
            while below >= 0:
                nodes[below, ROOM_WIDTH] = int(nodes[below, WIDTH]) + slack
                nodes[below, ROOM_LENGTH] = depth
                nodes[below, ACROSS_SPARE] = -1
                nodes[below, ALONG_SPARE] = depth - int(nodes[below, LENGTH])
                if nodes[below, WAY] != PART:
                    stack[height] = below
                    height += 1
                below = nodes[below, NEXT]
        nodes[node, PAIR_SPARE] = depth - int(nodes[node, SECOND])


@compiled
def put(
    trees: Trees, sheets: Sheets, part: int, beside: int, way: int, sheet: int, stack: Nodes
) -> None:
    """Lay a part (its size set) on an empty sheet (``beside`` -1), or beside a node."""
    nodes = trees.nodes
    nodes[part, SHEET] = sheet
    if beside < 0:
        trees.roots[sheet] = part
        nodes[part, ABOVE] = -1
        nodes[part, NEXT] = -1
        nodes[part, BEFORE] = -1
        share_room(nodes, part, sheets.length[sheet], sheets.width[sheet], stack)
        return
    if nodes[beside, WAY] == way:
        block = beside
        link(nodes, block, part)
    else:
        above = int(nodes[beside, ABOVE])
        block = new_block(trees, way, sheet)
        if above >= 0:
            unlink(nodes, beside)
            link(nodes, above, block)
        else:
            trees.roots[sheet] = block
        link(nodes, block, beside)
        link(nodes, block, part)
    measure_up(nodes, block)
    share_room(nodes, trees.roots[sheet], sheets.length[sheet], sheets.width[sheet], stack)


@compiled
def put_across(
    trees: Trees, sheets: Sheets, part: int, one: int, other: int, sheet: int, stack: Nodes
) -> None:
    """Lay a part (its size set) across two blocks of one row, moved together."""
    nodes = trees.nodes
    row = int(nodes[one, ABOVE])
    way = int(nodes[row, WAY])
    unlink(nodes, one)
    unlink(nodes, other)
    pair = new_block(trees, way, sheet)
    link(nodes, pair, one)
    link(nodes, pair, other)
    group = new_block(trees, ALONG + ACROSS - way, sheet)
    link(nodes, group, pair)
    link(nodes, group, part)
    link(nodes, row, group)
    nodes[part, SHEET] = sheet
    measure_up(nodes, pair)
    share_room(nodes, trees.roots[sheet], sheets.length[sheet], sheets.width[sheet], stack)


@compiled
def _raise_lone(trees: Trees, block: int, sheet: int) -> int:
    """Let a lone node take its block's place; give the lowest node to measure from."""
    nodes = trees.nodes
    lone = int(nodes[block, FIRST])
    if nodes[lone, NEXT] >= 0:
        return block
    above = int(nodes[block, ABOVE])
    unlink(nodes, lone)
    if above < 0:
        trees.roots[sheet] = lone
        drop_block(trees, block)
        return lone
    unlink(nodes, block)
    drop_block(trees, block)
    if nodes[lone, WAY] == PART:
        link(nodes, above, lone)
        return above
    # It lies the same way as the block above: its own join that one.
    below = int(nodes[lone, FIRST])
    while below >= 0:
        after = int(nodes[below, NEXT])
        link(nodes, above, below)
        below = after
    drop_block(trees, lone)
    return above


@compiled
def take(trees: Trees, node: int, stack: Nodes) -> None:
    """Take a node off its sheet; its parts are left to lay.

    The room of what stays on the sheet is not shared anew.
    """
    nodes = trees.nodes
    sheet = int(nodes[node, SHEET])
    above = int(nodes[node, ABOVE])
    if above >= 0:
        unlink(nodes, node)
    else:
        trees.roots[sheet] = -1
    stack[0] = node
    height = 1
    while height > 0:
        height -= 1
        node = int(stack[height])
        if nodes[node, WAY] == PART:
            nodes[node, SHEET] = -1
            nodes[node, ABOVE] = -1
            nodes[node, NEXT] = -1
            nodes[node, BEFORE] = -1
            nodes[node, ALONG_SPARE] = -1
            nodes[node, ACROSS_SPARE] = -1
            trees.left[trees.counts[1]] = node
            trees.counts[1] += 1
        else:
            below = nodes[node, FIRST]
            while below >= 0:
                stack[height] = below
                height += 1
                below = nodes[below, NEXT]
            drop_block(trees, node)
    if above >= 0:
        measure_up(nodes, _raise_lone(trees, above, sheet))
