"""The most that one sheet can be worth, any number of parts of each kind, in compiled code.

Values are whole numbers, so the result is exact.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.compiling import compiled

Whole = NDArray[np.int64]
Short = NDArray[np.int32]


@compiled
def rest_beside(points: Whole) -> Short:
    """Give for each point and each smaller one the last point that fits beside it."""
    count = len(points)
    rest = np.zeros((count, count), np.int32)
    for whole in range(count):
        at = whole
        for one in range(whole + 1):
            while points[at] > points[whole] - points[one]:
                at -= 1
            rest[whole, one] = at
    return rest


@compiled
def most_worth(
    along: Whole,
    across: Whole,
    rest_along: Short,
    rest_across: Short,
    parts: Short,
    worths: Whole,
    worth: Whole,
    cuts: Short,
) -> int:
    """Give the most that a sheet is worth; ``worth`` and ``cuts`` say how, by size.

    Args:
        along: lengths worth looking at, from 0 to the sheet's own.
        across: widths likewise.
        rest_along: what fits beside each, as ``rest_beside`` gives it.
        rest_across: likewise.
        parts: the least sizes that hold a part: place along, place across, kind; a row for
            each way it may lie.
        worths: of one part, by kind.
        worth: by place along and across, the most worth.
        cuts: by place, what is there: 2 kind (a part), 2 one + 1 (cut along at one), and
            from the bottom up -2 - one (cut across at one), or -1.
    """
    columns = len(along)
    rows = len(across)
    for i in range(columns):
        for j in range(rows):
            worth[i, j] = 0
            cuts[i, j] = -1
    for row in range(len(parts)):
        i, j, kind = parts[row, 0], parts[row, 1], parts[row, 2]
        if worths[kind] > worth[i, j]:
            worth[i, j] = worths[kind]
            cuts[i, j] = 2 * kind
    for i in range(1, columns):
        here = worth[i]
        how = cuts[i]
        # A smaller size is a cut with waste beside it.
        less = worth[i - 1]
        for j in range(1, rows):
            if less[j] > here[j]:
                here[j] = less[j]
                how[j] = 2 * (i - 1) + 1
        for one in range(1, i):
            if 2 * along[one] > along[i]:
                break
            first = worth[one]
            second = worth[rest_along[i, one]]
            for j in range(1, rows):
                both = first[j] + second[j]
                if both > here[j]:
                    here[j] = both
                    how[j] = 2 * one + 1
        for j in range(1, rows):
            best = here[j]
            cut = how[j]
            if here[j - 1] > best:
                best = here[j - 1]
                cut = -2 - (j - 1)
            for one in range(1, j):
                if 2 * across[one] > across[j]:
                    break
                both = here[one] + here[rest_across[j, one]]
                if both > best:
                    best = both
                    cut = -2 - one
            here[j] = best
            how[j] = cut
    return int(worth[columns - 1, rows - 1])


@compiled
def parts_of(
    columns: int,
    rows: int,
    rest_along: Short,
    rest_across: Short,
    worth: Whole,
    cuts: Short,
    counts: Whole,
) -> None:
    """Count the parts of the most worthy way to cut a sheet, by kind."""
    counts[:] = 0
    waiting = np.empty((columns + rows + 8, 2), np.int32)
    waiting[0, 0] = columns - 1
    waiting[0, 1] = rows - 1
    left = 1
    while left:
        left -= 1
        i, j = waiting[left, 0], waiting[left, 1]
        if worth[i, j] == 0:
            continue
        cut = cuts[i, j]
        if cut < 0:
            one = -2 - cut
            waiting[left, 0] = i
            waiting[left, 1] = one
            waiting[left + 1, 0] = i
            waiting[left + 1, 1] = rest_across[j, one]
            left += 2
        elif cut & 1:
            one = cut >> 1
            waiting[left, 0] = one
            waiting[left, 1] = j
            waiting[left + 1, 0] = rest_along[i, one]
            waiting[left + 1, 1] = j
            left += 2
        else:
            counts[cut >> 1] += 1
