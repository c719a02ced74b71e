"""Slicing trees as arrays: a record a node, changed in place.

The first nodes are the parts, the rest stand for blocks of parts side by side along or
across the stock. Each record keeps the least size of its node and the room it has: the root
has the sheet; a block in a row has its own size and the row's slack, and all of the row's
depth. No place is stored, so a part is put in or taken out by relinking a few nodes and
measuring again up to the root and down from it.

Rules of cutting (levels of cuts, the way of the first, what a store edge takes, how wide the
first strips may be) are kept by the room: where a part would break one there is none.

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
# LEVELS: of cuts in a block, kept only where there are rules.
LEVELS = 15
COLUMNS = 16

# The last record is never a node (there is one block less than parts, at most), and holds the
# rules of cutting: whether there are any; levels of cuts allowed; the way of the first, 0 for
# either; what a cut takes beyond its kerf, on how many levels; the most a strip of the first
# level may measure, kerf included, 0 for any.
ANY_RULE, STAGES, FIRST_WAY, EDGE, EDGE_STAGES, WIDEST = 1, 2, 3, 4, 5, 6

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


def empty_trees(parts: int, sheets: int, rules: Nodes) -> Trees:
    """Give trees with every part left and every sheet empty; ``rules`` as the last record."""
    nodes = np.full((2 * parts, COLUMNS), -1, np.int32)
    nodes[:parts, WAY] = PART
    nodes[parts:, WAY] = SPARE
    nodes[-1] = rules
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
def measure(nodes: Nodes, node: int, gap: int = 0) -> None:
    """Set a block's least size from those below it, ``gap`` between neighbours."""
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
    nodes[node, run] = total + gap * (count - 1)
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
def _depth_of_way(nodes: Nodes, way: int) -> int:
    """Give the depth of a root whose cuts part it this way."""
    first = nodes[-1, FIRST_WAY]
    if first == 0:
        return 0
    return 0 if way == first else 1


@compiled
def _depth_of_root(nodes: Nodes, root: int) -> int:
    """Give 1 where the first level of cuts leaves but one strip, and cuts start below it."""
    return 0 if nodes[root, WAY] == PART else _depth_of_way(nodes, int(nodes[root, WAY]))


@compiled
def _edge(nodes: Nodes, depth: int) -> int:
    """Give what a cut at a depth takes beyond its kerf."""
    return int(nodes[-1, EDGE]) if depth < nodes[-1, EDGE_STAGES] else 0


@compiled
def _measure_tree(nodes: Nodes, root: int, stack: Nodes) -> None:
    """Set the least sizes and levels of all of a tree, as the rules have it."""
    if nodes[root, WAY] == PART:
        return
    # On the way down LEVELS holds the depth.
    nodes[root, LEVELS] = _depth_of_root(nodes, root)
    stack[0] = root
    count, place = 1, 0
    while place < count:
        node = stack[place]
        below = nodes[node, FIRST]
        while below >= 0:
            if nodes[below, WAY] != PART:
                nodes[below, LEVELS] = nodes[node, LEVELS] + 1
                stack[count] = below
                count += 1
            below = nodes[below, NEXT]
        place += 1
    for place in range(count - 1, -1, -1):
        node = stack[place]
        measure(nodes, node, _edge(nodes, int(nodes[node, LEVELS])))
        levels = 0
        below = nodes[node, FIRST]
        while below >= 0:
            if nodes[below, WAY] != PART:
                levels = max(levels, int(nodes[below, LEVELS]))
            below = nodes[below, NEXT]
        nodes[node, LEVELS] = levels + 1


@compiled
def measure_again(nodes: Nodes, node: int, stack: Nodes) -> None:
    """Set the least sizes of all that a change at a node may have changed."""
    if nodes[-1, ANY_RULE] == 0:
        measure_up(nodes, node)
        return
    while nodes[node, ABOVE] >= 0:
        node = int(nodes[node, ABOVE])
    _measure_tree(nodes, node, stack)


@compiled
def outgrows(trees: Trees, sheets: Sheets, sheet: int) -> bool:
    """Say whether what lies on a sheet takes more than it.

    Taking parts off brings others nearer to the first cuts, where a cut may take more.
    """
    root = trees.roots[sheet]
    if root < 0:
        return False
    length, width = int(trees.nodes[root, LENGTH]), int(trees.nodes[root, WIDTH])
    return length > int(sheets.length[sheet]) or width > int(sheets.width[sheet])


@compiled
def _spare_at_root(nodes: Nodes, root: int, way: int, total: int, own: int) -> int:
    """Give what a part beside the root may take up one way, -1 where none may lie there."""
    first, widest = int(nodes[-1, FIRST_WAY]), int(nodes[-1, WIDEST])
    if nodes[root, WAY] == way:
        depth = _depth_of_root(nodes, root)
    else:
        depth = _depth_of_way(nodes, way)
        levels = 0 if nodes[root, WAY] == PART else int(nodes[root, LEVELS])
        if depth + 1 + levels > nodes[-1, STAGES]:
            return -1
        if widest > 0 and (own > widest if way == first else nodes[root, WAY] == first):
            return -1
    spare = total - own - _edge(nodes, depth)
    return min(spare, widest) if widest > 0 and depth == 0 else spare


@compiled
def _share_room_by_rules(nodes: Nodes, root: int, length: int, width: int, stack: Nodes) -> None:
    """Set the room of every node of a tree, none where a part would break a rule."""
    widest = int(nodes[-1, WIDEST])
    start = _depth_of_root(nodes, root)
    is_part = nodes[root, WAY] == PART
    nodes[root, ALONG_SPARE] = _spare_at_root(nodes, root, ALONG, length, int(nodes[root, LENGTH]))
    nodes[root, ACROSS_SPARE] = _spare_at_root(nodes, root, ACROSS, width, int(nodes[root, WIDTH]))
    nodes[root, PAIR_SPARE] = -1
    if widest > 0 and (is_part or start == 1):
        if nodes[-1, FIRST_WAY] == ALONG:
            length = min(length, widest)
        else:
            width = min(width, widest)
    nodes[root, ROOM_LENGTH] = length
    nodes[root, ROOM_WIDTH] = width
    if is_part:
        return
    depths = stack.shape[0] // 2
    stack[0] = root
    stack[depths] = start
    height = 1
    while height > 0:
        height -= 1
        node = stack[height]
        depth = int(stack[depths + height])
        if nodes[node, WAY] == ALONG:
            run, room_run, run_spare = LENGTH, ROOM_LENGTH, ALONG_SPARE
            deep, room_deep, deep_spare = WIDTH, ROOM_WIDTH, ACROSS_SPARE
        else:
            run, room_run, run_spare = WIDTH, ROOM_WIDTH, ACROSS_SPARE
            deep, room_deep, deep_spare = LENGTH, ROOM_LENGTH, ALONG_SPARE
        slack = int(nodes[node, room_run]) - int(nodes[node, run])
        room = int(nodes[node, room_deep])
        edge = _edge(nodes, depth + 1)
        limited = widest > 0 and depth == 0
        below = nodes[node, FIRST]
        while below >= 0:
            own = int(nodes[below, run]) + slack
            nodes[below, room_run] = min(own, widest) if limited else own
            nodes[below, room_deep] = room
            nodes[below, run_spare] = -1
            nodes[below, deep_spare] = room - int(nodes[below, deep]) - edge
            if nodes[below, WAY] != PART:
                stack[height] = below
                stack[depths + height] = depth + 1
                height += 1
            elif depth + 2 > nodes[-1, STAGES]:
                nodes[below, deep_spare] = -1
            below = nodes[below, NEXT]
        # A pair of a row lies two levels deeper, behind one more cut with its edges.
        if limited or edge > 0 or depth + 2 + nodes[node, LEVELS] > nodes[-1, STAGES]:
            nodes[node, PAIR_SPARE] = -1
        else:
            nodes[node, PAIR_SPARE] = room - int(nodes[node, SECOND])


@compiled
def share_room(nodes: Nodes, root: int, length: int, width: int, stack: Nodes) -> None:
    """Set the room of every node of a tree on a sheet of this size."""
    if nodes[-1, ANY_RULE] != 0:
        _share_room_by_rules(nodes, root, length, width, stack)
        return
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
    measure_again(nodes, block, stack)
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
    measure_again(nodes, pair, stack)
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
        measure_again(nodes, _raise_lone(trees, above, sheet), stack)
