"""Sheets seen on the way, each written as a row of words.

A word is twice the kind of a part, plus one if it is turned; -1 or -2 opens a block along or
across the stock, -3 closes it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.compiling import compiled
from cutopt.solve.kernel.trees import (
    ABOVE,
    FIRST,
    LENGTH,
    NEXT,
    PART,
    SHEET,
    TURNED,
    WAY,
    WIDTH,
    Nodes,
    Parts,
    Sheets,
    Trees,
    Whole,
    drop_block,
    link,
    measure,
    measure_again,
    new_block,
    share_room,
    unlink,
)

CLOSE = -3
_RETURN = -1


class Pool(NamedTuple):
    """Patterns, one for each set of parts on each type of sheet.

    Attributes:
        words: all patterns, one after another.
        starts: where each begins; one entry more than there are patterns.
        types: the type of sheet each is for.
        marks: of each.
        counts: of patterns.
        seen: marks of the sets seen, by place; 0 for none.
        mark: by kind; sums of marks tell sets apart.
        needed: by type, worth a pattern must have to be kept.
        type_length, type_width, type_grained, type_scarce: of the types, cheapest first.
        type_number: what each is called outside.
    """

    words: Nodes
    starts: Whole
    types: Whole
    marks: Whole
    counts: Whole
    seen: Whole
    mark: Whole
    needed: NDArray[np.float64]
    type_length: Whole
    type_width: Whole
    type_grained: NDArray[np.bool_]
    type_scarce: NDArray[np.bool_]
    type_number: Whole


@compiled
def write_words(nodes: Nodes, kind: Whole, root: int, words: Nodes, at: int, stack: Nodes) -> int:
    """Write a tree into words from a place on; give the place after it."""
    stack[0] = root
    height = 1
    while height > 0:
        height -= 1
        node = int(stack[height])
        if node == _RETURN:
            words[at] = CLOSE
        elif nodes[node, WAY] == PART:
            words[at] = 2 * kind[node] + nodes[node, TURNED]
        else:
            words[at] = -int(nodes[node, WAY])
            stack[height] = _RETURN
            height += 1
            below = nodes[node, FIRST]
            while below >= 0:
                stack[height] = below
                height += 1
                below = nodes[below, NEXT]
        at += 1
    return at


@compiled
def note_mark(pool: Pool, mark: int) -> bool:
    """Note that a set was seen; say whether it is new."""
    last = pool.seen.shape[0] - 1
    place = (mark ^ (mark >> 21)) & last
    while pool.seen[place] != 0:
        if pool.seen[place] == mark:
            return False
        place = (place + 1) & last
    pool.seen[place] = mark
    return True


@compiled
def keep_pattern(pool: Pool, trees: Trees, parts: Parts, root: int, own: int, stack: Nodes) -> None:
    """Keep a tree, for the cheapest type of sheet that holds it, if it is worth it and new.

    Types of which there are few count only for what lies on one of them (``own``).
    """
    nodes = trees.nodes
    count = int(pool.counts[0])
    if count + 1 >= pool.starts.shape[0]:
        return
    worth = 0.0
    mark = 1
    held = 0
    against_grain = False
    stack[0] = root
    height = 1
    while height > 0:
        height -= 1
        node = stack[height]
        if nodes[node, WAY] == PART:
            worth += parts.worth[node]
            mark += pool.mark[parts.kind[node]]
            held += 1
            if nodes[node, TURNED] == 1 and parts.bound[node]:
                against_grain = True
        else:
            below = nodes[node, FIRST]
            while below >= 0:
                stack[height] = below
                height += 1
                below = nodes[below, NEXT]
    sheet = 0
    while sheet < pool.type_length.shape[0] and (
        nodes[root, LENGTH] > pool.type_length[sheet]
        or nodes[root, WIDTH] > pool.type_width[sheet]
        or (against_grain and pool.type_grained[sheet])
        or (pool.type_scarce[sheet] and pool.type_number[sheet] != own)
    ):
        sheet += 1
    if sheet == pool.type_length.shape[0]:
        return
    number = int(pool.type_number[sheet])
    start = int(pool.starts[count])
    if worth < pool.needed[number] or start + 3 * held + 3 > pool.words.shape[0]:
        return
    mark = mark * 64 + number
    if not note_mark(pool, mark):
        return
    pool.marks[count] = mark
    pool.types[count] = number
    pool.starts[count + 1] = write_words(nodes, parts.kind, root, pool.words, start, stack)
    pool.counts[0] = count + 1


@compiled
def lay_words(
    trees: Trees,
    parts: Parts,
    sheets: Sheets,
    words: Nodes,
    sheet: int,
    left_of: Whole,
    stack: Nodes,
) -> None:
    """Lay a pattern on an empty sheet, leaving out parts there are no more of.

    ``left_of`` says, by kind, how many parts of it are not laid yet and the number of its first
    part; parts are taken from the last down, and counted down here.
    """
    nodes = trees.nodes
    current = root = -1
    for word in words:
        if word >= 0:
            kind = word >> 1
            if left_of[2 * kind] == 0:
                continue
            left_of[2 * kind] -= 1
            part = int(left_of[2 * kind + 1] + left_of[2 * kind])
            turned = word & 1
            nodes[part, TURNED] = turned
            nodes[part, LENGTH] = parts.width[part] if turned == 1 else parts.length[part]
            nodes[part, WIDTH] = parts.length[part] if turned == 1 else parts.width[part]
            nodes[part, SHEET] = sheet
            if current >= 0:
                link(nodes, current, part)
            else:
                root = part
        elif word != CLOSE:
            block = new_block(trees, -int(word), sheet)
            if current >= 0:
                link(nodes, current, block)
            else:
                root = block
            current = block
        else:
            block = current
            current = int(nodes[block, ABOVE])
            lone = int(nodes[block, FIRST])
            if lone >= 0 and nodes[lone, NEXT] >= 0:
                measure(nodes, block)
                continue
            # Parts were left out: an empty block goes, a lone node takes its block's place.
            if current >= 0:
                unlink(nodes, block)
            else:
                root = lone
            if lone >= 0:
                unlink(nodes, lone)
                if current >= 0:
                    if nodes[lone, WAY] == PART or nodes[lone, WAY] != nodes[current, WAY]:
                        link(nodes, current, lone)
                    else:
                        below = int(nodes[lone, FIRST])
                        while below >= 0:
                            after = int(nodes[below, NEXT])
                            link(nodes, current, below)
                            below = after
                        drop_block(trees, lone)
            drop_block(trees, block)
    trees.roots[sheet] = root
    if root >= 0:
        measure_again(nodes, root, stack)
        share_room(nodes, root, sheets.length[sheet], sheets.width[sheet], stack)


@compiled
def count_kinds(words: Nodes, made: Whole) -> None:
    """Add the parts of a pattern to a count by kind."""
    for word in words:
        if word >= 0:
            made[word >> 1] += 1


@compiled
def reduced_costs(
    pool: Pool, price: NDArray[np.float64], dual: NDArray[np.float64], out: NDArray[np.float64]
) -> None:
    """Set what each pattern costs beyond the worth of its parts at dual prices."""
    for pattern in range(pool.counts[0]):
        cost = price[pool.types[pattern]]
        for at in range(pool.starts[pattern], pool.starts[pattern + 1]):
            if pool.words[at] >= 0:
                cost -= dual[pool.words[at] >> 1]
        out[pattern] = cost


@compiled
def keep_only(pool: Pool, kept: Whole) -> None:
    """Let go of all patterns but these, given in rising order."""
    pool.seen[:] = 0
    for place in range(kept.shape[0]):
        pattern = kept[place]
        start, to = pool.starts[pattern], pool.starts[place]
        size = pool.starts[pattern + 1] - start
        for at in range(size):
            pool.words[to + at] = pool.words[start + at]
        pool.starts[place + 1] = to + size
        pool.types[place] = pool.types[pattern]
        pool.marks[place] = pool.marks[pattern]
        note_mark(pool, pool.marks[place])
    pool.counts[0] = kept.shape[0]
