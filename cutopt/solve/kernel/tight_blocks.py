"""Building blocks of sheets on which next to nothing is lost, in compiled code.

A block is a set of parts laid by straight cuts within a box. Its parts are worth something,
and so is the most that any parts may add around a box of its size. Only blocks are built for
which both together reach what is asked of a sheet.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.compiling import compiled

Whole = NDArray[np.int64]
Short = NDArray[np.int32]

MADE, FIRST, SECOND, NEXT = range(4)
DONE, FULL = range(2)
_NONE = -(1 << 60)
_MIX = 0x2545F4914F6CDD1D
_MIX_MORE = 0x1B873593CC9E2D51


@compiled
def most_around(
    along: Whole,
    across: Whole,
    rest_along: Short,
    rest_across: Short,
    worth: Whole,
    around: Whole,
) -> None:
    """Write the most that parts are worth around a box, by its size, given the most in a box.

    Args:
        along: lengths looked at, from 0 to the sheet's own.
        across: widths likewise.
        rest_along: what fits beside each.
        rest_across: likewise.
        worth: the most a box of each size is worth.
        around: what is written.
    """
    columns = len(along)
    rows = len(across)
    around[:] = _NONE
    around[columns - 1, rows - 1] = 0
    for i in range(columns - 1, 0, -1):
        for j in range(rows - 1, 0, -1):
            here = around[i, j]
            if i + 1 < columns and around[i + 1, j] > here:
                here = around[i + 1, j]
            if j + 1 < rows and around[i, j + 1] > here:
                here = around[i, j + 1]
            around[i, j] = here
            for one in range(1, i):
                if 2 * along[one] > along[i]:
                    break
                rest = rest_along[i, one]
                around[one, j] = max(around[one, j], here + worth[rest, j])
                around[rest, j] = max(around[rest, j], here + worth[one, j])
            for one in range(1, j):
                if 2 * across[one] > across[j]:
                    break
                rest = rest_across[j, one]
                around[i, one] = max(around[i, one], here + worth[i, rest])
                around[i, rest] = max(around[i, rest], here + worth[i, one])


@compiled
def _kept(
    masks: Whole,
    dims: Short,
    worths: Whole,
    made: Short,
    heads: Short,
    state: Whole,
    low: int,
    high: int,
    length: int,
    width: int,
    worth: int,
    way: int,
    first: int,
    second: int,
) -> bool:
    """Keep a block unless one of the same parts lies inside it; False where there is no room."""
    size = len(heads)
    slot = (low * _MIX ^ high * _MIX_MORE) >> 17 & (size - 1)
    while heads[slot] >= 0:
        head = heads[slot]
        if masks[head, 0] == low and masks[head, 1] == high:
            break
        slot = (slot + 1) & (size - 1)
    block = heads[slot]
    while block >= 0:
        if dims[block, 0] <= length and dims[block, 1] <= width:
            return True
        block = made[block, NEXT]
    new = state[1]
    if new >= len(dims):
        return False
    masks[new, 0] = low
    masks[new, 1] = high
    dims[new, 0] = length
    dims[new, 1] = width
    worths[new] = worth
    made[new, MADE] = way
    made[new, FIRST] = first
    made[new, SECOND] = second
    made[new, NEXT] = heads[slot]
    heads[slot] = new
    state[1] = new + 1
    return True


@compiled
def _around(place_along: Short, place_across: Short, around: Whole, length: int, width: int) -> int:
    """Give the most that may lie around a box: all the rest of the sheet, or what is known."""
    if len(around) == 1:
        return int(around[0, 0]) - length * width
    return int(around[place_along[length], place_across[width]])


@compiled
def build(
    parts: Whole,
    place_along: Short,
    place_across: Short,
    around: Whole,
    asked: int,
    masks: Whole,
    dims: Short,
    worths: Whole,
    made: Short,
    heads: Short,
    state: Whole,
    limit: int,
) -> int:
    """Build all blocks: DONE, or FULL where there is no room or the work is up.

    Args:
        parts: number, length, width, worth of each part, a row for each way it may lie.
        place_along: by length, the first one looked at that is no shorter.
        place_across: by width likewise.
        around: the most around a box, by places; of one place, the area of the sheet, where parts
            are worth their area.
        asked: what a block and what is around it must be worth.
        masks: parts of each block, a bit each.
        dims: length and width of each block.
        worths: of each block's parts.
        made: by block: how it was made (0 a part, 1 along, 2 across), from which two (for a
            part: its row), next block of the same parts.
        heads: table of the blocks by their parts; all -1, a power of two long.
        state: next block to build with, number of blocks, work done; all 0.
        limit: of the work.
    """
    longest = len(place_along) - 1
    widest = len(place_across) - 1
    for row in range(len(parts)):
        number, length, width, worth = parts[row]
        if worth + _around(place_along, place_across, around, length, width) < asked:
            continue
        low = 1 << number if number < 62 else 0
        high = 1 << (number - 62) if number >= 62 else 0
        if not _kept(
            masks, dims, worths, made, heads, state, low, high, length, width, worth, 0, row, -1
        ):
            return FULL
    while state[0] < state[1]:
        one = state[0]
        low, high = masks[one, 0], masks[one, 1]
        a, b, worth = int(dims[one, 0]), int(dims[one, 1]), worths[one]
        state[2] += one
        if state[2] > limit:
            return FULL
        for other in range(one):
            c, d = int(dims[other, 0]), int(dims[other, 1])
            beside = a + c <= longest
            above = b + d <= widest
            if not (beside or above) or masks[other, 0] & low or masks[other, 1] & high:
                continue
            both = worth + worths[other]
            if beside:
                tall = max(b, d)
                if both + _around(
                    place_along, place_across, around, a + c, tall
                ) >= asked and not _kept(
                    masks,
                    dims,
                    worths,
                    made,
                    heads,
                    state,
                    low | masks[other, 0],
                    high | masks[other, 1],
                    a + c,
                    tall,
                    both,
                    1,
                    one,
                    other,
                ):
                    return FULL
            if above:
                long = max(a, c)
                if both + _around(
                    place_along, place_across, around, long, b + d
                ) >= asked and not _kept(
                    masks,
                    dims,
                    worths,
                    made,
                    heads,
                    state,
                    low | masks[other, 0],
                    high | masks[other, 1],
                    long,
                    b + d,
                    both,
                    2,
                    one,
                    other,
                ):
                    return FULL
        state[0] += 1
    return DONE
