"""Listing sets of parts in compiled code: arrays in, arrays out.

A set is its smaller set and one part more, of the last kind or a later one, so a set is
found from the empty one by adding its parts in order. The sets that grow from one set stand
together, by kind: looking one up compares whole numbers and can never mistake it for
another.

Rows of ``sets``, a column a set (0 is the empty set): the set it grew from, the kind added,
how many of that kind it holds, where the sets that grow from it start and how many they
are, where its boxes start and how many they are.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.compiling import compiled

Whole = NDArray[np.int64]
Short = NDArray[np.int32]

PARENT, KIND, MANY, FIRST, GROWN, BOX, BOXES = range(7)
NEXT, SETS, FILLED, WORK = range(4)
LENGTH, WIDTH, LOOSE_LENGTH, LOOSE_WIDTH, LARGEST, SMALLEST, CLOSES = range(7)
HOLD, HOLD_MORE = range(2)
DONE, PAUSED, FULL = range(3)

_MOST_SUBSETS = 1 << 14
_MOST_BOXES = 2048
_MOST_KINDS = 64
_BOXES_A_STEP = 4


@compiled
def grown_by(sets: Short, one: int, kind: int) -> int:
    """Give the set that grows from one by a part of a kind, or -1 where it is not listed."""
    low = int(sets[FIRST, one])
    end = low + int(sets[GROWN, one])
    high = end
    while low < high:
        middle = (low + high) >> 1
        if sets[KIND, middle] < kind:
            low = middle + 1
        else:
            high = middle
    if low < end and sets[KIND, low] == kind:
        return low
    return -1


@compiled
def _raised(size: int, loose: int, stops: Whole) -> int:
    """Give the largest size that leaves room for the same parts beside it."""
    if size <= loose:
        return size
    low = 0
    high = len(stops)
    while low < high:
        middle = (low + high) >> 1
        if stops[middle] < size:
            low = middle + 1
        else:
            high = middle
    return int(stops[low])


@compiled
def _with_box(front: Whole, count: int, length: int, width: int) -> int:
    """Put a box among the least ones, shortest first; give how many there are then."""
    place = count
    while place > 0 and front[place - 1, 0] > length:
        place -= 1
    if place > 0 and front[place - 1, 1] <= width:
        return count
    if place > 0 and front[place - 1, 0] == length:
        place -= 1
    end = place
    while end < count and front[end, 1] >= width:
        end += 1
    if end == place:
        if count == len(front):
            return -1
        for k in range(count, place, -1):
            front[k, 0] = front[k - 1, 0]
            front[k, 1] = front[k - 1, 1]
        count += 1
    elif end > place + 1:
        gap = end - place - 1
        for k in range(end, count):
            front[k - gap, 0] = front[k, 0]
            front[k - gap, 1] = front[k, 1]
        count -= gap
    front[place, 0] = length
    front[place, 1] = width
    return count


@compiled
def _beaten(front: Whole, count: int, length: int, width: int) -> bool:
    """Say whether a box among the least ones lies inside this one."""
    place = count
    while place > 0 and front[place - 1, 0] > length:
        place -= 1
    return place > 0 and front[place - 1, 1] <= width


@compiled
def _joined(
    front: Whole,
    count: int,
    boxes: Short,
    first: int,
    first_end: int,
    second: int,
    second_end: int,
    side: int,
    limits: Whole,
    stops_along: Whole,
    stops_across: Whole,
) -> int:
    """Add the boxes of two sets side by side along (side 0) or across (side 1).

    Walks both lists towards boxes that are shorter along the side the sizes add up on.
    """
    other = 1 - side
    # Lists run from shortest to longest, which is from widest to narrowest.
    step = -1 if side == 0 else 1
    i = first_end - 1 if side == 0 else first
    j = second_end - 1 if side == 0 else second
    i_end = first if side == 0 else first_end - 1
    j_end = second if side == 0 else second_end - 1
    most = limits[side]
    beside = max(int(boxes[i, other]), int(boxes[j, other]))
    while True:
        while i != i_end and boxes[i + step, other] <= beside:
            i += step
        while j != j_end and boxes[j + step, other] <= beside:
            j += step
        total = int(boxes[i, side]) + int(boxes[j, side])
        if total <= most:
            length = total if side == 0 else beside
            width = beside if side == 0 else total
            if not _beaten(front, count, length, width):
                length = _raised(length, limits[LOOSE_LENGTH], stops_along)
                width = _raised(width, limits[LOOSE_WIDTH], stops_across)
                count = _with_box(front, count, length, width)
                if count < 0:
                    return -1
        if i == i_end:
            if j == j_end:
                return count
            beside = int(boxes[j + step, other])
        elif j == j_end:
            beside = int(boxes[i + step, other])
        else:
            beside = min(int(boxes[i + step, other]), int(boxes[j + step, other]))


@compiled
def _fitting(front: Whole, count: int, sheets: Whole) -> int:
    """Give the sheet types that hold one of the boxes, a bit each."""
    held = 0
    for sheet in range(len(sheets)):
        for k in range(count):
            if front[k, 0] <= sheets[sheet, 0] and front[k, 1] <= sheets[sheet, 1]:
                held |= 1 << sheet
                break
    return held


@compiled
def _stored(
    sets: Short,
    boxes: Short,
    masks: Whole,
    areas: Whole,
    state: Whole,
    front: Whole,
    count: int,
    parent: int,
    kind: int,
    many: int,
    area: int,
    held: int,
) -> bool:
    """Put a set at the end of the list; False where there is no room for it."""
    one = state[SETS]
    start = state[FILLED]
    if one >= sets.shape[1] or start + count > len(boxes):
        return False
    sets[PARENT, one] = parent
    sets[KIND, one] = kind
    sets[MANY, one] = many
    sets[FIRST, one] = 0
    sets[GROWN, one] = 0
    sets[BOX, one] = start
    sets[BOXES, one] = count
    for k in range(count):
        boxes[start + k, 0] = front[k, 0]
        boxes[start + k, 1] = front[k, 1]
    masks[HOLD, one] = held
    masks[HOLD_MORE, one] = 0
    areas[one] = area
    state[SETS] = one + 1
    state[FILLED] = start + count
    return True


@compiled
def grow(
    parts: Whole,
    lays: Whole,
    sheets: Whole,
    limits: Whole,
    stops_along: Whole,
    stops_across: Whole,
    sets: Short,
    boxes: Short,
    masks: Whole,
    areas: Whole,
    state: Whole,
    budget: int,
) -> int:
    """List on until all sets are listed (DONE), the work is up (PAUSED) or there is no room.

    Args:
        parts: by kind: how many, area.
        lays: kind, length, width of each way a part may lie.
        sheets: length and width of the types.
        limits: most length, most width, the length and the width past which sizes are
            raised to the next stop, largest sheet area, smallest part area, 1 if sets that
            no part fits beside need no boxes.
        stops_along: lengths to raise to, in order; the last is the most.
        stops_across: widths likewise.
        sets: what is listed, as the module says.
        boxes: least boxes of the sets, one set after the other.
        areas: of the sets' parts.
        masks: by set: types that hold it, types that hold it with a part more; a bit each.
        state: next set to grow, number of sets, number of boxes, work done.
        budget: work after which to pause.
    """
    front = np.empty((_MOST_BOXES, 2), np.int64)
    subsets = np.empty(_MOST_SUBSETS, np.int64)
    kinds = np.empty(_MOST_KINDS, np.int64)
    held_of = np.empty(_MOST_KINDS, np.int64)
    places = np.empty(_MOST_KINDS + 1, np.int64)
    smaller = np.empty(_MOST_KINDS, np.int64)
    if state[NEXT] == 0:
        sets[PARENT, 0] = 0
        sets[KIND, 0] = -1
        sets[MANY, 0] = 0
        sets[FIRST, 0] = 1
        sets[BOX, 0] = 0
        sets[BOXES, 0] = 0
        areas[0] = 0
        state[SETS] = 1
        row = 0
        for kind in range(len(parts)):
            count = 0
            while row < len(lays) and lays[row, 0] == kind:
                length = _raised(lays[row, 1], limits[LOOSE_LENGTH], stops_along)
                width = _raised(lays[row, 2], limits[LOOSE_WIDTH], stops_across)
                count = _with_box(front, count, length, width)
                row += 1
            if parts[kind, 0] and count:
                held = _fitting(front, count, sheets)
                if not _stored(
                    sets, boxes, masks, areas, state, front, count, 0, kind, 1, parts[kind, 1], held
                ):
                    return FULL
        sets[GROWN, 0] = state[SETS] - 1
        state[NEXT] = 1
    closes = limits[CLOSES] == 1
    while state[NEXT] < state[SETS]:
        if state[WORK] > budget:
            return PAUSED
        one = state[NEXT]
        sets[FIRST, one] = state[SETS]
        parent = int(sets[PARENT, one])
        last = int(sets[KIND, one])
        if areas[one] + limits[SMALLEST] > limits[LARGEST]:
            state[NEXT] += 1
            continue
        digits = 0
        node = one
        while node:
            if digits == 0 or kinds[digits - 1] != sets[KIND, node]:
                if digits == _MOST_KINDS:
                    return FULL
                kinds[digits] = sets[KIND, node]
                held_of[digits] = sets[MANY, node]
                digits += 1
            node = int(sets[PARENT, node])
        for k in range(digits // 2):
            back = digits - 1 - k
            kinds[k], kinds[back] = kinds[back], kinds[k]
            held_of[k], held_of[back] = held_of[back], held_of[k]
        places[0] = 1
        for k in range(digits):
            places[k + 1] = places[k] * (held_of[k] + 1)
            if 2 * places[k + 1] > len(subsets):
                return FULL
        total = places[digits]
        subsets[0] = 0
        for k in range(digits):
            for at in range(places[k], places[k + 1]):
                subsets[at] = grown_by(sets, subsets[at - places[k]], kinds[k])
        state[WORK] += total
        siblings = int(sets[FIRST, parent] + sets[GROWN, parent])
        for sibling in range(one, siblings):
            added = int(sets[KIND, sibling])
            same = added == last
            if same and held_of[digits - 1] == parts[added, 0]:
                continue
            area = areas[one] + parts[added, 1]
            state[WORK] += 1
            if area > limits[LARGEST]:
                continue
            others = digits - 1 if same else digits
            listed = True
            for k in range(others):
                smaller[k] = grown_by(sets, subsets[total - 1 - places[k]], added)
                if smaller[k] < 0:
                    listed = False
                    break
            if not listed:
                continue
            start = held_of[digits - 1] * places[digits - 1] if same else 0
            more = places[digits - 1] if same else total
            for k in range(more):
                subsets[total + k] = grown_by(sets, subsets[start + k], added)
            full = total + more - 1
            closing = closes and area + limits[SMALLEST] > limits[LARGEST]
            count = 0
            for at in range(1, full // 2 + 1):
                first = int(sets[BOX, subsets[at]])
                first_end = first + int(sets[BOXES, subsets[at]])
                second = int(sets[BOX, subsets[full - at]])
                second_end = second + int(sets[BOXES, subsets[full - at]])
                state[WORK] += 1
                for side in range(2):
                    if side == 0:
                        shortest = int(boxes[first, 0]) + int(boxes[second, 0])
                        beside = max(int(boxes[first_end - 1, 1]), int(boxes[second_end - 1, 1]))
                        if shortest > limits[LENGTH] or _beaten(front, count, shortest, beside):
                            continue
                    else:
                        shortest = int(boxes[first_end - 1, 1]) + int(boxes[second_end - 1, 1])
                        beside = max(int(boxes[first, 0]), int(boxes[second, 0]))
                        if shortest > limits[WIDTH] or _beaten(front, count, beside, shortest):
                            continue
                    count = _joined(
                        front,
                        count,
                        boxes,
                        first,
                        first_end,
                        second,
                        second_end,
                        side,
                        limits,
                        stops_along,
                        stops_across,
                    )
                    if count < 0:
                        return FULL
                    state[WORK] += 2 + (first_end - first + second_end - second) // _BOXES_A_STEP
                if closing and count:
                    break
            if not count:
                continue
            held = 1 if closing else _fitting(front, count, sheets)
            many = int(sets[MANY, one]) + 1 if same else 1
            if not _stored(
                sets,
                boxes,
                masks,
                areas,
                state,
                front,
                0 if closing else count,
                one,
                added,
                many,
                area,
                held,
            ):
                return FULL
            sets[GROWN, one] += 1
            masks[HOLD_MORE, one] |= held
            for k in range(others):
                masks[HOLD_MORE, smaller[k]] |= held
        state[NEXT] += 1
    return DONE


@compiled
def weigh_sets(sets: Short, count: int, values: Whole, weights: Whole) -> None:
    """Write what every set weighs, given a value a kind."""
    weights[0] = 0
    for one in range(1, count):
        weights[one] = weights[sets[PARENT, one]] + values[sets[KIND, one]]
